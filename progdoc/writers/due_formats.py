"""What falls due, for a person at a terminal and for other programs. Both name people: not for handing on."""

from __future__ import annotations

import json
import textwrap

from progdoc.core.numbers import long_date
from progdoc.core.printable import printable
from progdoc.rules.judged.due_results import Outlook, OutlookItem

__all__ = ["FORMAT", "due_json", "due_text"]

FORMAT = "progdoc-due/1"
_NARROWEST = 40


def due_text(outlook: Outlook, width: int = 80) -> str:
    """Return what is overdue, what is due soon, and the next of each kind after that."""
    blocks = [_first_line(outlook)]
    later = len(outlook.later) - len(outlook.next)
    parts = (
        (f"Overdue ({len(outlook.overdue)})", outlook.overdue),
        (f"Due within {outlook.within_days} days ({len(outlook.soon)})", outlook.soon),
        ("Next", outlook.next),
    )
    for heading, items in parts:
        if items:
            blocks.append("\n".join([heading, *(line for item in items for line in _lines(item, width))]))
    if later > 0:
        blocks.append(f"{later} more later; `--format csv` or `json` lists them all.")
    return "\n\n".join(blocks) + "\n"


def _first_line(outlook: Outlook) -> str:
    day = long_date(outlook.as_of)
    if not outlook.overdue and not outlook.soon:
        return f"Nothing that is described falls due within {outlook.within_days} days of {day}."
    return f"As of {day}: {len(outlook.overdue)} overdue, {len(outlook.soon)} due within {outlook.within_days} days."


def _lines(item: OutlookItem, width: int) -> list[str]:
    when = item.due.isoformat() if item.due else "at once"
    words = f"{item.what}: {item.because} ({item.basis})"
    return textwrap.wrap(
        printable(words),
        max(width, _NARROWEST),
        initial_indent=f"  {when:<10}  ",
        subsequent_indent=" " * 14,
        break_long_words=False,
        break_on_hyphens=False,
    )


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
