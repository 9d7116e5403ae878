"""Whether a text that is to tell where a figure comes from names anything that can be looked up again.

A closed rule: hearsay can be told in more ways than a list can hold, so what names a source is looked for: a document,
a number or a day, somebody by name. The fields and the words are data: `catalogue/tables/source_words.yaml`.
"""

from __future__ import annotations

import re
from collections.abc import Set
from functools import cache

from progdoc.rules.lookup.clauses import Words
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.who_words import holds_a_proper_name, names_a_holder

__all__ = ["asks_source", "names_a_source"]

_INDEX = re.compile(r"\[\d+\]")


def asks_source(path: str) -> bool:
    """Return whether the text at a place is to tell where a figure of a filter comes from.

    >>> asks_source("filters[2].agents_source"), asks_source("hazards[0].source")
    (True, False)
    """
    return _INDEX.sub("[]", path) in _places()


def names_a_source(text: str, makes: Set[str]) -> bool:
    """Return whether a text names a document, a number or day, a make of the firm's masks or somebody by name.

    `makes` is what `parts_of_names` returned of them.

    >>> [names_a_source(text, {"hallam"}) for text in ("Lid of the carton", "hallam, by phone", "Asked Ida Lund")]
    [True, True, True]
    >>> [names_a_source(text, {"hallam"}) for text in ("Somebody on a forum", "Rumour", "Kitchen scales")]
    [False, False, False]
    """
    named = any(sign.isdigit() for sign in text) or _documents().search(text) is not None
    return named or holds_a_proper_name(text) or names_a_holder(text, makes)


@cache
def _places() -> frozenset[str]:
    return frozenset(map(str, table_entries("source_words", "asks_source")))


@cache
def _documents() -> Words:
    return Words(str(word) for group in table_entries("source_words", "documents") for word in group["words"])
