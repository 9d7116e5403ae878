"""The protection factors that a text names: as a number, or by the kind of mask it speaks of.

The words are data (`catalogue/tables/mask_words.yaml`), the factors those of Table 1 of 29 CFR 1910.134(d)(3)(i)(A). A
text that leaves open where the air of a mask comes from names a range.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache
from math import inf

from progdoc.rules.lookup.law_tables import assigned_factors_for
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import clauses_without

__all__ = ["factors_in", "factors_written"]

_CLEANS = ("air-purifying",)


def factors_in(text: str) -> tuple[float, float, str] | None:
    """Return the lowest and the highest factor that a text allows, and its words; None where it names no mask.

    >>> factors_in("A half mask is enough"), factors_in("A half mask is not enough")
    ((10.0, 10.0, 'half mask'), None)
    >>> factors_in("Full facepiece or better"), factors_in("Powered mask"), factors_in("APF 25")
    ((50.0, inf, 'Full facepiece'), (25.0, 1000.0, 'Powered'), (25.0, 25.0, 'APF 25'))
    """
    clauses = tuple(clauses_without("denials", text))
    written = [found for clause in clauses for found in factors_written(clause)]
    named = [(factor, words) for factor, words in written] or [one for clause in clauses for one in _by_mask(clause)]
    if not named:
        return None
    factors, words = [factor for factor, _ in named], list(dict.fromkeys(words for _, words in named))
    is_least = any(_words(_at_least()).search(clause) for clause in clauses)
    return min(factors), inf if is_least else max(factors), ", ".join(words)


def factors_written(text: str) -> Iterator[tuple[float, str]]:
    """Yield the factors that a text names as numbers.

    >>> list(factors_written("Factor 1,200 in the workplace; APF of 25"))
    [(1200.0, 'Factor 1,200'), (25.0, 'APF of 25')]
    """
    for match in _factor().finditer(text):
        yield _spelt().get(match["number"].lower()) or float(re.sub(r"[ ,]", "", match["number"])), match[0]


def _by_mask(clause: str) -> Iterator[tuple[float, str]]:
    """Yield each factor that the mask of a clause may have, with the words that name it."""
    air = next((one for one in table_entries("mask_words", "air") if _words(tuple(one["words"])).search(clause)), None)
    modes = tuple(air["modes"]) if air else _CLEANS
    is_named = False
    entries = sorted(table_entries("mask_words", "facepieces"), key=lambda entry: "only_alone" in entry)
    for entry in entries:
        found = _words(tuple(entry["words"])).search(clause)
        if found and (air or "only_with_air" not in entry) and not (is_named and "only_alone" in entry):
            is_named = True
            yield from ((factor, found[0]) for factor in _factors(modes, (str(entry["facepiece"]),)))
    if air and not is_named:
        kinds = tuple(str(entry["facepiece"]) for entry in table_entries("mask_words", "facepieces"))
        found = _words(tuple(air["words"])).search(clause)
        yield from ((factor, found[0] if found else "") for factor in _factors(modes, kinds))


@cache
def _factors(modes: tuple[str, ...], facepieces: tuple[str, ...]) -> tuple[float, ...]:
    cells = (cell for mode in modes for kind in facepieces for cell in assigned_factors_for(mode, kind))
    return tuple(sorted({float(cell.apf) for cell in cells if cell.apf is not None}))


@cache
def _spelt() -> dict[str, float]:
    return {str(one["word"]): float(one["means"]) for one in table_entries("mask_words", "numbers")}


@cache
def _factor() -> re.Pattern[str]:
    number = "|".join((r"\d{1,3}(?:[, ]?\d{3})*", *sorted(_spelt(), key=len, reverse=True)))
    named = r"\b(?:apf|protection factor|factor)s?(?: (?:of|is|at|least|about)|:|=)* ?"
    return re.compile(rf"{named}(?P<number>{number})\b(?! ?(?:%|percent))", re.IGNORECASE)


@cache
def _at_least() -> tuple[str, ...]:
    return tuple(str(word) for word in table_entries("mask_words", "at_least"))


@cache
def _words(words: Iterable[str]) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, words))})", re.IGNORECASE)
