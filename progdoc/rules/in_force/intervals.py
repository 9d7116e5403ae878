"""Intervals as people write them, laid from a day on; and the shortest of several, with who set it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from progdoc.calc.due_dates import due_date
from progdoc.model.description.policies import Policy
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.workplace import Task
from progdoc.rules.in_force.strictest import binds, origin_of

__all__ = ["Cycle", "after", "of_law", "of_policies", "own", "shortest"]

_DAYS = {"day": 1, "week": 7}
_MONTHS = {"month": 1, "year": 12}


@dataclass(frozen=True, slots=True)
class Cycle:
    """An interval that comes round again, and who set it."""

    months: int
    days: int
    basis: str

    def from_day(self, day: date) -> date:
        """Return the due date of something done on a day."""
        return due_date(day, months=self.months, days=self.days)


def after(day: date, interval: Quantity) -> date:
    """Return the due date of something done on a day and to be done again after an interval."""
    return own(interval, "")[0].from_day(day)


def of_law(months: int, basis: str) -> list[Cycle]:
    return [Cycle(months, 0, basis)]


def own(interval: Quantity | None, basis: str = "this program") -> list[Cycle]:
    """Return the interval that the firm set itself, if it set one."""
    if interval is None:
        return []
    count = int(interval.value)
    is_short = interval.unit in _DAYS
    months = 0 if is_short else count * _MONTHS[interval.unit]
    return [Cycle(months, count * _DAYS[interval.unit] if is_short else 0, basis)]


def of_policies(policies: Iterable[Policy], tasks: Iterable[Task], field: str) -> list[Cycle]:
    """Return the intervals that policies set for any of these tasks."""
    reached = tuple(tasks)
    return [
        cycle
        for policy in policies
        if any(binds(policy, task) for task in reached)
        for cycle in own(getattr(policy, field), origin_of(policy))
    ]


def shortest(day: date, cycles: list[Cycle]) -> Cycle | None:
    """Return the interval that ends first; of equals the one named first, so the law before others."""
    return min(cycles, key=lambda cycle: cycle.from_day(day), default=None)
