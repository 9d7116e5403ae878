"""What changed between two descriptions or two document trees, and what it means. Writes no format of its own."""
