"""Who has which duty, and which rules of the firm hold in a task, as pages print it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.house_rules import HouseRule
from progdoc.model.description.roles import Duty

__all__ = ["DutyHeld", "Responsibilities"]


@dataclass(frozen=True, slots=True)
class DutyHeld:
    """One duty of one role: for whom, who has it, who stands in, all in words, and where that stands."""

    duty: Duty
    whom: str
    role: str
    holders: str
    deputies: str
    path: str


@dataclass(frozen=True, slots=True)
class Responsibilities:
    """The duties in the order of the program, those told already where a procedure asks who, and the rules by task."""

    duties: tuple[DutyHeld, ...] = ()
    told: frozenset[Duty] = frozenset()
    rules_by_task: Mapping[str, tuple[tuple[str, HouseRule], ...]] = field(default_factory=dict)
