"""The figures of the law on a day, and what is in force of each: how much, and who set it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from enum import StrEnum

from progdoc.core.errors import ResourceError
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import text_of
from progdoc.core.said import said, said_measure
from progdoc.model.description.policies import Policy
from progdoc.model.description.quantities import Dimension, Quantity, in_unit, unit_symbol
from progdoc.rules.judged.published import LocalLimit

__all__ = [
    "NUMBER",
    "OWN",
    "YES_NO",
    "Figure",
    "InForce",
    "Law",
    "LawValue",
    "PrintedFigures",
    "Setter",
    "Stricter",
    "printed",
]

NUMBER, YES_NO = "number", "yes-no"  # the kinds that are no quantity
OWN = said("this program")

Figure = Quantity | float | bool


class Stricter(StrEnum):
    """Which way a figure asks for more."""

    LOWER = "lower"
    HIGHER = "higher"
    YES = "yes"
    NO = "no"


class Setter(StrEnum):
    """Who set a figure."""

    LAW = "law"  # with its packs
    FIRM = "firm"
    POLICY = "policy"


_AS_WRITTEN = 9  # digits: more than any law prints; 554.9 is not 555, where a step ends


def printed(value: Figure | None, text: str, kind: str) -> str:
    """Return a figure as a page shows it: as it was written, with the unit's own sign."""
    if not isinstance(value, Quantity):
        return said_measure(text)
    if kind == Dimension.INTERVAL:
        return value.printed
    return said_measure(text_of(value.value, unit_symbol(value.unit), digits=_AS_WRITTEN).replace("-", "−"))


@dataclass(frozen=True, slots=True)
class LawValue:
    """One figure for a span of time."""

    id: str
    words: str  # what it is the figure of
    kind: str  # a dimension, "number" or "yes-no"
    stricter: Stricter
    value: Figure | None  # None: the law sets none
    text: str  # as it is written and printed
    citation: str
    in_force_from: date
    in_force_until: date | None
    policy: str = ""  # the field by which a policy tightens it
    program: str = ""  # where the description says the firm's own
    is_measured: bool = False  # the program's figure is what was found, not a limit that the firm sets itself
    binds: str = ""  # what it is about, a key of `policy_scope.SCOPES`: there a policy ends silence
    state: str = ""  # the state whose work alone it binds; "" where it binds everywhere

    @property
    def printed(self) -> str:
        """The figure as a page shows it."""
        return printed(self.value, self.text, self.kind)

    def holds_on(self, day: date) -> bool:
        return self.in_force_from <= day and (self.in_force_until is None or day <= self.in_force_until)


@dataclass(frozen=True, slots=True)
class Law:
    """The figures in force on one day, by id; of one id the later pack's. What states set binds their work alone."""

    values: Mapping[str, LawValue]
    of_states: tuple[LawValue, ...] = ()  # `in_force.local_limits.law_for` says what they change for some tasks
    limits: tuple[LocalLimit, ...] = ()  # of packs: those of the federal tables are in `lookup`

    def __getitem__(self, name: str) -> LawValue:
        return self.values[name]

    def amount(self, name: str, unit: str) -> float:
        """Return a figure that the law sets, in a unit."""
        value = self.values[name].value
        if not isinstance(value, Quantity):
            raise ResourceError(f"the catalogue sets no quantity for {name}")
        return in_unit(value, unit)

    def number(self, name: str) -> float:
        """Return a figure that the law sets and that has no unit."""
        value = self.values[name].value
        if not isinstance(value, float):
            raise ResourceError(f"the catalogue sets no number for {name}")
        return value


@dataclass(frozen=True, slots=True)
class InForce:
    """A figure, and who set it in words: a paragraph, a policy, this program."""

    value: Figure
    text: str
    origin: str
    setter: Setter = Setter.LAW

    @property
    def printed(self) -> str:
        """The figure as a page shows it; calendar time as it was written."""
        is_calendar = isinstance(self.value, Quantity) and self.value.unit in ("day", "week", "month", "year")
        return printed(self.value, self.text, Dimension.INTERVAL if is_calendar else "")

    def amount(self, unit: str) -> float:
        """Return the figure in a unit."""
        if not isinstance(self.value, Quantity):
            raise TypeError(f"{self.text} has no unit")
        return in_unit(self.value, unit)

    @property
    def number(self) -> float:
        """The figure, where it has no unit."""
        if isinstance(self.value, Quantity):
            raise TypeError(f"{self.text} has a unit")
        return float(self.value)

    @property
    def cites(self) -> dict[str, str]:
        """What a finding cites in the place of its own paragraph, as words of a fault; nothing where the law set it."""
        return {} if self.setter is Setter.LAW else {"citation": self.origin}


@dataclass(frozen=True, slots=True)
class PrintedFigures:
    """The figures that documents print: the law's of the day, what is in force for all our tasks, who asks for more."""

    law: Law
    in_force: Mapping[str, InForce]  # by figure; absent where nobody sets it
    tightened: Mapping[str, tuple[tuple[Policy, InForce], ...]]  # by figure: policies that ask more than law and firm
    for_all: Mapping[str, InForce]  # the same without policies for some work, people or masks alone
    standby: Mapping[str, InForce]  # by task: how many stay outside while anybody is in its dangerous air
    hair_rules: Mapping[str, InForce]  # by person: who wants them clean-shaven
    of_states: tuple[LawValue, ...] = ()  # what states set that have some of our work
