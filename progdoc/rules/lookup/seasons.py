"""The months that people write into a text: one of each year, and the row of months in which work is done."""

from __future__ import annotations

import re
from calendar import monthrange

from progdoc.model.description.calendar_entries import Month

__all__ = ["days_of_season", "months_each_year"]

_MONTHS = tuple(month.value for month in Month)
_A_MONTH = "|".join(_MONTHS)
_NAME = re.compile(_A_MONTH, re.IGNORECASE)
# "in March 2026" is a day that was, or one that is to come once
_EACH_YEAR = re.compile(
    rf"\b(?:every|each|in) ((?:{_A_MONTH})(?:(?:,|,? and) (?:{_A_MONTH}))?)\b(?! \d)", re.IGNORECASE
)
_ROW = re.compile(rf"\b({_A_MONTH})(?: (?:to|through|till|until|–|-) |–|-)({_A_MONTH})\b(?! \d)", re.IGNORECASE)
_NOT_THEN_ALONE = re.compile(r"\b(?:not|never|except|but|outside|without|apart|besides?|also|more)\b", re.IGNORECASE)
_LEAP = 2028  # the longest February


def months_each_year(text: str) -> list[int]:
    """Return the months that a text names as its own of each year, 1 for January.

    >>> [months_each_year(words) for words in ("Every March", "In May and October", "After March 2026", "By March")]
    [[3], [5, 10], [], []]
    """
    found = _EACH_YEAR.findall(text)
    return [_MONTHS.index(name.capitalize()) + 1 for words in found for name in _NAME.findall(words)]


def days_of_season(text: str) -> int | None:
    """Return the days of the one row of months that a text names; None where it names none, or anything beside it.

    >>> [days_of_season(text) for text in ("April to October", "From November through March", "Not June to August")]
    [214, 152, None]
    """
    rows = _ROW.findall(text)
    if len(rows) != 1 or _NOT_THEN_ALONE.search(text):
        return None
    first, last = (_MONTHS.index(name.capitalize()) for name in rows[0])
    return sum(monthrange(_LEAP, number % 12 + 1)[1] for number in range(first, last + 1 + 12 * (last < first)))
