"""Texts that answer too little to be printed as an answer, and names that do not tell two things apart."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from typing import Any

from progdoc.model.description.fields import texts_in
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.requirement import Subject

__all__ = ["TEXT_CHECKS", "asks_how"]

_WORD = re.compile(r"\w+")
_INDEX = re.compile(r"\[\d+\]")


@cache
def asks_how() -> frozenset[str]:
    """Return the places of texts that ask how, why or what then."""
    return frozenset(str(place) for place in table_entries("empty_answers", "asks_how"))


def _long_enough(facts: Facts, _subject: Subject) -> CheckResult:
    """No text that is to say how is a single word; one that answers nothing at all is a finding of its own."""
    texts = texts_in(facts.description.procedures, "procedures")
    asked = {path: text for path, text in texts if _INDEX.sub("[]", path) in asks_how()}
    faults = [
        (path, {"text": text})
        for path, text in asked.items()
        if said_by(text) is Said.ANSWER and len(_WORD.findall(text)) < 2
    ]
    return CheckResult(tuple(asked), tuple(faults), nothing="No text that is to say how is a single word.")


def _told_apart(facts: Facts, _subject: Subject) -> CheckResult:
    """No two masks, and no two filters, are printed under one name."""
    faults: list[tuple[str, dict[str, str]]] = []
    for kind, described in (("masks", facts.masks), ("filters", facts.filters)):
        known: dict[str, Any] = {}
        for path, thing in described.values():
            name = label_of(thing)
            first = known.setdefault(name.casefold(), thing)
            if first is not thing:
                faults.append((path, {"name": name, "kind": kind, "first": first.id, "second": thing.id}))
    return CheckResult(
        ("masks", "filters"), tuple(faults), nothing="Every mask and every filter has a name of its own."
    )


TEXT_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "texts-say-how": _long_enough,
    "names-tell-apart": _told_apart,
}
