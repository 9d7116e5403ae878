"""The firm's own texts: whether their place is one, and whether a word of theirs is one that the law has defined."""

from __future__ import annotations

import difflib
from collections.abc import Callable

from progdoc.model.description.own_texts import OwnSection
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.own_places import law_term, own_places
from progdoc.rules.requirement import Subject

__all__ = ["OWN_TEXT_CHECKS"]

_WAYS = ("after", "before", "inside")


def _has_a_place(facts: Facts, _subject: Subject) -> CheckResult:
    """Each own section names one place, which the program has."""
    own = facts.description.own_sections
    known = own_places() | {f"task.{task.id}" for _, task in facts.tasks.values()}
    faults = [
        (f"own_sections[{i}]", {"title": one.title, "trouble": trouble})
        for i, one in enumerate(own)
        if (trouble := _trouble(one, known))
    ]
    return CheckResult(("own_sections",), tuple(faults), nothing="Every text of the firm's own has its place.")


def _trouble(own: OwnSection, known: frozenset[str]) -> str:
    named = {way: getattr(own, way) for way in _WAYS if getattr(own, way)}
    if not named:
        return "names no place"
    if len(named) > 1:
        return f"names {len(named)} places ({', '.join(f'`{way}`' for way in named)}), and {next(iter(named))} counts"
    ((way, place),) = named.items()
    if place in known:
        return ""
    near = difflib.get_close_matches(place, sorted(known), 1, 0.6)
    return f"is to stand {way} `{place}`, which the program has not" + (f"; did you mean `{near[0]}`?" if near else "")


def _term_of_the_law(facts: Facts, _subject: Subject) -> CheckResult:
    """No word that the law defines is given another meaning."""
    defined = facts.description.definitions
    faults = [
        (f"definitions[{i}].means", {"term": one.term, "means": one.means, "law": term})
        for i, one in enumerate(defined)
        if (term := law_term(one.term))
    ]
    return CheckResult(("definitions",), tuple(faults), nothing="No word of the law is given a meaning of its own.")


OWN_TEXT_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "own-text-has-a-place": _has_a_place,
    "no-term-of-the-law-redefined": _term_of_the_law,
}
