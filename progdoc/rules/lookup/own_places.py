"""Where the firm's own texts may stand, and which words the law has defined already (`own_places`, `law_terms`)."""

from __future__ import annotations

from functools import cache

from progdoc.rules.lookup.table_files import table_entries

__all__ = ["is_word_of_duty", "law_term", "own_places"]


@cache
def own_places() -> frozenset[str]:
    """Return the sections and parts of sections that a text of the firm's own may name; tasks not among them."""
    entries = table_entries("own_places", "places")
    return frozenset(str(place) for entry in entries for place in (entry["section"], *entry.get("parts", ())))


def law_term(term: str) -> str:
    """Return the term of the law that a word is, or nothing.

    >>> law_term("Dust masks"), law_term("Hot zone")
    ('filtering facepiece', '')
    """
    word = " ".join(term.casefold().split())
    return _terms().get(word) or _terms().get(word.removesuffix("s"), "")


def is_word_of_duty(term: str) -> bool:
    """Return whether a word is one by which the program tells its duties.

    >>> is_word_of_duty("Daily"), is_word_of_duty("Hot zone")
    (True, False)
    """
    return " ".join(term.casefold().split()) in set(map(str, table_entries("law_terms", "words_of_duty")))


@cache
def _terms() -> dict[str, str]:
    entries = table_entries("law_terms", "terms")
    return {str(word): str(entry["term"]) for entry in entries for word in (*entry["words"], entry["term"])}
