"""Intervals as people write them, laid from a day on; and the shortest of several, with who set it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import lru_cache

from progdoc.calc.due_dates import due_date
from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.masks import Mask
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.workplace import Task
from progdoc.rules.in_force.rule_set import RuleSet, candidates
from progdoc.rules.judged.figure_results import OWN, InForce, Setter

__all__ = ["Cycle", "cycle_of", "cycles", "own", "shortest"]

_DAYS = {"day": 1, "week": 7}
_MONTHS = {"month": 1, "year": 12}


@lru_cache(maxsize=4096)  # of thousands of people most were tested, trained and seen on the same few days
def _ends(day: date, months: int, days: int) -> date:
    return due_date(day, months=months, days=days)


@dataclass(frozen=True, slots=True)
class Cycle:
    """An interval that comes round again, and who set it."""

    months: int
    days: int
    basis: str
    setter: Setter = Setter.LAW
    text: str = ""  # as it is printed

    def from_day(self, day: date) -> date:
        """Return the due date of something done on a day."""
        return _ends(day, self.months, self.days)

    @property
    def cites(self) -> dict[str, str]:
        """What a finding cites in the place of its own paragraph; nothing where the law set the interval."""
        return {} if self.setter is Setter.LAW else {"citation": self.basis}


def cycle_of(found: InForce) -> Cycle:
    """Return an interval in force as one that comes round again."""
    if not isinstance(found.value, Quantity):
        raise TypeError(f"{found.text} is no interval")
    count, unit = int(found.value.value), found.value.unit
    months, days = count * _MONTHS.get(unit, 0), count * _DAYS.get(unit, 0)
    return Cycle(months, days, found.origin, found.setter, found.value.printed)


def cycles(rules: RuleSet, name: str, tasks: Iterable[Task], masks: Iterable[Mask] | None = None) -> tuple[Cycle, ...]:
    """Return every interval that binds these masks in these tasks, the law's first."""
    return tuple(cycle_of(found) for found in candidates(rules, name, tasks, masks))


def own(interval: Quantity | None) -> tuple[Cycle, ...]:
    """Return an interval that the firm set itself, if it set one."""
    return () if interval is None else (cycle_of(InForce(interval, interval.printed, OWN, Setter.FIRM)),)


def shortest(day: date, found: Iterable[Cycle]) -> Cycle | None:
    """Return the interval that ends first; of equals the one named first, so the law before others."""
    return min(found, key=lambda cycle: cycle.from_day(day), default=None)
