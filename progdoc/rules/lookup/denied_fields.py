"""Words of a task that stand against a no in one of its fields: “inside the tank” beside no confined space."""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import Any

from progdoc.core.said import said
from progdoc.rules.lookup.clauses import TEXTS_KEPT, Words, clauses_of
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import is_told, telling

__all__ = ["against_no", "said_of_no"]

_INSIDE = re.compile(r"in(?:to|side)?\b", re.IGNORECASE)


@lru_cache(maxsize=TEXTS_KEPT)
def against_no(text: str, field: str) -> str:
    """Return the words of a task's text that stand against a no in one of its fields, or nothing.

    >>> against_no("Sanding inside the tank", "confined_space"), against_no("Never in the tank", "confined_space")
    ('inside the tank', '')
    >>> [against_no(f"{work} from a rack", "confined_space") for work in ("Filling tankers", "Work in the well")]
    ['', 'in the well']
    """
    for clause in clauses_of(text):
        found = _of_no(field).search(clause)
        if found is None or telling("denials").search(clause[: found.start()]):
            continue
        if (unless := _entry_of_no(field).get("unless")) and is_told(unless, clause):
            continue
        if _INSIDE.match(found[0]) or not is_told("from_without", clause):
            return found[0]
    return ""


def said_of_no(field: str) -> str:
    """Return in words what a no in a field of a task says."""
    return said(_entry_of_no(field)["said"])


def _entry_of_no(field: str) -> dict[str, Any]:
    return next(entry for entry in table_entries("telling_words", "against_no") if entry["field"] == field)


@cache
def _of_no(field: str) -> Words:
    entries = (entry for entry in table_entries("telling_words", "against_no") if entry["field"] == field)
    return Words(word for entry in entries for word in entry["words"])
