"""The firm's own texts: whether their place is one, and whether a word of theirs is one that the law has defined."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable

from progdoc.core.said import said, said_join, same
from progdoc.model.description.own_texts import OwnSection
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.own_places import is_word_of_duty, law_term, own_places
from progdoc.rules.lookup.promises import only_promised
from progdoc.rules.lookup.releases import certifies_itself, released_by
from progdoc.rules.lookup.telling_words import is_told, stays_in, unmasked
from progdoc.rules.requirement import Subject

__all__ = ["OWN_TEXT_CHECKS", "refuses_or_guesses"]

_WAYS = ("after", "before", "inside")
# Texts that answer no question of the law, and are printed all the same.
_OWN = re.compile(
    r"(?:own_sections|definitions|attachments|house_rules|groups|bodies|roles|calendar|program\.(?:title|history|control))\b"
    r"|tasks\[\d+\]\.(?:steps|masks)\[|masks\[\d+\]\.units\[\d+\]\.repairs\[\d+\]\.what|posts\["
)
_REASONS = "procedures.voluntary_use.reasons_recorded"
_OF_ITSELF = re.compile(r"program\.(?:title|history)|own_sections\[\d+\]\.title")
_STEP = re.compile(r"tasks\[\d+\]\.steps\[\d+\]\.action$")


def _has_a_place(facts: Facts, _subject: Subject) -> CheckResult:
    """Each own section names one place, which the program has."""
    own = facts.description.own_sections
    known = own_places() | {f"task.{task.id}" for _, task in facts.tasks.values()}
    faults = [
        (f"own_sections[{i}]", {"title": one.title, "trouble": trouble})
        for i, one in enumerate(own)
        if (trouble := _trouble(one, known))
    ]
    return CheckResult(("own_sections",), tuple(faults), nothing=said("Every text of the firm's own has its place."))


def _trouble(own: OwnSection, known: frozenset[str]) -> str:
    named = {way: getattr(own, way) for way in _WAYS if getattr(own, way)}
    if not named:
        return said("names no place")
    if len(named) > 1:
        return said(
            "names %(n)s places (%(named)s), and %(next)s counts",
            n=len(named),
            named=said_join((same(f"`{way}`") for way in named), ", "),
            next=same(next(iter(named))),
        )
    ((way, place),) = named.items()
    if place in known:
        return ""
    near = difflib.get_close_matches(place, sorted(known), 1, 0.6)
    return said(
        "is to stand %(way)s `%(place)s`, which the program has not%(near)s",
        way=said(way),
        place=same(place),
        near=said("; did you mean `%(near)s`?", near=same(near[0])) if near else "",
    )


def _term_of_the_law(facts: Facts, _subject: Subject) -> CheckResult:
    """No word that the law defines or tells duties by, and no name of a mask, filter or task, means another thing."""
    defined = facts.description.definitions
    faults = [
        (f"definitions[{i}].means", {"term": one.term, "means": one.means, "law": law})
        for i, one in enumerate(defined)
        if (law := _meaning_of_its_own(facts, one.term))
    ]
    return CheckResult(
        ("definitions",), tuple(faults), nothing=said("No word of the law is given a meaning of its own.")
    )


def _meaning_of_its_own(facts: Facts, term: str) -> str:
    if law := law_term(term):
        return said("the standard has a meaning of its own for it (%(law)s)", law=law)
    if is_word_of_duty(term):
        return said("duties are told by that word all through the program")
    for things in (facts.masks, facts.filters, facts.tasks):
        for _, thing in things.values():
            if label_of(thing).casefold() == term.strip().casefold():
                return said("`%(thing)s` goes by that name here", thing=same(thing.id))
    return ""


def _keeps_the_program(facts: Facts, _subject: Subject) -> CheckResult:
    """No text that answers no question lets somebody off a duty, or certifies the program; no step keeps people in."""
    texts = [entry for entry in facts.texts_in("") if _OWN.match(entry[0])]
    faults = [(path, {"text": text, "words": words}) for path, text in texts if (words := _against(path, text))]
    return CheckResult((), tuple(faults), nothing=said("No text of the firm's own speaks against the program."))


def _against(path: str, text: str) -> str:
    if _STEP.search(path) and (words := stays_in(text) or unmasked(text)):
        return words
    return released_by(text) or (certifies_itself(text) if _OF_ITSELF.match(path) else "")


def refuses_or_guesses(text: str) -> bool:
    """Whether a text refuses, puts off or guesses what it is to tell."""
    return said_by(text) in (Said.REFUSAL, Said.TOO_LITTLE) or only_promised(text) or is_told("guesses", text)


def _answers(facts: Facts, _subject: Subject) -> CheckResult:
    """No text of the firm's own is a bare refusal, a promise or a guess: it is printed as if it told something."""
    texts = [entry for entry in facts.texts_in("") if _OWN.match(entry[0]) or entry[0] == _REASONS]
    faults = [(path, {"text": text}) for path, text in texts if refuses_or_guesses(text)]
    return CheckResult((), tuple(faults), nothing=said("No text of the firm's own is empty."))


OWN_TEXT_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "own-text-has-a-place": _has_a_place,
    "no-term-of-the-law-redefined": _term_of_the_law,
    "own-words-keep-the-program": _keeps_the_program,
    "own-words-answer": _answers,
}
