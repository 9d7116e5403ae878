"""Tables and notices made in Python for the papers."""
