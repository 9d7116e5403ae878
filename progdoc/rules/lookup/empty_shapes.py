"""Shapes of a text that answers nothing, whatever stands in it: one word over and over, a pointer to the law, an end.

The words are data (`catalogue/tables/empty_shapes.yaml`). A pointer is known by having no word beside those of
pointers, so that any further word, a name or a place, makes it an answer.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache

from progdoc.rules.lookup.clauses import TEXTS_KEPT, Words, clauses_of, says_no_more
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import is_told

__all__ = [
    "holds_letters",
    "only_a_case",
    "only_fills",
    "only_given_up",
    "only_letters",
    "only_points",
    "only_repeats",
    "only_vague",
]

_INDEX = re.compile(r"\[\d+\]")
_WORD = re.compile(r"[\w']+")
_FIRST = 6  # words of a clause in which it says that something was given up
_OPENING = 3  # words that a pointer may begin with
_CASE = 8  # words: a longer one may go on to what is done then
_LETTERS = 2
_OF_THE_FIRM = ("procedures.", "officer.", "program.updates")


@lru_cache(maxsize=TEXTS_KEPT)
def only_repeats(text: str) -> bool:
    """Return whether a text is one word over and over.

    >>> only_repeats("Blah blah, blah"), only_repeats("Hand to hand")
    (True, False)
    """
    words = _WORD.findall(text.casefold())
    return len(words) > 1 and len(set(words)) == 1


@lru_cache(maxsize=TEXTS_KEPT)
def only_points(text: str) -> bool:
    """Return whether a text points to the law, or to another book, and tells nothing of this workplace.

    >>> only_points("As the law says"), only_points("See our safety manual"), only_points("By the law's own steps, Ada")
    (True, True, False)
    """
    words = [word.removesuffix("'s") for word in _WORD.findall(text.replace("’", "'").casefold())]
    words = [word for word in words if not any(map(str.isdigit, word)) and len(word) > 1]
    begins = any(" ".join(words[:n]) in _listed("refers_with") for n in range(1, _OPENING + 1))
    if not begins or _listed("points_to").isdisjoint(words):
        return False
    return (_listed("says_no_more_with") | _listed("points_to") | _openers()).issuperset(words)


@lru_cache(maxsize=TEXTS_KEPT)
def only_fills(text: str) -> bool:
    """Return whether a text has no word that names anybody, a place or a step.

    >>> only_fills("In a safe manner, by qualified personnel"), only_fills("In the safe"), only_fills("The practice")
    (True, False, False)
    """
    words = set(_WORD.findall(text.replace("’", "'").casefold()))
    if _listed("fills_with").isdisjoint(words):
        return False
    known = _listed("fills_with") | _listed("fills_beside") | _listed("says_no_more_with") | _openers()
    return known.issuperset(words)


@lru_cache(maxsize=TEXTS_KEPT)
def only_vague(text: str) -> bool:
    """Return whether a text has words of care or chance, and none that names a person, place, thing, time or act.

    >>> only_vague("Be careful"), only_vague("Whenever it feels right"), only_vague("Around noon")
    (True, True, False)
    """
    words = set(_WORD.findall(text.replace("’", "'").casefold()))
    return not _listed("vague_with").isdisjoint(words) and (_listed("vague_with") | _listed("vague_beside")) >= words


def only_letters(text: str) -> bool:
    """Return whether a text is one or two letters and no short name.

    >>> [only_letters(text) for text in ("x", "ok", "JM.", "Jo", "A1")]
    [True, True, True, False, False]
    """
    bare = text.strip(" .,;:!?-–()")
    is_a_name = len(bare) == _LETTERS and bare.istitle()
    return bare.isascii() and bare.isalpha() and len(bare) <= _LETTERS and not is_a_name


def holds_letters(text: str, path: str) -> bool:
    """Return whether letters stand where somebody tells who, where or how."""
    return (
        path.startswith(_OF_THE_FIRM) and _INDEX.sub("[]", path) not in _named("may_be_letters") and only_letters(text)
    )


@lru_cache(maxsize=TEXTS_KEPT)
def only_given_up(text: str) -> bool:
    """Return whether a text says that something is done no more, and nothing else.

    >>> only_given_up("We have stopped doing this"), only_given_up("When it is broken, Ada Brook mends it")
    (True, False)
    """
    over = [clause for clause in clauses_of(text) if _is_given_up(clause)]
    return bool(over) and says_no_more(clause for clause in clauses_of(text) if clause not in over)


def _is_given_up(clause: str) -> bool:
    found = _words("given_up").search(" ".join(clause.split()[:_FIRST]))
    return found is not None and not is_told("subordinate", clause[: found.start()])


@lru_cache(maxsize=TEXTS_KEPT)
def only_a_case(text: str, path: str) -> bool:
    """Return whether a text that is to say who, where or how names nothing but the case in which it would be done.

    >>> only_a_case("Only when OSHA comes", "procedures.cleaning.by")
    True
    >>> only_a_case("When the work changes", "procedures.evaluation.occasion")
    False
    """
    if len(text.split()) > _CASE or path.startswith(_asks_when()):
        return False
    clauses = clauses_of(text)
    cases = [clause for clause in clauses if _words("case_alone").search(clause)]
    return bool(cases) and all(clause.istitle() for clause in clauses if clause not in cases)  # names alone beside it


@cache
def _openers() -> frozenset[str]:
    return frozenset(word for opening in _listed("refers_with") for word in opening.split())


@cache
def _listed(name: str) -> frozenset[str]:
    return frozenset(word for group in table_entries("empty_shapes", name) for word in group["words"])


@cache
def _words(name: str) -> Words:
    return Words(sorted(_listed(name)))


@cache
def _asks_when() -> tuple[str, ...]:
    return _named("asks_when")


@cache
def _named(name: str) -> tuple[str, ...]:
    return tuple(str(place) for place in table_entries("empty_shapes", name))
