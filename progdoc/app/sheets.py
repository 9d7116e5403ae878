"""The people of a description and their records for a spreadsheet: the use case behind `sheets`."""

from __future__ import annotations

from progdoc.app.check import Checked
from progdoc.model.description.program import Program
from progdoc.writers.people_workbook import people_tables, people_workbook, template_workbook

__all__ = ["sheets", "tables"]


def sheets(checked: Checked, is_blank: bool = False) -> bytes:
    """Return a workbook with all that is on record; or, to fill in, with whom and which masks it is about alone."""
    return template_workbook(_program(checked)) if is_blank else people_workbook(_program(checked))


def tables(checked: Checked, is_blank: bool = False) -> dict[str, bytes]:
    """Return the same as CSV, by the names of the files."""
    return people_tables(_program(checked), is_blank)


def _program(checked: Checked) -> Program:
    if checked.loaded.program is None:
        raise ValueError("of a description with faults of form nobody can say who is in it")
    return checked.loaded.program
