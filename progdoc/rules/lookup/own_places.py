"""Where the firm's own texts may stand, and which words the law has defined already (`own_places`, `law_terms`)."""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from progdoc.core.resources import catalogue_root
from progdoc.model.yaml.yaml_tree import Node
from progdoc.model.yaml.yaml_values import entries_of, group_of, read_shipped, text_of
from progdoc.rules.lookup.table_files import table_entries

__all__ = ["is_word_of_duty", "law_term", "own_places"]

_JOINED = re.compile("[-\u2010-\u2015]")
_NO_WORD = re.compile(r"[^\w ]")


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
    return next((_terms()[word] for word in _forms(term) if word in _terms()), "")


def is_word_of_duty(term: str) -> bool:
    """Return whether a word is one by which the program tells its duties, or how they stand.

    >>> is_word_of_duty("Daily"), is_word_of_duty("Sealing surfaces"), is_word_of_duty("Hot zone")
    (True, True, False)
    """
    known = set(map(str, table_entries("law_terms", "words_of_duty")))
    return any(word in known or f" {word} " in _duties() for word in _forms(term))


def _forms(term: str) -> tuple[str, ...]:
    """Return a word as it may stand in a sentence: in small letters, one or many, with a hyphen or without."""
    word = " ".join(_JOINED.sub(" ", unicodedata.normalize("NFKC", term).casefold()).split())
    word = word.removeprefix("the ").removeprefix("a ").removeprefix("an ")
    return tuple(dict.fromkeys((word, word.removesuffix("s"), f"{word}s")))


@cache
def _terms() -> dict[str, str]:
    entries = table_entries("law_terms", "terms")
    return {_forms(str(word))[0]: str(entry["term"]) for entry in entries for word in (*entry["words"], entry["term"])}


@cache
def _duties() -> str:
    """Return what the federal duties ask, in small letters, words parted by single spaces."""
    files = sorted((catalogue_root() / "us_federal").iterdir(), key=lambda file: file.name)
    duties = [duty for file in files if file.name.endswith(".yaml") for duty in read_shipped(file, _duties_of)]
    return f" {' '.join(_NO_WORD.sub(' ', _JOINED.sub(' ', ' '.join(duties).casefold())).split())} "


def _duties_of(top: dict[str, Node]) -> list[str]:
    listed = entries_of(top["requirements"]) if "requirements" in top else []
    return [text_of(group_of(entry)["duty"]) for entry in listed]
