"""The languages that a text names, and whether it tells how somebody who speaks none of them is reached.

The words are data: `catalogue/tables/text_beside.yaml`.
"""

from __future__ import annotations

import re
from functools import cache

from progdoc.rules.lookup.clauses import Words
from progdoc.rules.lookup.table_files import table_entries

__all__ = ["brings_a_language", "languages_in"]


def languages_in(text: str) -> set[str]:
    """Return the languages that a text names.

    >>> sorted(languages_in("In English and spanish, by showing")), languages_in("By showing")
    (['English', 'Spanish'], set())
    """
    return {_as_listed()[found[0].casefold()] for found in _names().finditer(text)}


def brings_a_language(text: str) -> bool:
    """Return whether a text tells how somebody is reached who speaks none of the languages that it names.

    >>> brings_a_language("English, with an interpreter"), brings_a_language("English forms only")
    (True, False)
    """
    return _bridges().search(text) is not None


@cache
def _as_listed() -> dict[str, str]:
    return {str(name).casefold(): str(name) for name in table_entries("text_beside", "languages")}


@cache
def _names() -> Words:
    longest_first = sorted(_as_listed(), key=len, reverse=True)
    return Words(longest_first, _whole_name)


def _whole_name(name: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(name)}(?!\w)", re.IGNORECASE)


@cache
def _bridges() -> re.Pattern[str]:
    words = map(str, table_entries("text_beside", "bridges"))
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, words))})", re.IGNORECASE)
