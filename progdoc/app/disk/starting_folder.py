"""Writes the starting description into a folder, and never over anything."""

from __future__ import annotations

from pathlib import Path

from progdoc.app.disk.new_folder import Placed, write_new
from progdoc.app.start import starting_files
from progdoc.core.diagnostics import Diagnostic

__all__ = ["start"]


def start(folder: Path) -> Placed | list[Diagnostic]:
    """Write the starting description and its schema; return what was written, or why nothing was."""
    return write_new(folder, starting_files(), "START", may_hold_more=True)
