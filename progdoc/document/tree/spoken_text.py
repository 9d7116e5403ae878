"""A sentence of a language as nodes: what `Language.own` holds apart in it is marked with its own language."""

from __future__ import annotations

from progdoc.core.paper_language import EDGE, Language
from progdoc.core.said import as_own
from progdoc.document.tree.nodes import Cell, Text

__all__ = ["plain", "said_here", "spoken", "spoken_cell", "text_cell"]


def spoken(language: Language, words: str, path: str = "") -> tuple[Text, ...]:
    """Return words as nodes; in another language than English all are marked that have a place.

    >>> from progdoc.core.paper_language import ENGLISH
    >>> spoken(ENGLISH, ENGLISH.say("Mask card: %(who)s", who=ENGLISH.own("Jo Marsh")))
    (Text(text='Mask card: Jo Marsh', path='', language=''),)
    """
    if EDGE not in words:
        return (Text(words, path, said_here(language, path)),)
    parts = enumerate(words.split(EDGE))
    ours = said_here(language, path)
    return tuple(Text(part, path, language.original if n % 2 else ours) for n, part in parts if part)


def said_here(language: Language, path: str) -> str:
    """Return how words of the paper's language are marked: where they have a place they could be taken for the user's.

    `said_again` takes the mark off.
    """
    return language.tag if language.original and path else ""


def plain(words: str) -> str:
    """Return words for where a language cannot be marked: a title, the value of a field."""
    return words.replace(EDGE, "")


def text_cell(words: str, path: str = "") -> Cell:
    """Return English words as a cell: those that can be said again, all others as the firm's own."""
    return Cell((Text(as_own(words), path),))


def spoken_cell(language: Language, words: str, path: str = "") -> Cell:
    """Return words as a cell of a table."""
    return Cell(spoken(language, words, path))
