"""What falls due for people, gathered into days on which it can be done for many at once."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from enum import StrEnum

from progdoc.core.late_dataclass import dataclass
from progdoc.rules.judged.due_results import OutlookItem

__all__ = ["DayKind", "DayPlan", "Gear", "PlannedDay", "PlannedItem"]


class DayKind(StrEnum):
    """What is done on a day; in this order where several are due for one person."""

    CLINIC = "clinic"
    CLASS = "class"
    FIT_TESTS = "fit-tests"


@dataclass(frozen=True, slots=True)
class PlannedItem:
    """One thing that is due for somebody, and the last day on which it is in time here."""

    item: OutlookItem
    person: str  # the id
    name: str
    by: date  # the day of evaluation where it is overdue already
    is_late: bool
    comes_first: bool  # it would be due later, and has to come before the person's fit test


@dataclass(frozen=True, slots=True)
class Gear:
    """Masks of one kind and size to bring, for how many people, and the filters and cartridges that belong to them."""

    mask: str
    size: str
    people: int
    filters: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """A day for several: the last one on which all of them are in time; the day of evaluation where some are late."""

    kind: DayKind
    latest: date
    items: tuple[PlannedItem, ...]
    gear: tuple[Gear, ...] = ()
    protocols: tuple[str, ...] = ()

    @property
    def late(self) -> int:
        return sum(item.is_late for item in self.items)

    @property
    def people(self) -> tuple[tuple[str, str], ...]:
        """Whom to book, each once: id and name."""
        return tuple(dict.fromkeys((item.person, item.name) for item in self.items))


@dataclass(frozen=True, slots=True)
class DayPlan:
    """The days to arrange, the next one first."""

    as_of: date
    within_days: int
    together_days: int
    days: tuple[PlannedDay, ...]
    others: int  # things that fall due within the same days and are nobody's appointment: devices, air, the program
    firm: str
    officer: str
    officer_phone: str
    clinic: str
    clinic_phone: str
    trainer: str
    tester: str
    languages: Mapping[str, str]  # by person, the code of their own one, where it is said
    papers: tuple[str, ...]  # codes of the languages in which the firm has papers beside English
    unread_languages: frozenset[str]  # of those beside English, in which nobody is said to have read the translations

    def of_person(self, person: str) -> tuple[tuple[PlannedDay, PlannedItem], ...]:
        """What somebody is to be there for, in order."""
        return tuple((day, item) for day in self.days for item in day.items if item.person == person)
