"""What falls due, for a person at a terminal and for other programs. Both name people: not for handing on."""

from __future__ import annotations

import json
from collections.abc import Iterator

from progdoc.core.lines import Line
from progdoc.core.numbers import counted, long_date
from progdoc.rules.judged.due_results import Outlook, OutlookItem
from progdoc.writers.csv_table import csv_bytes

__all__ = ["FORMAT", "due_csv", "due_json", "due_lines", "due_rows"]

FORMAT = "progdoc-due/1"
_COLUMNS = ("state", "due", "kind", "what", "on_record", "asked_by", "id", "as_of")


def due_lines(outlook: Outlook) -> Iterator[list[Line]]:
    """Return what is overdue, what is due soon, and the next of each kind after that."""
    yield [Line(_first_line(outlook), is_typed=True)]
    later = len(outlook.later) - len(outlook.next)
    parts = (
        (f"Overdue ({len(outlook.overdue)})", outlook.overdue),
        (f"Due within {counted(outlook.within_days, 'day')} ({len(outlook.soon)})", outlook.soon),
        ("Next", outlook.next),
    )
    for heading, items in parts:
        if items:
            yield [Line(heading), *map(_line, items)]
    if later > 0:
        yield [Line(f"{later} more later; `--format csv` or `json` lists them all.", is_typed=True)]


def _first_line(outlook: Outlook) -> str:
    day, within = long_date(outlook.as_of), counted(outlook.within_days, "day")
    if not outlook.overdue and not outlook.soon:
        return f"Nothing that is described falls due within {within} of {day}."
    return f"As of {day}: {len(outlook.overdue)} overdue, {len(outlook.soon)} due within {within}."


def _line(item: OutlookItem) -> Line:
    when = item.due.isoformat() if item.due else "at once"
    return Line(f"{item.what}: {item.because} ({item.basis})", f"  {when:<10}  ", " " * 14)


def due_json(outlook: Outlook) -> str:
    """Return everything that falls due, in the format "progdoc-due/1"; its keys are only ever added to."""
    content = {
        "format": FORMAT,
        "on": outlook.as_of.isoformat(),
        "within_days": outlook.within_days,
        "audience": "restricted",
        "summary": {"overdue": len(outlook.overdue), "soon": len(outlook.soon), "later": len(outlook.later)},
        "items": [
            {
                "id": item.id,
                "kind": item.kind,
                "state": item.state,
                "due": item.due.isoformat() if item.due else None,
                "what": item.what,
                "because": item.because,
                "basis": item.basis,
                "subject": item.subject,
                "path": item.path,
            }
            for item in outlook.items
        ],
    }
    return json.dumps(content, ensure_ascii=False, indent=2) + "\n"


def due_csv(outlook: Outlook) -> bytes:
    """Return everything that falls due, in the order in which to do it."""
    return csv_bytes(due_rows(outlook))


def due_rows(outlook: Outlook) -> Iterator[tuple[str, ...]]:
    """Yield the headings, then a row for each thing that falls due."""
    yield _COLUMNS
    yield from (
        (
            item.state,
            item.due.isoformat() if item.due else "",
            item.kind.value,
            item.what,
            item.because,
            item.basis,
            item.id,
            outlook.as_of.isoformat(),
        )
        for item in outlook.items
    )
