"""What falls due by the firm's own calendar, where it is known when it was last done."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import long_date
from progdoc.rules.due.due_items import DueItem
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.intervals import own, shortest
from progdoc.rules.in_force.own_calendar import next_day, what_words, when_words
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.records.calendar_checks import set_by

__all__ = ["due_by_calendar"]


def due_by_calendar(facts: Facts) -> Iterator[DueItem]:
    """Yield each entry of the calendar of which the last day is known, with who set it."""
    for i, entry in enumerate(facts.description.calendar):
        due = next_day(entry)
        if due is None or entry.last_done is None:
            continue
        is_plain = entry.season is None and not entry.weekdays and entry.window is None
        yield DueItem(
            id=f"calendar.{entry.id}",
            kind=Kind.ROUTINE,
            due=due,
            what=what_words(entry)[:1].upper() + what_words(entry)[1:],
            because=f"last {long_date(entry.last_done)}; {when_words(entry)}",
            basis=set_by(facts, entry),
            path=f"calendar[{i}].last_done",
            subject=(f"calendar.{entry.id}",),
            cycle=shortest(due, own(entry.every)) if is_plain else None,
        )
