"""Figures of the law as text and as numbers: which are in force on a day, and which of two asks for less.

They are data (`catalogue/us_federal/values.yaml`, and a `values:` list of any later pack); no number of the law
stands in Python. Where the law sets none, the entry says only what a pack, a policy or the firm may set.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from math import isfinite
from typing import Any

from progdoc.model.description.quantities import Dimension, Quantity, alike, in_unit, is_comparable, parse_quantity
from progdoc.rules.judged.figure_results import NUMBER, YES_NO, Figure, Law, LawValue, Stricter
from progdoc.rules.judged.published import LocalLimit

__all__ = ["excess", "figure_of", "is_looser", "law_on", "over"]

_DAYS_IN_MONTH = 365 / 12  # 30 days pass for a month and 365 for a year, 31 and 366 do not
_CALENDAR = ("month", "year")
_CALENDAR_WORDS = ("month", "months", "year", "years")


def law_on(values: Iterable[LawValue], day: date, limits: Iterable[LocalLimit] = ()) -> Law:
    """Return the figures and the packs' limits of a day; of several figures for one id, in one state, the last."""
    last = {(value.state, value.id): value for value in values if value.holds_on(day)}
    return Law(
        {value.id: value for value in last.values() if not value.state},
        tuple(value for value in last.values() if value.state),
        tuple(limit for limit in limits if limit.holds_on(day)),
    )


def figure_of(text: str, kind: str) -> Figure:
    """Read a figure of some kind; ValueError says why it can't be read.

    >>> figure_of("100", "number"), figure_of("12 months", "interval").value
    (100.0, 12.0)
    """
    if kind == NUMBER:
        number = float(text)
        if not isfinite(number):
            raise ValueError("write a number.")
        return number
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


def over(value: Any, limit: Any) -> float | None:
    """Return how far a stated value lies above a limit that is written as text; None where they can't be compared.

    >>> over(parse_quantity("12 months", Dimension.INTERVAL), "365 days")
    0.0
    """
    if not isinstance(value, Quantity):
        return float(value) - float(limit)
    try:
        if value.unit in _CALENDAR or str(limit).endswith(_CALENDAR_WORDS):
            return excess(value, parse_quantity(str(limit), Dimension.INTERVAL), Dimension.INTERVAL)
        other = alike(str(limit), value)
    except ValueError:  # a limit of another kind of quantity
        return None
    return in_unit(value, other.unit) - other.value if is_comparable(value, other) else None


def is_looser(rule: LawValue, value: Figure, than: Figure) -> bool:
    """Say whether a figure asks for less than another; what cannot be compared counts as looser."""
    if rule.stricter in (Stricter.YES, Stricter.NO):
        return than is (rule.stricter is Stricter.YES) and value is not than
    over = excess(value, than, rule.kind)
    return over is None or (over > 0 if rule.stricter is Stricter.LOWER else over < 0)
