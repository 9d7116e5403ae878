"""Times that a text spells out: “three hours”, “an hour and a half”, “half a shift”, “2½ h”.

The words are data (`catalogue/tables/text_beside.yaml`). “A day” alone is a rate as often as a time (“three days a
week”), so that an article counts only behind a word that asks for a time: “after a day”.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import cache

from progdoc.rules.lookup.table_files import table_entries

__all__ = ["blocks_in", "shifts_in", "times_in"]

_UNITS = {"hour": "h", "hr": "h", "h": "h", "minute": "min", "min": "min"}
_SHIFTS = ("shift", "working day", "workday")


def times_in(text: str) -> Iterator[str]:
    """Yield the times that a text spells out, each as a number with its unit.

    >>> list(times_in("After three hours, or an hour and a half in summer; half an hour at the lathe"))
    ['3 h', '1.5 h', '0.5 h']
    >>> list(times_in("After two weeks; two days a week")), list(times_in("2½ hours"))
    (['2 week', '2 day'], ['2.5 h'])
    """
    for amount, unit, _ in _found(text):
        if unit not in _SHIFTS:
            yield f"{float(amount):g} {_UNITS.get(unit, unit)}"


def blocks_in(text: str) -> Iterator[str]:
    """Yield the times by which a text counts, each as a number with its unit: “every four-hour block”.

    >>> list(blocks_in("After each two-hour block; 8-hour shifts")), list(blocks_in("Every 8-hour shift"))
    (['2 h'], ['8 h'])
    """
    for match in _block_pattern().finditer(text):
        yield f"{float(_number(match['count'].lower())):g} {_UNITS[match['unit'].lower()]}"


def shifts_in(text: str) -> Iterator[tuple[Fraction, str]]:
    """Yield the shares of a shift, or the shifts, that a text spells out, each with its words.

    >>> [(str(share), words) for share, words in shifts_in("After half a shift, or two shifts in winter")]
    [('1/2', 'half a shift'), ('2', 'two shifts')]
    """
    return ((amount, words) for amount, unit, words in _found(text) if unit in _SHIFTS)


def _found(text: str) -> Iterator[tuple[Fraction, str, str]]:
    for match in _pattern().finditer(text):
        groups = {name.rstrip("0123456789"): found.lower() for name, found in match.groupdict().items() if found}
        whole = _number(groups["count"]) if "count" in groups else Fraction("article" in groups)
        extra = sum((_parts()[groups[name]] for name in ("part", "sign", "more") if name in groups), Fraction(0))
        yield whole + extra, groups["unit"].removesuffix("s"), match[0]


def _number(word: str) -> Fraction:
    return Fraction(word) if word[0].isdigit() else _numbers()[word]


@cache
def _numbers() -> dict[str, Fraction]:
    names = {str(word): Fraction(i) for i, word in enumerate(table_entries("text_beside", "numbers"))}
    return names | {str(one["word"]): Fraction(str(one["means"])) for one in table_entries("text_beside", "amounts")}


@cache
def _parts() -> dict[str, Fraction]:
    return {str(one["word"]): Fraction(str(one["means"])) for one in table_entries("text_beside", "parts")}


def _any(words: Iterable[str]) -> str:
    return "|".join(map(re.escape, sorted(words, key=len, reverse=True)))


@cache
def _pattern() -> re.Pattern[str]:
    spelt = [word for word in _parts() if word.isascii()]
    signs = [word for word in _parts() if not word.isascii()]
    unit = rf"(?:{_any((*_UNITS, *_SHIFTS, 'day', 'week', 'month'))})s?\b"
    before = [str(word) for word in table_entries("text_beside", "asks_for_a_time")]
    more = rf"(?: and an? (?P<more#>{_any(spelt)}))"
    ways = (
        rf"(?:a )?(?P<part#>{_any(spelt)}) (?:of )?(?:(?:an?|the|one|each|every) )?(?P<unit#>{unit})",
        rf"(?P<count#>\d{{0,3}}) ?(?P<sign#>{_any(signs)}) ?(?P<unit#>{unit})",
        rf"(?P<count#>\d{{1,3}}|{_any(_numbers())}){more} (?P<unit#>{unit})",
        rf"(?P<count#>{_any(_numbers())}) (?P<unit#>{unit}){more}?",
        rf"(?P<article#>an?|one) (?P<unit#>{unit}){more}",
        *(rf"(?<={re.escape(word)} )(?P<article#>an?|one) (?P<unit#>{unit})" for word in before),
    )
    joined = "|".join(way.replace("#>", f"{i}>") for i, way in enumerate(ways))
    return re.compile(rf"(?<![\w/.,])(?:{joined})", re.IGNORECASE)


@cache
def _block_pattern() -> re.Pattern[str]:
    number, unit = rf"\d{{1,3}}|{_any(_numbers())}", _any(_UNITS)
    return re.compile(
        rf"\b(?:every|each|after|per) (?:(?:each|every|an?|the) )?(?P<count>{number})-(?P<unit>{unit})\b", re.IGNORECASE
    )
