"""Everything that falls due for a description, in the order in which to do it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from functools import cache
from itertools import chain

from progdoc.calc.due_dates import is_overdue
from progdoc.core.report import Status
from progdoc.core.said import said, same
from progdoc.rules.due.due_calendar import due_by_calendar
from progdoc.rules.due.due_devices import due_for_devices
from progdoc.rules.due.due_items import DueItem, outlook
from progdoc.rules.due.due_people import due_for_people
from progdoc.rules.due.due_workplace import due_for_workplace
from progdoc.rules.facts import Facts
from progdoc.rules.judged.due_results import Kind, Outlook
from progdoc.rules.judged.every_verdict import EveryVerdict
from progdoc.rules.requirement import Verdict

__all__ = ["due_outlook"]


def _as_told(item: DueItem, alike: DueItem) -> DueItem:
    return item if item is alike else replace(item, because=alike.because, basis=alike.basis)


# What is done again, whose subject it has, and where its records stand.
_DONE_AGAIN = {Kind.FIT_TEST: ("worn-mask", ".fit_tests"), Kind.TRAINING: ("wearer", ".training")}


def _void(verdicts: EveryVerdict) -> Mapping[tuple[Kind, tuple[str, ...]], Verdict]:
    """Return what bars somebody whose record is there, and does not do: it can't be in order for a year to come."""
    found: dict[tuple[Kind, tuple[str, ...]], Verdict] = {}
    for verdict in verdicts.open:
        if verdict.status is not Status.GAP or verdict.requirement.bars != "person":
            continue
        for kind, (per, place) in _DONE_AGAIN.items():
            if verdict.requirement.per == per and any(place in fault for fault in verdict.faults):
                found.setdefault((kind, verdict.subject.ids), verdict)
    return found


def _at_once(item: DueItem, void: Mapping[tuple[Kind, tuple[str, ...]], Verdict], as_of: date) -> DueItem:
    verdict = void.get((item.kind, item.subject))
    if verdict is None or item.due is None or is_overdue(item.due, as_of):
        return item
    because = said("what is on record does not count: %(code)s", code=same(verdict.requirement.code))
    return replace(item, due=None, because=because, basis=verdict.diagnostics[0].citation)


def due_outlook(facts: Facts, verdicts: EveryVerdict) -> Callable[[int], Outlook]:
    """Return what tells, for a number of days to look ahead, what is overdue, due within them, and due later.

    What falls due is gathered when it is first asked for, and once. A test or training that bars its wearer, though it
    is of this year, is due at once.
    """

    @cache
    def items() -> tuple[DueItem, ...]:
        said: dict[tuple[Kind, str, str], DueItem] = {}  # of a crew the same is on record: it is told by one text
        void = _void(verdicts)
        people = (_at_once(item, void, facts.as_of) for item in due_for_people(facts))
        every = chain(people, due_for_workplace(facts), due_for_devices(facts), due_by_calendar(facts))
        return tuple(_as_told(item, said.setdefault((item.kind, item.because, item.basis), item)) for item in every)

    return cache(lambda within_days: outlook(items(), facts.as_of, within_days))
