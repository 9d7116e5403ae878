"""How a text is cut into clauses, and how a list of words is looked for in one."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

__all__ = ["clauses_of", "says_no_more", "word_pattern"]

_CLAUSE = re.compile(
    r"[.;:!?()](?:\s|$)|,\s(?!who\b|which\b)|\s[–—-]\s|(?<!\ball )\bbut\b|\b(?:and then|and the)\b", re.IGNORECASE
)
_FEW = 3  # words: a clause as short as that names who or when, and nothing that was found
_KEPT = 4096  # texts: the same ones are asked about again, by several checks and for a second description


@lru_cache(maxsize=_KEPT)
def clauses_of(text: str) -> tuple[str, ...]:
    """Return the clauses of a text, with one space between words.

    >>> clauses_of("Out of the room;  nobody goes back, ever")
    ('Out of the room', 'nobody goes back', 'ever')
    """
    flat = " ".join(text.replace("’", "'").split())
    return tuple(clause for clause in _CLAUSE.split(flat) if clause.strip())


def says_no_more(rest: Iterable[str]) -> bool:
    """Return whether the clauses that are left are too short to say more than who or when.

    >>> says_no_more(["Ada Brook"]), says_no_more(["Ada Brook washes them"])
    (True, False)
    """
    return not any(len(clause.split()) > _FEW or re.search(r"\d", clause) for clause in rest)


def word_pattern(words: Iterable[str], is_alone: bool = False) -> re.Pattern[str]:
    """Match words where they begin, or whole where a full stop ends them; a star is any word; without any, nothing.

    `^` stands where a clause begins and `$` where it ends. Words that are `is_alone` are no part
    of one with hyphens.

    >>> [bool(word_pattern(["^by post$"]).search(text)) for text in ("by post", "By post and hand")]
    [True, False]
    >>> [bool(word_pattern(["not."], True).search(text)) for text in ("Do not use", "A do-not-use tag")]
    [True, False]
    """
    joint = "-" if is_alone else ""
    parts = [rf"{_escaped(word[:-1])}(?![\w{joint}])" if word.endswith(".") else _escaped(word) for word in words]
    return re.compile(rf"(?<![\w'{joint}])(?:{'|'.join(parts)})" if parts else r"(?!)", re.IGNORECASE)


def _escaped(words: str) -> str:
    return re.escape(words).replace(r"\*", r"\w+").replace(r"\^", r"^\s*").replace(r"\$", r"\s*$")
