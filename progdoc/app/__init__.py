"""The use cases, one file each. The only place that reads and writes files of the user."""
