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
from progdoc.rules.lookup.law_tables import table_entries
from progdoc.rules.lookup.telling_words import seen_by, taken_back
from progdoc.rules.requirement import Subject

__all__ = ["TEXT_CHECKS", "asks_how"]

_WORD = re.compile(r"\w+")
_INDEX = re.compile(r"\[\d+\]")
_MEDICAL = "procedures.medical"
# What may happen, what was found, and what a schedule rests on: no practice of the firm, or judged by other checks.
_OF_ITS_OWN = re.compile(
    r"procedures\.(?:emergencies\.foreseeable|evaluation\.findings|filter_changes\.(?:schedules|breaks))\["
    r"|procedures\.fit_testing\.protocols\[|procedures\.emergencies\.none_because$"
)


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


def _taken_back(facts: Facts, _subject: Subject) -> CheckResult:
    """No text beside what is affirmed says that it is not done, or not always."""
    program = facts.description
    texts = [(path, text, path.split(".")[1]) for path, text in texts_in(program.procedures, "procedures")]
    texts = [entry for entry in texts if not _OF_ITS_OWN.match(entry[0])]
    texts += [("program.updates", program.program.updates, "")] if program.program.updates else []
    texts += [(f"{at}.controls[{i}]", text, "") for at, task in facts.our_tasks for i, text in enumerate(task.controls)]
    faults = [(path, {"text": text, "words": words}) for path, text, part in texts if (words := taken_back(text, part))]
    return CheckResult(
        tuple(path for path, *_ in texts), tuple(faults), nothing="No text takes back what is affirmed beside it."
    )


def _answers_seen(facts: Facts, _subject: Subject) -> CheckResult:
    """No text lets somebody of the firm get to know what a worker told the health professional."""
    program = facts.description
    names = [name for name in (program.officer.name, *program.officer.deputies) if name]
    names += [person.name for person in program.people if person.name]
    texts = [
        *texts_in(program.procedures.medical, _MEDICAL),
        *texts_in(program.procedures.records, "procedures.records"),
    ]
    faults = [
        (path, {"text": text, "words": words})
        for path, text in texts
        if (words := seen_by(text, names, path == f"{_MEDICAL}.confidential"))
    ]
    return CheckResult(
        tuple(path for path, _ in texts), tuple(faults), nothing="No text lets anybody of the firm see the answers."
    )


TEXT_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "texts-say-how": _long_enough,
    "names-tell-apart": _told_apart,
    "practice-not-taken-back": _taken_back,
    "answers-not-seen": _answers_seen,
}
