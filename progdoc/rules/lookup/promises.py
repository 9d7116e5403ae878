"""Texts that hold the place of an answer: what is only promised or put off, and what happened once, long ago."""

from __future__ import annotations

import re
from functools import lru_cache

from progdoc.rules.lookup.clauses import TEXTS_KEPT, clauses_of, says_no_more
from progdoc.rules.lookup.telling_words import clauses_without, is_told, telling

__all__ = ["one_event", "only_promised", "only_put_off"]

_FEW_WORDS = 6  # in which a clause says that something is meant to be, or when
_FIRST_WORDS = 6  # of a clause: who or what, and what became of it
_RATE = re.compile(r"\b(?:once|twice|times) (?:a|an|per|each|every)\b|\b(?:each|every|since|until)\b", re.IGNORECASE)
_BEGINS = re.compile(r"\b(?:start|begin)", re.IGNORECASE)
_YEAR_ALONE = re.compile(r"(?:in )?(?:19|20)\d\d\.?", re.IGNORECASE)


def only_promised(text: str) -> bool:
    """Return whether a text only says that something will come, beside nothing that is there.

    >>> only_promised("Promised by Osterby"), only_promised("Osterby's report of 2024; a new one will follow")
    (True, False)
    """
    return is_told("promised", text) and says_no_more(clauses_without("promised", text))


@lru_cache(maxsize=TEXTS_KEPT)
def only_put_off(text: str) -> bool:
    """Return whether a text only says that something will begin one day.

    >>> only_put_off("Will start when the order comes"), only_put_off("Work will start with a seal check")
    (True, False)
    """
    late = [clause for clause in clauses_of(text) if _is_put_off(clause)]
    return bool(late) and says_no_more(clause for clause in clauses_of(text) if clause not in late)


def _is_put_off(clause: str) -> bool:
    """Return whether a clause says that something will be: as its own word, and not of the case in which another comes.

    “Is planned”, “we intend to buy it”, “later this year”; not “when work is planned”, nor “what they intend to wear”.
    """
    will_be = telling("put_off").search(clause) or telling("intended").search(" ".join(clause.split()[:_FEW_WORDS]))
    if will_be is None:
        return len(clause.split()) <= _FEW_WORDS and is_told("some_day", clause)
    return not telling("subordinate").search(clause[: will_be.start()]) and not _tells_how_it_begins(clause)


def _tells_how_it_begins(clause: str) -> bool:
    return _BEGINS.search(clause) is not None and is_told("begins_with", clause)


@lru_cache(maxsize=TEXTS_KEPT)
def one_event(text: str) -> bool:
    """Return whether a text tells of nothing but one thing that happened, where what is always done is asked.

    >>> one_event("Once, in 2019"), one_event("They were washed last year"), one_event("Once a year, in 2-hour classes")
    (True, True, False)
    """
    flat = " ".join(text.replace(",", " ").split())
    if _YEAR_ALONE.fullmatch(flat):
        return True
    is_rate = _RATE.search(flat) or is_told("became_able", flat)
    clauses = clauses_of(flat)
    return bool(clauses) and not is_rate and all(map(_happened, clauses))


def _happened(clause: str) -> bool:
    """Return whether a clause says in its first words that something took place, and then that it was long ago."""
    return is_told("happened", " ".join(clause.split()[:_FIRST_WORDS])) and is_told("long_ago", clause)
