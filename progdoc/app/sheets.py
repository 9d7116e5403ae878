"""The people of a description and their records for a spreadsheet: the use case behind `sheets`."""

from __future__ import annotations

from progdoc.app.check import Checked
from progdoc.app.of_site import program_at
from progdoc.model.description.program import Program
from progdoc.writers.people_workbook import people_tables, people_workbook, template_workbook

__all__ = ["sheets", "tables"]


def sheets(checked: Checked, is_blank: bool = False, site: str | None = None) -> bytes:
    """Return a workbook with all that is on record; or, to fill in, with whom and which masks it is about alone."""
    program = _program(checked, site)
    return template_workbook(program) if is_blank else people_workbook(program)


def tables(checked: Checked, is_blank: bool = False, site: str | None = None) -> dict[str, bytes]:
    """Return the same as CSV, by the names of the files."""
    return people_tables(_program(checked, site), is_blank)


def _program(checked: Checked, site: str | None) -> Program:
    if checked.judged is None:
        raise ValueError("of a description with faults of form nobody can say who is in it")
    return program_at(checked.judged, site)
