"""What is asked next: the findings gathered under the answers that settle them, and their order."""
