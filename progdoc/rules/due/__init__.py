"""What falls due, and when."""
