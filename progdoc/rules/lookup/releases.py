"""What a text that answers no question says against the program in which it is printed.

The words are data: `catalogue/tables/own_words.yaml`.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache

from progdoc.rules.lookup.clauses import TEXTS_KEPT, Words, clauses_of
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import telling

__all__ = ["certifies_itself", "released_by"]

_TITLE = 6  # words
_BRACKETS = re.compile(r"[()\[\]]")


@lru_cache(maxsize=TEXTS_KEPT)
def released_by(text: str) -> str:
    """Return the words by which a text lets somebody off a duty, or takes part of the program out of force; or nothing.

    >>> released_by("Beards under 5 mm are fine"), released_by("No beard is allowed, of whatever length")
    ('Beards under 5 mm are fine', '')
    >>> released_by("Respiratory Protection Program (void)"), released_by("Section 4 does not apply to the night shift")
    ('void', 'Section 4 does not apply to the night shift')
    >>> released_by("Nobody goes in before the fit test"), released_by("Masks hang in the office")
    ('', '')
    """
    for clause in (part for one in (*clauses_of(text), *_short(text)) for part in _BRACKETS.split(one) if part.strip()):
        if clause.strip().casefold() in _alone():
            return clause.strip()
        for about, says in _releases():
            found = says.search(clause)
            if found and about.search(clause) and not telling("denials").search(clause[: found.start()]):
                return clause.strip()
    return ""


def _short(text: str) -> tuple[str, ...]:
    """Return a title as one clause: what stands before its colon is what the rest is said of."""
    flat = " ".join(re.sub(r"[:,;]", " ", text).split())
    return (flat,) if len(flat.split()) <= _TITLE else ()


def certifies_itself(text: str) -> str:
    """Return the words by which a title says that the program, or what it covers, is certified; or nothing.

    >>> certifies_itself("Certified Respiratory Protection Program"), certifies_itself("Courses for certified testers")
    ('Certified Respiratory', '')
    """
    found = _certifies().search(text)
    return found[0] if found else ""


@cache
def _releases() -> tuple[tuple[Words, Words], ...]:
    return tuple((Words(one["about"]), Words(one["says"])) for one in table_entries("own_words", "releases"))


@cache
def _alone() -> frozenset[str]:
    return frozenset(str(word) for word in table_entries("own_words", "alone"))


@cache
def _certifies() -> Words:
    return Words(str(word) for word in table_entries("own_words", "certifies"))
