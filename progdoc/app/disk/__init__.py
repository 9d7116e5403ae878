"""The edge: the only place that reads and writes files of the user. Everything else works on bytes."""
