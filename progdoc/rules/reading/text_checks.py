"""Texts that answer too little to be printed as an answer, and names that do not tell two things apart."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from typing import Any

from progdoc.core.said import said
from progdoc.model.description.exposure_evidence import Smoke
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.answers_said import Said, answers_by_a_no, asks_for_a_practice, said_by
from progdoc.rules.lookup.denied_fields import against_no, said_of_no
from progdoc.rules.lookup.empty_shapes import only_a_case
from progdoc.rules.lookup.field_words import against_the_law, answers_another_thing
from progdoc.rules.lookup.promises import one_event
from progdoc.rules.lookup.substances import agents_named
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import (
    clauses_without,
    is_told,
    seen_by,
    stands_against,
    stays_in,
    taken_back,
    unmasked,
)
from progdoc.rules.requirement import Subject

__all__ = ["TEXT_CHECKS", "asks_how"]

_WORD = re.compile(r"\w+")
_INDEX = re.compile(r"\[\d+\]")
_MEDICAL = "procedures.medical"
_LEAD = "lead"
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
    texts = facts.texts_in("procedures")
    asked = {path: text for path, text in texts if _INDEX.sub("[]", path) in asks_how()}
    faults = [
        (path, {"text": text})
        for path, text in asked.items()
        if said_by(text) is Said.ANSWER and len(_WORD.findall(text)) < 2
    ]
    return CheckResult(tuple(asked), tuple(faults), nothing=said("No text that is to say how is a single word."))


def _told_apart(facts: Facts, _subject: Subject) -> CheckResult:
    """No two masks, no two filters and no two tasks are printed under one name."""
    faults: list[tuple[str, dict[str, str]]] = []
    for kind, described in (("masks", facts.masks), ("filters", facts.filters), ("tasks", facts.tasks)):
        known: dict[str, Any] = {}
        for path, thing in described.values():
            name = label_of(thing)
            first = known.setdefault(name.casefold(), thing)
            if first is not thing:
                faults.append((path, {"name": name, "kind": kind, "first": first.id, "second": thing.id}))
    return CheckResult(
        ("masks", "filters", "tasks"), tuple(faults), nothing=said("Every mask, filter and task has a name of its own.")
    )


def _taken_back(facts: Facts, _subject: Subject) -> CheckResult:
    """No text beside what is affirmed says that it is not done, or not always."""
    program = facts.description
    texts = [(path, text, path.split(".")[1]) for path, text in facts.texts_in("procedures")]
    texts = [entry for entry in texts if not _OF_ITS_OWN.match(entry[0])]
    texts += [(path, text, "officer") for path, text in facts.texts_in("officer")]
    texts += [(f"own_sections[{i}].text", own.text, "own_sections") for i, own in enumerate(program.own_sections)]
    texts += [(f"definitions[{i}].means", one.means, "own_sections") for i, one in enumerate(program.definitions)]
    texts += [("program.updates", program.program.updates, "updates")] if program.program.updates else []
    if program.program.covers_everybody and program.program.scope:
        texts.append(("program.scope", program.program.scope, "scope"))
    texts += [
        (f"{at}.controls[{i}]", text, "controls")
        for at, task in facts.our_tasks
        for i, text in enumerate(task.controls)
    ]
    own = [(path, text, "tasks") for at, _ in facts.our_tasks for path, text in facts.texts_in(at)]
    own += [(path, text, "anywhere") for path, text in facts.texts_in("") if not path.startswith("people[")]
    found = {path: (text, words) for path, text, part in own if (words := stands_against(text, part))}
    found |= {path: (text, words) for path, text, _ in texts if (words := stands_against(text, "answer"))}
    found |= {
        path: (text, words)
        for path, text, part in texts
        if (words := taken_back(text, part)) and not answers_by_a_no(text, path)
    }
    practices = [(path, text) for path, text, _ in texts if asks_for_a_practice(path) and one_event(text)]
    practices += [(path, text) for path, text in facts.texts_in("procedures") if only_a_case(text, path)]
    found |= {path: (text, text) for path, text in practices}
    found |= {path: (text, words) for path, text, _ in own if (words := answers_another_thing(text, path))}
    faults = [(path, {"text": text, "words": words}) for path, (text, words) in found.items()]
    return CheckResult(
        tuple(path for path, *_ in texts), tuple(faults), nothing=said("No text takes back what is affirmed beside it.")
    )


def _against_the_law(facts: Facts, _subject: Subject) -> CheckResult:
    """No text says that something is done against what the law asks of the very field."""
    faults = [
        (path, {"text": text, "words": found[0], "citation": found[1]})
        for path, text in facts.texts_in("")
        if not path.startswith("people[") and (found := against_the_law(text, path))
    ]
    return CheckResult((), tuple(faults), nothing=said("No text stands against what the law asks of its field."))


def _answers_seen(facts: Facts, _subject: Subject) -> CheckResult:
    """No text lets somebody of the firm get to know what a worker told the health professional."""
    program, names = facts.description, facts.names_of_ours
    texts = [
        *facts.texts_in(_MEDICAL),
        *facts.texts_in("procedures.records"),
        *(
            (f"own_sections[{i}].text", own.text)
            for i, own in enumerate(program.own_sections)
            if is_told("of_health", own.text)
        ),
    ]
    faults = [
        (path, {"text": text, "words": words})
        for path, text in texts
        if (words := seen_by(text, names, path == f"{_MEDICAL}.confidential"))
    ]
    professional = program.procedures.medical.professional.name
    if professional and (own := next((name for name in names if name in professional), "")):
        faults.append((f"{_MEDICAL}.professional.name", {"text": professional, "words": own}))
    return CheckResult(
        tuple(path for path, _ in texts),
        tuple(faults),
        nothing=said("No text lets anybody of the firm see the answers."),
    )


def _stays_in(facts: Facts, _subject: Subject) -> CheckResult:
    """What a wearer does whose mask fails is not to stay where they are."""
    path = "procedures.emergencies.mask_fails"
    text = facts.description.procedures.emergencies.mask_fails
    if text is None or not (words := stays_in(text) or unmasked(text)):
        return CheckResult((path,), nothing=said("No text lets a wearer stay in whose mask fails."))
    return CheckResult((path,), ((path, {"text": text, "words": words}),))


def _against_no(facts: Facts, subject: Subject) -> CheckResult:
    """A text of a task speaks of a tank, of people who fainted, of welding; its fields deny it or do not know of it."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    lowest = task.oxygen.lowest if task.oxygen else None
    is_low = lowest is not None and lowest.value < facts.law_of(task).amount("least-oxygen", "%")
    known = {agent.name.casefold() for agent in facts.selection.air[task.id].agents}
    known |= {agent.hazard.agent.casefold() for agent in facts.selection.air[task.id].agents}
    denied = {
        "confined_space": task.confined_space is False,
        "immediately_dangerous": task.immediately_dangerous is False,
        "oxygen": not is_low,
        "hot_work": task.hot_work is None,
        "blasting": task.blasting is None,
        "spraying": task.spraying is None,
        "structural_fire": not task.structural_fire,
        "carbon_monoxide": "carbon monoxide" not in known,
        "smoke": not any(isinstance(one.hazard.exposure, Smoke) for one in facts.selection.air[task.id].agents),
        "isocyanates": not any("isocyanate" in name for name in known),
    }
    texts = [entry for entry in facts.texts_in(path) if not entry[0].startswith(f"{path}.oxygen")]
    faults = [
        (place, {"text": text, "words": found, "said": said_of_no(field), "asks": _asked(path, field)})
        for place, text in texts
        for field in denied
        if denied[field] and (found := against_no(text, field))
    ]
    if task.entry is not None and task.confined_space is False:
        words = {"text": "entry", "words": "entry", "said": said_of_no("confined_space")}
        faults.append((f"{path}.entry", words | {"asks": _asked(path, "confined_space")}))
    return CheckResult((path,), tuple(faults), nothing=said("No text of the task speaks of such a danger."))


def _asked(task: str, field: str) -> str:
    """The first place to fill where a field of a task says no; an agent is a hazard of its own."""
    inner = {"oxygen": "oxygen.lowest", "hot_work": "hot_work.place", "blasting": "blasting.work"}
    inner |= {"spraying": "spraying.place", "carbon_monoxide": "", "isocyanates": "", "smoke": ""}
    at = inner.get(field, field)
    return f"{task}.{at}" if at else ""


def _agents_in_words(facts: Facts, subject: Subject) -> CheckResult:
    """A text of a task, or of what its agents come from, names an agent of the law that is no hazard of the task."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    known = {agent.substance.id for agent in facts.selection.air[task.id].agents if agent.substance}
    texts = [(f"{path}.name", task.name), (f"{path}.description", task.description)]
    texts += [(f"{at}.source", hazard.source) for at, hazard in facts.hazards_by_task.get(task.id, ())]
    faults = [
        (place, {"text": text, "agent": name})
        for place, text in texts
        if text
        for clause in clauses_without("absent", text)
        for name, agent in agents_named(clause)
        if agent not in known
    ]
    told = " ".join((text for _, text in texts if text))
    if _LEAD not in known and not is_told("settled_of_lead", told):
        faults += [
            (place, {"text": text, "agent": said("paint that may hold lead")})
            for place, text in texts
            if text and is_told("may_hold_lead", text)
        ]
    if all(agent.substance for agent in facts.selection.air[task.id].agents):  # no agent that the tables do not know
        faults += [
            (place, {"text": text, "agent": said("mould, droppings or other living matter")})
            for place, text in texts
            if text and any(is_told("living_matter", clause) for clause in clauses_without("absent", text))
        ]
    return CheckResult((path,), tuple(faults), nothing=said("No text of the task names an agent beside its hazards."))


TEXT_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "texts-say-how": _long_enough,
    "names-tell-apart": _told_apart,
    "practice-not-taken-back": _taken_back,
    "texts-keep-the-law": _against_the_law,
    "answers-not-seen": _answers_seen,
    "leaves-when-mask-fails": _stays_in,
    "no-word-against-a-no": _against_no,
    "agents-in-words-described": _agents_in_words,
}
