"""Whether a text is written in a language in which nothing of it can be judged here.

A closed rule: refusals can be worded in more ways than any list holds, in whatever language. That a text is in another
language shows by the small words that no sentence goes without: `catalogue/tables/function_words.yaml`.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache, lru_cache

from progdoc.rules.lookup.clauses import TEXTS_KEPT
from progdoc.rules.lookup.table_files import table_entries

__all__ = ["tells_in_words", "unread_language"]

_WORD = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")
_INDEX = re.compile(r"\[\d+\]")
# What is called by a name, or named as it is spelt elsewhere: no sentence of the firm's.
_NAMES = re.compile(
    r"people\[|policies\[\].*(?:by|source)$"
    r"|.*\b(?:id|name|make|model|style|address|phone|sizes\[\]|agents?|agents\[\]|approval|serial|revision|state|title|file|look|row)$"
)
# Two small words of one language show it; a single one in a text of few words, or where it is a long one.
_FEW = 3  # words
_LONG = 4  # letters


def tells_in_words(path: str) -> bool:
    """Return whether the text at a place tells something in words of the firm's, and not a name.

    >>> tells_in_words("procedures.cleaning.where"), tells_in_words("masks[0].name")
    (True, False)
    """
    return _NAMES.fullmatch(_INDEX.sub("[]", path)) is None and not path.startswith("people[")


@lru_cache(maxsize=TEXTS_KEPT)
def unread_language(text: str) -> str:
    """Return the language in which a text seems to be written where that is not English, "" otherwise.

    >>> unread_language("Wird gemacht, wenn Zeit ist"), unread_language("Nach Feierabend")
    ('German', 'German')
    >>> unread_language("Ana de la Cruz, each Friday"), unread_language("The façade, en route")
    ('', '')
    """
    words = [word.casefold() for word in _WORD.findall(text) if len(word) == 1 or not word.isupper()]
    if any(map(_of_another_script, words)):
        return "another script"
    found = {name: [word for word in words if word in known] for name, known in _languages().items()}
    most = max(found, key=lambda name: len(found[name]))
    shows = len(found[most]) > 1 or any(len(words) <= _FEW or len(word) >= _LONG for word in found[most])
    return most if shows else ""


def _of_another_script(word: str) -> bool:
    """Return whether a word is written in letters other than ours; a single one may be a sign, as µ and Ω."""
    letters = [letter for letter in word if letter.isalpha()]
    return len(letters) > 1 and not any(unicodedata.name(letter, "").startswith("LATIN") for letter in letters)


@cache
def _languages() -> dict[str, frozenset[str]]:
    entries = table_entries("function_words", "languages")
    return {str(entry["language"]): frozenset(map(str, entry["words"])) for entry in entries}
