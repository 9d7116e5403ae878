"""What the documents are: a tree of nodes, filled from templates and verdicts, known to no format."""
