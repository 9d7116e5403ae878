"""Takes out what was typed as evidence and refuses it: “none” for a maker's report, “nobody” for who measured.

What a mask, a filter, the air or a record rests on counts only where somebody answers for it. A refusal there is
judged as silence, so that no calculation takes it for a fact; that it stands there is told by a finding of its own.
So is what says too little to be looked up again (“see above”, “we comply with OSHA”), what is only promised (“will be
tested”), what rests on the senses alone (“we never smelled anything”) for how a level is known, a test that nobody
but the wearer gave, and a reason against adding up agents that names nothing on which one acts.
The words of procedures are not touched: their own duties look at them; but what corrected a finding of an evaluation is
a record. A placeholder for a name is nobody's name: the thing is then called by its id.
"""

from __future__ import annotations

import re
from typing import Any

from progdoc.core.said import said
from progdoc.model.description.base import Described
from progdoc.model.description.fields import is_text_field
from progdoc.model.description.program import Program
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.empty_shapes import only_letters
from progdoc.rules.lookup.field_words import answers_another_thing
from progdoc.rules.lookup.law_tables import assigned_factors
from progdoc.rules.lookup.mask_words import factors_written
from progdoc.rules.lookup.promises import only_promised, only_put_off
from progdoc.rules.lookup.source_words import names_a_source
from progdoc.rules.lookup.telling_words import by_the_senses, by_the_wearer, is_told

__all__ = ["charge_against", "without_refused_evidence"]

# Where evidence stands: the things themselves, the air, change schedules, and the records of people.
_ROOTS = ("masks", "filters", "hazards", "tasks", "people")
_SCHEDULES = ("procedures", "filter_changes", "schedules")
# What a thing is called or is made of, and what happened to it: no evidence, whatever it says.
_NO_EVIDENCE = frozenset(
    {"name", "description", "make", "model", "style", "sizes", "size", "agent", "job", "findings", "remedy",
     "withdrawn", "changes", "medical", "duration", "reason", "text", "shift", "language", "because", "what", "serial",
     "place", "row", "why_masks", "controls", "gear", "units", "cylinders", "spectacles", "change", "shows"}
)  # fmt: skip
# What says how something was found out; smell, and that nobody complained, are no evidence of a level.
_FOUND_OUT = frozenset(
    {
        "by",
        "basis",
        "guidance",
        "method",
        "data",
        "reliance",
        "is_shown_by",
        "environmental_rule",
        "rule_checked",
        "hood_evidence",
        "agents_source",
        "short_because",
    }
)
_HAZARD = re.compile(r"hazards\[\d+\]")
# What is looked up again by these, or asked of whom they name.
_LOOKED_UP = _FOUND_OUT | {"source", "tester", "title", "confirmed_by", "approval", "read_when"}
# What falls with a refusal in a field of its own that it can't be without.
_FALLS = frozenset({"exposure", "limit", "service_data", "sources", "oxygen"})


def without_refused_evidence(program: Program) -> tuple[Program, tuple[tuple[str, str], ...]]:
    """Return the program without refused evidence, and each place with what stands there."""
    found: list[tuple[str, str]] = []
    changed: dict[str, Any] = {}
    sound: dict[int, str] = {}  # records that many people share, in which nothing was found, each with its field
    for root in _ROOTS:
        value, _ = _cleaned(getattr(program, root), root, root, found, sound)
        if value is not getattr(program, root):
            changed[root] = value
    changes = program.procedures.filter_changes
    schedules, _ = _cleaned(changes.schedules, "schedules", ".".join(_SCHEDULES), found, sound)
    if schedules is not changes.schedules:
        inner = changes.model_copy(update={"schedules": schedules})
        changed["procedures"] = program.procedures.model_copy(update={"filter_changes": inner})
    program = program.model_copy(update=changed) if changed else program
    program = _without_empty_names(_without_tests_by_the_wearer(program, found), found)
    return _without_void_corrections(program, found), tuple(found)


_NO_AGENT = said("an agent not named yet")
_NAMED = ("tasks", "masks", "filters", "people")


def _without_empty_names(program: Program, found: list[tuple[str, str]]) -> Program:
    """Call what has a placeholder for its name by its id: sentences everywhere would repeat it."""
    named: dict[str, tuple[Any, ...]] = {root: getattr(program, root) for root in _NAMED}
    changed: dict[str, Any] = {root: _named(things, root, "name", found) for root, things in named.items()}
    changed["hazards"] = _named(program.hazards, "hazards", "agent", found)
    sites = _named(program.organisation.sites, "organisation.sites", "name", found)
    if sites is not program.organisation.sites:
        changed["organisation"] = program.organisation.model_copy(update={"sites": sites})
    changed = {root: value for root, value in changed.items() if value is not getattr(program, root)}
    return program.model_copy(update=changed) if changed else program


def _named(things: tuple[Any, ...], place: str, field: str, found: list[tuple[str, str]]) -> tuple[Any, ...]:
    kept = []
    for i, thing in enumerate(things):
        text = getattr(thing, field)
        is_empty = bool(text) and said_by(text) is Said.PLACEHOLDER
        is_empty = is_empty or (field == "agent" and said_by(text) is not Said.ANSWER)  # “none”, “see above”
        if is_empty:
            found.append((f"{place}[{i}].{field}", text))
            thing = thing.model_copy(update={field: _NO_AGENT if field == "agent" else thing.id})
        kept.append(thing)
    return things if all(one is other for one, other in zip(kept, things, strict=True)) else tuple(kept)


def _without_void_corrections(program: Program, found: list[tuple[str, str]]) -> Program:
    """Take out the correction that says of itself that nothing was done, and the day on which that was."""
    procedures = program.procedures
    kept = []
    for i, finding in enumerate(procedures.evaluation.findings):
        stated, owner = finding.correction, finding.owner
        changed: dict[str, Any] = {}
        is_planned = finding.done is None and only_put_off(stated or "")
        if stated and not is_planned and (said_by(stated) is not Said.ANSWER or is_told("uncorrected", stated)):
            found.append((f"procedures.evaluation.findings[{i}].correction", stated))
            changed |= {"correction": None, "done": None}
        if owner and said_by(owner) is not Said.ANSWER:
            found.append((f"procedures.evaluation.findings[{i}].owner", owner))
            changed["owner"] = None
        kept.append(finding.model_copy(update=changed) if changed else finding)
    if all(one is other for one, other in zip(kept, procedures.evaluation.findings, strict=True)):
        return program
    evaluation = procedures.evaluation.model_copy(update={"findings": tuple(kept)})
    return program.model_copy(update={"procedures": procedures.model_copy(update={"evaluation": evaluation})})


def _without_tests_by_the_wearer(program: Program, found: list[tuple[str, str]]) -> Program:
    """Take out who gave a fit test where that is the name of whoever was tested."""
    people = []
    for i, person in enumerate(program.people):
        own = (person.name or "").casefold()
        tests = tuple(
            test.model_copy(update={"tester": None}) if own and (test.tester or "").casefold() == own else test
            for test in person.fit_tests
        )
        found += [
            (f"people[{i}].fit_tests[{j}].tester", test.tester or "")
            for j, test in enumerate(person.fit_tests)
            if tests[j] is not test
        ]
        is_same = all(one is other for one, other in zip(tests, person.fit_tests, strict=True))
        people.append(person if is_same else person.model_copy(update={"fit_tests": tests}))
    if all(one is other for one, other in zip(people, program.people, strict=True)):
        return program
    return program.model_copy(update={"people": tuple(people)})


def _cleaned(value: Any, name: str, path: str, found: list[tuple[str, str]], sound: dict[int, str]) -> tuple[Any, bool]:
    """Return a value without its refusals, and whether it can't stand without one of them."""
    if isinstance(value, tuple):
        is_of_somebody = path.startswith("people[")
        if is_of_somebody and sound.get(id(value)) == name:
            return value, False
        before = len(found)
        kept = []
        for i, entry in enumerate(value):
            inner, is_void = _cleaned(entry, name, f"{path}[{i}]", found, sound)
            if not (is_void and name in _FALLS):
                kept.append(inner)
        same = len(kept) == len(value) and all(one is other for one, other in zip(kept, value, strict=True))
        if is_of_somebody and same and len(found) == before:
            sound[id(value)] = name
        return (value if same else tuple(kept)), False
    if not isinstance(value, Described):
        return value, False
    changed: dict[str, Any] = {}
    is_void = False
    for field, inner in value.__dict__.items():
        if not inner or field in _NO_EVIDENCE:
            continue
        place = f"{path}.{field}"
        if isinstance(inner, str) and is_text_field(type(value), field):
            is_refused = said_by(inner) in (Said.REFUSAL, Said.PLACEHOLDER)
            is_refused = is_refused or (field in _LOOKED_UP and _says_too_little(inner))
            is_refused = is_refused or (
                _tells_how_found(field, path)
                and (only_letters(inner) or by_the_senses(inner) or only_promised(inner) or is_told("unfounded", inner))
            )
            is_refused = is_refused or (
                path.endswith(".hood_report")
                and field == "title"
                and (_shows_less(inner) or is_told("no_report", inner))
            )
            is_refused = is_refused or (field == "acts_elsewhere" and not is_told("acts_on", inner))
            is_refused = is_refused or bool(answers_another_thing(inner, place) and field in _FOUND_OUT)
            if is_refused or (field == "tester" and by_the_wearer(inner)):
                found.append((place, inner))
                if type(value).model_fields[field].is_required():
                    is_void = True
                else:
                    changed[field] = None
            continue
        cleaned, falls = _cleaned(inner, field, place, found, sound)
        if falls and field in _FALLS:
            changed[field] = None
        elif cleaned is not inner:
            changed[field] = cleaned
    return (value.model_copy(update=changed) if changed else value), is_void


def charge_against(path: str, text: str) -> str:
    """Return what is held against a text that counts for nothing: the first of all that may be, which is the plainest.

    >>> charge_against("procedures.cleaning.by", "TBD"), charge_against("hazards[0].exposure.basis", "Will be tested")
    ('holds the place of an answer', 'only promises what is to come')
    """
    said_here, field = said_by(text), path.rpartition(".")[2]
    is_of_level = _tells_how_found(field, path.rpartition(".")[0])
    charges = (
        (only_put_off(text) or (is_of_level and only_promised(text)), said("only promises what is to come")),
        (said_here is Said.PLACEHOLDER or only_letters(text), said("holds the place of an answer")),
        (said_here is Said.REFUSAL, said("refuses the answer")),
        (field == "tester", said("names nobody but the wearer")),
        (is_of_level and by_the_senses(text), said("rests on what somebody saw, smelled or heard, and on no finding")),
        (is_of_level and is_told("unfounded", text), said("says itself that nothing stands behind it")),
        (said_here is Said.TOO_LITTLE, said("says too little to be looked up")),
        (field == "acts_elsewhere", said("names nothing in the body on which the agent acts")),
    )
    return next((words for holds, words in charges if holds), said("does not tell what is asked"))


def _says_too_little(text: str) -> bool:
    """Return whether a text answers nothing; “on the label” answers where a thing has one.

    >>> [_says_too_little(text) for text in ("See above", "As needed", "On the label", "Volume used and air changes")]
    [True, True, False, False]
    """
    return said_by(text) is Said.TOO_LITTLE and not names_a_source(text, frozenset())


def _shows_less(text: str) -> bool:
    """Return whether a maker's evidence names factors, and none as high as the one that it is to show."""
    wanted = min(cell.apf for cell in assigned_factors() if cell.apf and cell.needs_maker_evidence)
    factors = [factor for factor, _ in factors_written(text)]
    return bool(factors) and max(factors) < wanted


def _tells_how_found(field: str, path: str) -> bool:
    """Return whether a text says how something is known; what a hazard comes from is no such thing."""
    return field in _FOUND_OUT or (field == "source" and not _HAZARD.fullmatch(path))
