"""Everything that falls due for a description, in the order in which to do it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import chain
from typing import TYPE_CHECKING

from progdoc.rules.facts import Facts
from progdoc.rules.judged.due_results import Kind, Outlook

if TYPE_CHECKING:
    from progdoc.rules.due.due_items import DueItem
    from progdoc.rules.judged.every_verdict import EveryVerdict

__all__ = ["due_outlook"]


def _as_told(item: DueItem, alike: DueItem) -> DueItem:
    return item if item is alike else replace(item, because=alike.because, basis=alike.basis)


def due_outlook(facts: Facts, verdicts: EveryVerdict) -> Callable[[int], Outlook]:
    """Return what tells, for a number of days to look ahead, what is overdue, due within them, and due later.

    What falls due is gathered when it is first asked for, and once; what gathers it is imported only then.
    """

    @cache
    def items() -> tuple[DueItem, ...]:
        from progdoc.rules.due.due_calendar import due_by_calendar
        from progdoc.rules.due.due_devices import due_for_devices
        from progdoc.rules.due.due_people import due_for_people
        from progdoc.rules.due.due_workplace import due_for_workplace
        from progdoc.rules.due.void_records import due_at_once

        said: dict[tuple[Kind, str, str], DueItem] = {}  # of a crew the same is on record: it is told by one text
        people = map(due_at_once(verdicts, facts.as_of), due_for_people(facts))
        every = chain(people, due_for_workplace(facts), due_for_devices(facts), due_by_calendar(facts))
        return tuple(_as_told(item, said.setdefault((item.kind, item.because, item.basis), item)) for item in every)

    @cache
    def within(days: int) -> Outlook:
        from progdoc.rules.due.due_items import outlook

        return outlook(items(), facts.as_of, days)

    return within
