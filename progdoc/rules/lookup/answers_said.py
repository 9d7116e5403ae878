"""Whether a text answers anything: an answer, something that holds its place, or a refusal.

The words are data (`catalogue/tables/empty_answers.yaml`), in each language a firm may write in. What a text
says beyond that is never judged.
"""

from __future__ import annotations

import re
import unicodedata
from enum import StrEnum
from functools import cache, lru_cache

from progdoc.model.description.exposure_evidence import Unknown
from progdoc.rules.lookup.clauses import TEXTS_KEPT, Words, as_read, clauses_of
from progdoc.rules.lookup.empty_shapes import only_fills, only_given_up, only_points, only_repeats, only_vague
from progdoc.rules.lookup.promises import only_put_off
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import is_told, practised

__all__ = ["Said", "answers_by_a_no", "asks_for_a_practice", "is_declared_unknown", "said_by"]

_FEW = 4  # words: a longer text may begin with "no" and still answer
_FEW_OF_THE_LAW = 7  # words: a paragraph's number counts as some
_TOLD_BY_A_NO = {"procedures.repair.by": "not_repaired", "procedures.medical.confidential": "kept_from_us"}
_INDEX = re.compile(r"\[\d+\]")
_OF_PRACTICE = ("procedures.", "program.updates")
_AROUND = re.compile(r"^\W+|(?<=\w)\W+$")
_SAME_LETTER = re.compile(r"(\w)\1{1,}")
_CLAUSE_END = re.compile(r"[;.](?:\s|$)")
_BETWEEN = re.compile(r"[;,.|()]|/ | /|\b(?:and|or)\b")
_LOREM = re.compile(r"\blorem ipsum\b")
_BLANK = re.compile(r"_{3,}|\.{4,}|…{2,}|\[[^\]]{0,40}\]|<[^>]{0,40}>|\{[^}]{0,40}\}")


class Said(StrEnum):
    """What a text is."""

    ANSWER = "answer"
    PLACEHOLDER = "placeholder"
    TOO_LITTLE = "too little"  # a word that answers nothing where who, where or how is asked
    REFUSAL = "refusal"


@lru_cache(maxsize=TEXTS_KEPT)
def said_by(text: str) -> Said:
    """Return whether a text answers, holds the place of an answer, or refuses one.

    >>> said_by("TBD!"), said_by("We don't."), said_by("Jo Marsh, at the wash stand")
    (<Said.PLACEHOLDER: 'placeholder'>, <Said.REFUSAL: 'refusal'>, <Said.ANSWER: 'answer'>)
    """
    text = as_read(text)
    words = _plain(text)
    if not re.search(r"\w", words) or _SAME_LETTER.fullmatch(words.replace(" ", "")) or _LOREM.search(words):
        return Said.PLACEHOLDER
    known = _known()
    if words in known["placeholders"] or _begins(words, "holds_the_place_with") or _holds_it_throughout(text):
        return Said.PLACEHOLDER
    if not re.search(r"\w", _BLANK.sub("", text)) or only_put_off(text) or only_repeats(text):
        return Said.PLACEHOLDER
    repeats_the_law = _begins(words, "repeats_the_law_with", _FEW_OF_THE_LAW) or only_points(text)
    if words in known["too_little"] or repeats_the_law or only_fills(text) or only_vague(text):
        return Said.TOO_LITTLE
    begins = _CLAUSE_END.split(text, maxsplit=1)[0]  # "None; the owner decides" refuses, whatever follows
    first = words if begins == text else _plain(begins)
    is_refused = {words, first} & known["refusals"] or _refuses_in_few_words(text) or only_given_up(text)
    return Said.REFUSAL if is_refused else Said.ANSWER


def _holds_it_throughout(text: str) -> bool:
    """Return whether a text is nothing but one placeholder after the other.

    >>> [_holds_it_throughout(text) for text in ("n/a; n/a", "TBD, TBD and TBD", "TBD; Jo Marsh")]
    [True, True, False]
    """
    said = _BETWEEN.split(text)
    parts = [part for part in map(_plain, said) if part] if len(said) > 1 else []
    return len(parts) > 1 and _known()["placeholders"].issuperset(parts)


def _refuses_in_few_words(text: str) -> bool:
    """Return whether a text of few words begins with a no, goes on to what is refused, and says nothing else.

    >>> [_refuses_in_few_words(text) for text in ("No inspection here", "Nobody cleans, too busy", "None of us")]
    [True, True, True]
    >>> [_refuses_in_few_words(text) for text in ("No lock: mess room", "No size is missing", "Nobody but the wearer")]
    [False, False, False]
    """
    words = _plain(text)
    if _begins(words, "refuses_with"):
        return True
    if not _begins(words, "may_refuse_with") or _begins(words, "narrows_with"):  # "Nobody but the wearer" names one
        return False
    first, *more = map(_plain, clauses_of(text))
    if any(not _pattern("gives_a_reason").search(clause) for clause in more):
        return first in _known()["refusals"]
    rest = first.partition(" ")[2]
    return not rest or _pattern("refuses_to").search(rest) is not None or practised().search(rest) is not None


def answers_by_a_no(text: str, path: str) -> bool:
    """Return whether a text that begins with a no is an answer in its field all the same.

    >>> place = "procedures.repair.by"
    >>> [answers_by_a_no(text, place) for text in ("No one; we buy new", "None is repaired here", "Nobody", "None")]
    [True, True, False, False]
    >>> answers_by_a_no("Nobody reads them", "procedures.medical.confidential")
    True
    """
    if path.endswith(".name"):
        return _is_a_name(text)
    told = _TOLD_BY_A_NO.get(path)
    return told is not None and len(text.split()) > 1 and is_told(told, text)


def _is_a_name(text: str) -> bool:
    """Return whether a text is written as a name of several words.

    >>> _is_a_name("No Name Painting LLC"), _is_a_name("No name yet"), _is_a_name("None")
    (True, False, False)
    """
    return len(text.split()) > 2 and all(word[0].isupper() for word in text.split())


def asks_for_a_practice(path: str) -> bool:
    """Return whether a text at a place is to say what is always done, and not what was done once.

    >>> asks_for_a_practice("procedures.cleaning.by"), asks_for_a_practice("procedures.fit_testing.testers_able")
    (True, False)
    """
    place = _INDEX.sub("[]", path)
    return place.startswith(_OF_PRACTICE) and place not in _of_what_was_done()


@cache
def _of_what_was_done() -> frozenset[str]:
    return frozenset(str(place) for place in table_entries("empty_answers", "asks_what_was_done"))


def is_declared_unknown(exposure: object) -> bool:
    """Return whether it is said, with a reason, that the air can't be identified or estimated: an answer by itself.

    That it is not measured yet is none: what ends it is on its way, and until then the point stays open.
    """
    because = exposure.because if isinstance(exposure, Unknown) else None
    return because is not None and said_by(because) is Said.ANSWER and not is_told("not_measured_yet", because)


def _begins(words: str, name: str, few: int = _FEW) -> bool:
    """Return whether the first words of a few are listed."""
    said = words.split(" ")
    return len(said) <= few and any(" ".join(said[:n]) in _known()[name] for n in range(1, len(said) + 1))


def _plain(text: str) -> str:
    """Return a text in small letters, one space between words, with neither signs nor brackets around it."""
    flat = as_read(unicodedata.normalize("NFKC", text)).replace("’", "'").casefold()
    flat = re.sub(r"[\s,;:.!?\-–—]+", " ", flat).strip()
    return _AROUND.sub("", flat)


@cache
def _pattern(name: str) -> Words:
    return Words(word for group in table_entries("empty_answers", name) for word in group["words"])


@cache
def _known() -> dict[str, frozenset[str]]:
    lists = ("placeholders", "too_little", "refusals", "holds_the_place_with", "refuses_with", "may_refuse_with",
             "narrows_with",             "repeats_the_law_with")  # fmt: skip
    return {
        name: frozenset(_plain(word) for group in table_entries("empty_answers", name) for word in group["words"])
        for name in lists
    }
