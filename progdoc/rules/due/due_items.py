"""What falls due, and when: for people, devices, air, the program itself.

Ids are stable: the same duty keeps its id through the years, so that a calendar entry is updated and not
doubled. An item without a day is due at once, because nothing is on record. Nothing here asks what day it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from progdoc.calc.due_dates import is_overdue
from progdoc.rules.in_force.intervals import Cycle

__all__ = ["DueItem", "Kind", "Outlook", "outlook", "rounds"]


class Kind(StrEnum):
    """What has to be done."""

    MEDICAL = "medical"
    FIT_TEST = "fit-test"
    TRAINING = "training"
    INFORMATION = "information"
    INSPECTION = "inspection"
    CYLINDER = "cylinder"
    AIR_TEST = "air-test"
    EXPOSURE = "exposure"
    EVALUATION = "evaluation"
    CORRECTION = "correction"
    ACCEPTANCE = "acceptance"


@dataclass(frozen=True, slots=True)
class DueItem:
    """One thing to be done by a day."""

    id: str
    kind: Kind
    due: date | None  # the last day on which the record counts; None: at once
    what: str
    because: str  # what is on record, or why at once
    basis: str  # the paragraph, the policy, the maker, the professional, this program
    path: str
    subject: tuple[str, ...] = ()
    cycle: Cycle | None = None  # how it comes round again

    def state(self, as_of: date, within_days: int) -> str:
        """Return now, overdue, soon or later."""
        if self.due is None:
            return "now"
        if is_overdue(self.due, as_of):
            return "overdue"
        return "soon" if (self.due - as_of).days <= within_days else "later"


@dataclass(frozen=True, slots=True)
class Outlook:
    """Everything that falls due, in the order in which to do it."""

    as_of: date
    within_days: int
    overdue: tuple[DueItem, ...]  # first what is due at once, then by day
    soon: tuple[DueItem, ...]
    later: tuple[DueItem, ...]

    @property
    def items(self) -> tuple[DueItem, ...]:
        return self.overdue + self.soon + self.later

    @property
    def next(self) -> tuple[DueItem, ...]:
        """The first item of each kind after the days looked ahead."""
        first: dict[Kind, DueItem] = {}
        for item in self.later:
            first.setdefault(item.kind, item)
        return tuple(first.values())


def outlook(items: Iterable[DueItem], as_of: date, within_days: int) -> Outlook:
    """Sort what falls due into overdue, due within some days, and later."""
    ordered = sorted(items, key=lambda item: (item.due or date.min, list(Kind).index(item.kind), item.id))
    by_state: dict[str, list[DueItem]] = {}
    for item in ordered:
        by_state.setdefault(item.state(as_of, within_days), []).append(item)
    return Outlook(
        as_of,
        within_days,
        tuple(by_state.get("now", []) + by_state.get("overdue", [])),
        tuple(by_state.get("soon", [])),
        tuple(by_state.get("later", [])),
    )


def rounds(item: DueItem, as_of: date, until: date) -> Iterator[date]:
    """Yield the days on which an item comes up to and on a last day, each round done on its due date.

    What is due at once or overdue comes up on the day of evaluation, and its next round counts from there.
    """
    day = max(item.due or as_of, as_of)
    while day <= until:
        yield day
        if item.cycle is None:
            return
        day = item.cycle.from_day(day)
