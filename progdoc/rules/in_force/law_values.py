"""The figures of the law as they stand on a day: each with its unit, its paragraph and the direction that tightens it.

They are data (`catalogue/us_federal/values.yaml`, and a `values:` list of any later pack); no number of the law
stands in Python. Where the law sets none, the entry says only what a pack, a policy or the firm may set.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from progdoc.core.errors import ResourceError
from progdoc.core.numbers import text_of
from progdoc.model.description.quantities import (
    Dimension,
    Quantity,
    in_unit,
    is_comparable,
    parse_quantity,
    unit_symbol,
)

__all__ = ["NUMBER", "YES_NO", "Figure", "Law", "LawValue", "Stricter", "excess", "figure_of", "is_looser", "law_on"]

NUMBER, YES_NO = "number", "yes-no"  # the kinds that are no quantity
_DAYS_IN_MONTH = 365 / 12  # 30 days pass for a month and 365 for a year, 31 and 366 do not
_CALENDAR = ("month", "year")

Figure = Quantity | float | bool


class Stricter(StrEnum):
    """Which way a figure asks for more."""

    LOWER = "lower"
    HIGHER = "higher"
    YES = "yes"
    NO = "no"


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
    binds: str = ""  # what the program has to do with before it must say so, a key of `policy_scope.SCOPES`

    @property
    def printed(self) -> str:
        """The figure as a page shows it: with the unit's own sign; an interval as it was written."""
        if not isinstance(self.value, Quantity) or self.kind == Dimension.INTERVAL:
            return self.text
        return text_of(self.value.value, unit_symbol(self.value.unit)).replace("-", "−")

    def holds_on(self, day: date) -> bool:
        return self.in_force_from <= day and (self.in_force_until is None or day <= self.in_force_until)


@dataclass(frozen=True, slots=True)
class Law:
    """The figures in force on one day, by id; of one id the later pack's."""

    values: Mapping[str, LawValue]

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


def law_on(values: Iterable[LawValue], day: date) -> Law:
    """Return the figures of a day; of several for one id the last."""
    return Law({value.id: value for value in values if value.holds_on(day)})


def figure_of(text: str, kind: str) -> Figure:
    """Read a figure of some kind; ValueError says why it can't be read.

    >>> figure_of("100", "number"), figure_of("12 months", "interval").value
    (100.0, 12.0)
    """
    if kind == NUMBER:
        return float(text)
    if kind == YES_NO:
        if text not in ("yes", "no"):
            raise ValueError("write yes or no.")
        return text == "yes"
    return parse_quantity(text, Dimension(kind))


def _days(value: Quantity) -> float:
    return in_unit(value, "month") * _DAYS_IN_MONTH if value.unit in _CALENDAR else in_unit(value, "day")


def excess(one: Figure, other: Figure, kind: str) -> float | None:
    """Return how far one figure lies above another; None where they cannot be compared."""
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        if kind == Dimension.INTERVAL:
            return _days(one) - _days(other)
        return in_unit(one, other.unit) - other.value if is_comparable(one, other) else None
    if isinstance(one, Quantity) or isinstance(other, Quantity):
        return None
    return float(one) - float(other)


def is_looser(rule: LawValue, value: Figure, than: Figure) -> bool:
    """Say whether a figure asks for less than another; what cannot be compared counts as looser."""
    if rule.stricter in (Stricter.YES, Stricter.NO):
        return than is (rule.stricter is Stricter.YES) and value is not than
    over = excess(value, than, rule.kind)
    return over is None or (over > 0 if rule.stricter is Stricter.LOWER else over < 0)
