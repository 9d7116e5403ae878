"""The people of a description and their records for a spreadsheet: the use case behind `sheets`."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.app.check import Checked
from progdoc.app.of_site import judged_at, program_at
from progdoc.rules.judged.result import Judged
from progdoc.writers.assignment_csv import assignment_rows
from progdoc.writers.csv_table import csv_bytes
from progdoc.writers.due_formats import due_rows
from progdoc.writers.people_workbook import people_tables, people_workbook, template_workbook

__all__ = ["sheets", "tables"]

_WITHIN_DAYS = 60


def sheets(checked: Checked, is_blank: bool = False, site: str | None = None, is_told: bool = False) -> bytes:
    """Return a workbook with all that is on record; or, to fill in, with whom and which masks it is about alone.

    With `is_told` sheets more say who may do what, and what falls due.
    """
    judged = _judged(checked)
    program = program_at(judged, site)
    return template_workbook(program) if is_blank else people_workbook(program, _told(judged, site) if is_told else {})


def tables(
    checked: Checked, is_blank: bool = False, site: str | None = None, is_told: bool = False
) -> dict[str, bytes]:
    """Return the same as CSV, by the names of the files."""
    judged = _judged(checked)
    told = {f"{name.replace(' ', '-')}.csv": csv_bytes(rows) for name, rows in _told(judged, site).items() if is_told}
    return {**people_tables(program_at(judged, site), is_blank), **told}


def _told(judged: Judged, site: str | None) -> dict[str, Iterator[tuple[str, ...]]]:
    there = judged_at(judged, site)
    return {"who may do what": assignment_rows(there), "what falls due": due_rows(there.due(_WITHIN_DAYS))}


def _judged(checked: Checked) -> Judged:
    if checked.judged is None:
        raise ValueError("of a description with faults of form nobody can say who is in it")
    return checked.judged
