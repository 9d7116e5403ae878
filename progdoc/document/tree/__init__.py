"""What a document is: nodes with stable ids, how they are numbered, and how template text becomes nodes."""
