"""Whether a text that is to tell who does something names anybody: a person, a role of the trade, or a proper name.

A closed rule: what names nobody can be written in more ways than a list can hold, so what names somebody is looked for.
The fields and the words are data: `catalogue/tables/who_words.yaml`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Set
from functools import cache, lru_cache

from progdoc.rules.lookup.clauses import TEXTS_KEPT, Words, clauses_of
from progdoc.rules.lookup.table_files import table_entries

__all__ = [
    "asks_who",
    "holds_a_name",
    "holds_a_proper_name",
    "is_called_alike",
    "names_a_holder",
    "names_somebody",
    "parts_of_names",
]

_INDEX = re.compile(r"\[\d+\]")
_WORD = re.compile(r"[^\W\d_]+")
_PARTS = re.compile(r"[;:!?]\s|(?<=\w{4})\.\s")  # what stands first in one of them has its capital for that
_TELLING = 4  # letters: shorter words join others
_LONG = 5  # letters: shorter words that end so are mostly no doers


def asks_who(path: str) -> bool:
    """Return whether the text at a place is to tell who does something.

    >>> asks_who("officer.deputies[0]"), asks_who("procedures.cleaning.where")
    (True, False)
    """
    return _INDEX.sub("[]", path) in _places("asks_who")


def holds_a_name(path: str) -> bool:
    """Return whether whoever is named at a place is known by it.

    >>> holds_a_name("people[3].name"), holds_a_name("masks[0].name")
    (True, False)
    """
    return _INDEX.sub("[]", path) in _places("holders")


def names_somebody(text: str, known: Set[str]) -> bool:
    """Return whether a text names somebody who is known, in whole or in part, a role, or somebody by a proper name.

    `known` is what `parts_of_names` returned.

    >>> [names_somebody(text, {"ada", "brook"}) for text in ("Ada, on Fridays", "ab", "The wearer", "One called Åsa")]
    [True, False, True, True]
    >>> [names_somebody(text, set()) for text in ("A dog", "CCTV", "By tradition", "Dr. Nobody", "On Friday")]
    [False, False, False, False, False]
    """
    return _names_any(text) or names_a_holder(text, known)


def names_a_holder(text: str, known: Set[str]) -> bool:
    """Return whether a text names one of those who are known, in whole or in part.

    >>> [names_a_holder(text, {"ada", "brook", "ab"}) for text in ("Ada, on Fridays", "AB", "Bert from the pub")]
    [True, True, False]
    """
    return not _small(text).isdisjoint(known)


def is_called_alike(text: str, others: Iterable[str]) -> bool:
    """Return whether all words of a text that tell who stand in one of others: somebody is named by what they are.

    >>> is_called_alike("Teacher of the course", ["The teacher of the two-day course"]), is_called_alike("My son", [""])
    (True, False)
    """
    words = {word for word in _small(text) if len(word) >= _TELLING}
    return bool(words) and any(words <= _small(other) for other in others)


def holds_a_proper_name(text: str) -> bool:
    """Return whether a word of a text, other than the first of a part, is a proper name.

    >>> holds_a_proper_name("Sheet of Hallam"), holds_a_proper_name("Somebody on a forum")
    (True, False)
    """
    return any(_is_a_name(word) for part in _PARTS.split(text) for word in _WORD.findall(part)[1:])


@lru_cache(maxsize=TEXTS_KEPT)
def _names_any(text: str) -> bool:
    if text.casefold() == text.upper():  # letters without case: their names cannot be told from their other words
        return True
    if any(_roles().search(clause) for clause in clauses_of(text)):
        return True
    if any(_does_something(word) for word in _small(text)):
        return True
    return holds_a_proper_name(text)


def _does_something(word: str) -> bool:
    one = word.removesuffix("s")
    return len(one) >= _LONG and one.endswith(tuple(_listed("doers"))) and one not in _listed("no_doers")


def _is_a_name(word: str) -> bool:
    return word[0].isupper() and not word.isupper() and word.casefold() not in _listed("no_names")


def _small(text: str) -> set[str]:
    return {word.casefold() for word in _WORD.findall(text)}


def parts_of_names(holders: Iterable[str]) -> frozenset[str]:
    """Return the words and the initials of names, in small letters, by which whoever bears them is known.

    >>> sorted(parts_of_names(["Ada Brook"]))
    ['ab', 'ada', 'brook']
    """
    rows = [[word for word in _WORD.findall(name) if word[0].isupper()] for name in holders]
    parts = {word.casefold() for row in rows for word in row if len(word) > 1}
    initials = {"".join(word[0] for word in row).casefold() for row in rows if len(row) > 1}
    return frozenset(parts | initials) - _listed("no_names")


@cache
def _places(name: str) -> frozenset[str]:
    return frozenset(map(str, table_entries("who_words", name)))


@cache
def _roles() -> Words:
    return Words(str(word) for group in table_entries("who_words", "roles") for word in group["words"])


@cache
def _listed(name: str) -> frozenset[str]:
    return frozenset(str(word) for group in table_entries("who_words", name) for word in group["words"])
