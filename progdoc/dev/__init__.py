"""Commands for contributors; they work on a checkout and are not part of what is installed."""
