"""`python -m progdoc`."""

from progdoc.cli import run

run()
