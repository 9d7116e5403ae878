"""The people of a description and their records for a spreadsheet: the use case behind `sheets`."""

from __future__ import annotations

from progdoc.app.check import Checked
from progdoc.writers.people_workbook import people_workbook, template_workbook

__all__ = ["sheets"]


def sheets(checked: Checked, is_blank: bool = False) -> bytes:
    """Return a workbook with all that is on record; or, to fill in, with whom and which masks it is about alone."""
    if checked.loaded.program is None:
        raise ValueError("of a description with faults of form nobody can say who is in it")
    return template_workbook(checked.loaded.program) if is_blank else people_workbook(checked.loaded.program)
