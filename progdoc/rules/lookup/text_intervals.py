"""Intervals, counts and quantities as people write them into a text: “twice a year”, “two stand by”, “140 °F”.

The words are data (`catalogue/tables/text_beside.yaml`). What a text says beyond them is never judged.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Any

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.quantities import Dimension, Quantity, parse_quantity
from progdoc.rules.lookup.spelt_times import times_in
from progdoc.rules.lookup.table_files import table_entries

__all__ = [
    "Named",
    "counts_in",
    "intervals_in",
    "quantities_in",
    "spans_days",
    "speaks_of",
    "texts_beside",
    "weekdays_in",
]

_DAYS = {"day": 1, "week": 7}
_MONTHS = {"month": 1, "year": 12}
_UNITS = "ft|feet|m|min|minutes?|h|hours?|days?|weeks?|months?|years?|times|ppm|F|C"  # a number before one is no count
_FIGURE = re.compile(r"(?:-|(?<![0-9]))[0-9]+(?:\.[0-9]+)? ?(?:°|º)?[A-Za-zµμ%][\w/³]*")
_CLAUSE = re.compile(r"[.;:,]\s|\bbut\b")


@dataclass(frozen=True, slots=True)
class Named:
    """An interval that a text names, in the text's own words."""

    words: str
    months: Fraction  # none where it is given in days
    days: Fraction


def texts_beside() -> Iterator[dict[str, Any]]:
    """Yield the figures that a text may speak of, as `text_beside.yaml` lists them."""
    return iter(table_entries("text_beside", "beside"))


def speaks_of(text: str, about: list[str]) -> Iterator[str]:
    """Yield the clauses of a text in which one of some words begins.

    >>> list(speaks_of("Counter calibrated yearly, fit tests twice a year", ["fit test"]))
    ['fit tests twice a year']
    """
    return (clause for clause in _CLAUSE.split(text) if _one_of(*about).search(clause))


def intervals_in(text: str) -> Iterator[Named]:
    """Yield the intervals that a text names.

    >>> [str(found.months) for found in intervals_in("Twice a year, or every 4 months; quarterly in winter")]
    ['6', '4', '3']
    """
    for match in _pattern().finditer(text):
        if match["adverb"]:
            yield _named(match[0], _meaning("adverbs")[match["adverb"].lower()], Fraction(1))
        elif match["unit"]:
            yield _named(match[0], _meaning("units")[match["unit"].lower()], Fraction(_number(match["count"] or "1")))
        else:
            often = _meaning("times")[match["times"].lower()] if match["times"] else match["many"]
            share = Fraction(1, max(_number(often), 1))
            yield _named(match[0], _meaning("units")[match["per"].lower()], share)


def weekdays_in(text: str) -> frozenset[str]:
    """Return the days of the week that a text names, those between two days too.

    >>> sorted(weekdays_in("Mondays and Thursdays, not on the first Monday")), len(weekdays_in("Mon-Fri"))
    (['monday', 'thursday'], 5)
    """
    days = tuple(map(str, table_entries("text_beside", "weekdays")))
    named = {day for day in days if day in text.casefold()}
    for match in _span_of_days().finditer(text.casefold()):
        first, last = (next(i for i, day in enumerate(days) if day.startswith(end[:3])) for end in match.groups())
        named |= {days[i % len(days)] for i in range(first, first + (last - first) % len(days) + 1)}
    return frozenset(named)


def spans_days(text: str) -> bool:
    """Return whether a text names a row of days of the week: “Monday to Friday”."""
    return _span_of_days().search(text.casefold()) is not None


@cache
def _span_of_days() -> re.Pattern[str]:
    day = "|".join(f"{str(day)[:3]}(?:[a-z]*day)?s?" for day in table_entries("text_beside", "weekdays"))
    return re.compile(rf"\b({day})\.?(?: ?[-–] ?| to | through | until | till )({day})\b")


def quantities_in(text: str, dimension: Dimension) -> Iterator[Quantity]:
    """Yield what a text names of one dimension, in figures or spelt out.

    >>> [q.unit for q in quantities_in("Washed at 140 °F for 10 min", Dimension.TEMPERATURE)]
    ['F']
    """
    for written in (*(match[0] for match in _FIGURE.finditer(text)), *times_in(text)):
        try:
            yield parse_quantity(written, dimension)
        except ValueError:
            continue  # of another dimension, or no quantity


def counts_in(text: str) -> Iterator[tuple[str, int]]:
    """Yield the plain numbers that a text names, each in its own words; one with a unit is no count.

    >>> list(counts_in("Two or more stand by within 50 ft"))
    [('Two', 2)]
    """
    for match in _number_pattern().finditer(text):
        yield match[0], _number(match[0])


def _named(words: str, interval: str, share: Fraction) -> Named:
    count, _, unit = interval.partition(" ")
    amount = int(count) * share
    unit = unit.removesuffix("s")
    return Named(words, amount * _MONTHS.get(unit, 0), amount * _DAYS.get(unit, 0))


def _number(word: str) -> int:
    if word.isdigit():
        return int(word)
    return int(_meaning("ordinals").get(word.lower()) or _numbers().index(word.lower()))


@cache
def _numbers() -> tuple[str, ...]:
    return tuple(str(word) for word in table_entries("text_beside", "numbers"))


@cache
def _meaning(name: str) -> dict[str, str]:
    return {str(entry["word"]): str(entry["means"]) for entry in table_entries("text_beside", name)}


@cache
def _one_of(*words: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, words))})", re.IGNORECASE)


@cache
def _pattern() -> re.Pattern[str]:
    number, unit = rf"\d{{1,3}}|{'|'.join(_numbers())}", "|".join(_meaning("units"))
    nth = "|".join(_meaning("ordinals"))
    every = rf"\b(?:every|each) (?:(?P<count>{number}|{nth}) )?(?P<unit>{unit})s?\b"
    often = rf"(?P<times>{'|'.join(_meaning('times'))})|(?P<many>{number}) times"
    adverb = rf"\b(?P<adverb>{'|'.join(_meaning('adverbs'))})\b"
    return re.compile(rf"{every}|\b(?:{often}) (?:a|per|each|every) (?P<per>{unit})\b|{adverb}", re.IGNORECASE)


@cache
def _number_pattern() -> re.Pattern[str]:
    digits = rf"\d{{1,5}}(?![\w.,]*\d)(?! ?(?:[%°]|\w+/|(?:{_UNITS})\b))"
    return re.compile(rf"(?<![\w.,])(?:{digits}|(?:{'|'.join(_numbers())})(?! (?:{_UNITS})\b))\b", re.IGNORECASE)
