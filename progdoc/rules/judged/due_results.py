"""What falls due, and when, in the order in which to do it."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from progdoc.core.late_dataclass import dataclass

__all__ = ["Kind", "Outlook", "OutlookItem"]


class Kind(StrEnum):
    """What has to be done."""

    MEDICAL = "medical"
    FIT_TEST = "fit-test"
    TRAINING = "training"
    INFORMATION = "information"
    READING = "reading"
    INSPECTION = "inspection"
    CYLINDER = "cylinder"
    FLOW_TEST = "flow-test"
    LAST_DAY = "last-day"
    WITHDRAWAL = "withdrawal"
    AIR_TEST = "air-test"
    EXPOSURE = "exposure"
    EVALUATION = "evaluation"
    CORRECTION = "correction"
    ACCEPTANCE = "acceptance"
    POLICY = "policy"
    ROUTINE = "routine"


@dataclass(frozen=True, slots=True)
class OutlookItem:
    """One thing to be done by a day, as it stands on the day of evaluation."""

    id: str
    kind: Kind
    due: date | None  # the last day on which the record counts; None: at once
    what: str
    because: str  # what is on record, or why at once
    basis: str  # the paragraph, the policy, the maker, the professional, this program
    path: str
    subject: tuple[str, ...]
    state: str  # now, overdue, soon or later
    comes_up: tuple[date, ...]  # the days of the year ahead on which it comes up, each round done when due


@dataclass(frozen=True, slots=True)
class Outlook:
    """Everything that falls due, in the order in which to do it."""

    as_of: date
    within_days: int
    year: tuple[date, ...]  # the first days of the thirteen months from the day of evaluation on
    year_ends: date
    overdue: tuple[OutlookItem, ...]  # first what is due at once, then by day
    soon: tuple[OutlookItem, ...]
    later: tuple[OutlookItem, ...]

    @property
    def items(self) -> tuple[OutlookItem, ...]:
        return self.overdue + self.soon + self.later

    @property
    def next(self) -> tuple[OutlookItem, ...]:
        """The first item of each kind after the days looked ahead."""
        first: dict[Kind, OutlookItem] = {}
        for item in self.later:
            first.setdefault(item.kind, item)
        return tuple(first.values())
