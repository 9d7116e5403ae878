"""Writes the tables of people as CSV into a new folder, for nobody else to read."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from progdoc.app.disk.new_folder import Placed, write_new
from progdoc.core.diagnostics import Diagnostic

__all__ = ["write_tables"]


def write_tables(folder: Path, tables: Mapping[str, bytes]) -> Placed | list[Diagnostic]:
    """Write the tables; return what was written, or why nothing was."""
    return write_new(folder, tables, "SHEET", may_hold_more=False, owner_only=True)
