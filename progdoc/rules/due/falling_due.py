"""Everything that falls due for a judged description, in the order in which to do it."""

from __future__ import annotations

from progdoc.rules.due.due_items import Outlook, outlook
from progdoc.rules.due.due_people import due_for_people
from progdoc.rules.due.due_workplace import due_for_workplace
from progdoc.rules.judge import Judged

__all__ = ["due_outlook"]


def due_outlook(judged: Judged, within_days: int) -> Outlook:
    """Return what is overdue, due within some days of the day of evaluation, and due later."""
    facts = judged.facts
    return outlook([*due_for_people(facts), *due_for_workplace(facts)], facts.as_of, within_days)
