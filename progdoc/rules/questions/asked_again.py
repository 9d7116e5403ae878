"""A question that was answered, to be answered anew: with all its fields, whatever stands in them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from progdoc.core.diagnostics import Diagnostic
from progdoc.core.questions import Question
from progdoc.core.report import Status
from progdoc.model.description.program import Program
from progdoc.model.description.words import label_of, schedule_label
from progdoc.rules.questions.gathered import KINDS, MOST_ROWS, asked_field, asking_about
from progdoc.rules.reading.question_list import Asking, QuestionList, proof_fields
from progdoc.rules.requirement import Verdict

__all__ = [
    "all_questions",
    "also_open",
    "asked_again",
    "asked_of",
    "beside",
    "fields_named",
    "named_in",
    "of_some",
    "places_of",
]

_INDEX = re.compile(r"\[\d+\]")
# What a finding wants typed in one thing of a list, when that is one value, in a group or not.
_TO_TYPE = re.compile(
    r"\n(?P<list>[a-z_]+):\n  - id: [^\n]*\n    (?P<group>[a-z_]+):(?:\n      (?P<field>[a-z_]+):)?[^\n]*\Z"
)
_FIELD = re.compile(r"[`“]([a-z_]+)(?::[^`“”]*)?[`”]")  # “oil”, “gear_clear_of_seal: yes”


def all_questions(description: Program, known: QuestionList) -> Iterator[Question]:
    """Yield every question there is about a description, in the order of the program, one for each thing."""
    for asking in known.questions:
        for subject in _subjects(description, asking):
            yield _whole(description, asking, (subject,) if subject else ())


def asked_again(description: Program, known: QuestionList, wanted: str, subject: tuple[str, ...]) -> Question | None:
    """Return a question about what it names; None where there is no such question or thing."""
    asking = next((one for one in known.questions if one.id == wanted), None)
    if asking is None or "" in subject or not {*(subject or ("",))} <= {*_subjects(description, asking)}:
        return None
    return _whole(description, asking, tuple(dict.fromkeys(subject)))


def _subjects(description: Program, asking: Asking) -> tuple[str, ...]:
    """Return what a question is asked about, one id each; nothing for one about the whole program."""
    if asking.per not in KINDS:
        return ("",)
    where, kind = KINDS[asking.per]
    return tuple(f"{kind}.{thing.id}" for thing in _at(description, where))


def places_of(description: Program, question: Question) -> tuple[str, ...]:
    """Return where the things stand that a question is about, one place each: "tasks[0]"."""
    at = {
        f"{kind}.{thing.id}": f"{where}[{number}]"
        for where, kind in KINDS.values()
        for number, thing in enumerate(_at(description, where))
    }
    return tuple(at[part] for part in question.subject)


def fields_named(finding: Diagnostic) -> Iterator[str]:
    """Yield the fields, by their names alone, that would settle a finding as it says itself."""
    yield from _FIELD.findall(finding.fix.partition("\n")[0])
    yield _INDEX.sub("", finding.location.path).rpartition(".")[2]


def named_in(known: QuestionList, question: Question, place: str, subject: str) -> Iterator[str]:
    """Yield the places of a question's own fields that its findings about the thing at a place name.

    And where a finding wants something typed in that thing that no field of the question is: the place of that.
    """
    asking = next((one for one in known.questions if one.id == question.id), None)
    findings = [one for one in question.findings if not subject or subject in one.subject]
    named = {name for finding in findings for name in fields_named(finding)}
    for field in asking.fields if asking else ():
        of, _, name = field.rpartition(".")
        if name in named and of.partition("[]")[0] == place.partition("[")[0] and of.endswith("[]"):
            yield f"{place}.{name}"
    own = {field.rpartition(".")[2] for field in asking.fields} if asking else set()
    for finding in findings if own and "." not in place else ():
        wanted = _TO_TYPE.search(finding.fix)
        if wanted and wanted["list"] == place.partition("[")[0] and wanted["group"] not in own:
            yield ".".join(filter(None, (place, wanted["group"], wanted["field"])))


def also_open(
    still_open: Iterable[Verdict], known: QuestionList, question: Question, first: str, about: tuple[str, ...] = ()
) -> Iterator[str]:
    """Yield the places of a question whose turn would come only after its answer, though a duty waits for them now.

    One page is one answer: what is known to apply, or can't be told yet, is asked with the rest.

    Parameters
    ----------
    first
        Where the first thing stands that the question is about; "" for one about the whole program.
    about
        Of which of the things that the question is about a duty has to wait for a place; all of them by default.
    """
    about = about or question.subject or ("",)
    asking = next((one for one in known.questions if one.id == question.id), None)
    asked = {_INDEX.sub("[]", field.path) for field in question.fields}
    waiting: dict[str, set[str]] = {}
    for verdict in still_open:
        is_own = verdict.status is Status.GAP and known.of(verdict.requirement) is asking
        for field in verdict.requirement.reads if is_own else proof_fields(verdict.requirement):
            waiting.setdefault(field, set()).update(verdict.subject.ids or ("",))
    for field in asking.fields if asking else ():
        is_asked = any(field == one or one.startswith((f"{field}.", f"{field}[]")) for one in asked)
        if not is_asked and field in waiting and set(about) <= waiting[field]:
            inner = f"{_INDEX.sub('[]', first)}."
            place = f"{first}.{field.removeprefix(inner)}" if first and field.startswith(inner) else field
            if "[]" not in place:
                yield place


def beside(known: QuestionList, question: Question, place: str) -> Iterator[str]:
    """Yield the places that the form of a question has beside those that a duty asks for, of the thing at a place."""
    asking = next((one for one in known.questions if one.id == question.id), None)
    for field in asking.beside if asking else ():
        yield f"{place}.{field.partition('[].')[2]}" if place else field


def asked_of(known: QuestionList, question: Question, names: tuple[str, ...]) -> str:
    """Return a question in the words in which it is asked about some of what it is about."""
    asking = next((one for one in known.questions if one.id == question.id), None)
    return asking_about(asking, names) if asking else question.asks


def of_some(description: Program, known: QuestionList, question: Question, subject: tuple[str, ...]) -> Question:
    """Return a question that is asked about several as it is about some of them."""
    names = tuple(name for one, name in zip(question.subject, question.names, strict=True) if one in subject)
    findings = tuple(one for one in question.findings if set(subject).intersection(one.subject))
    narrowed = replace(
        question,
        subject=tuple(one for one in question.subject if one in subject),
        names=names,
        asks=asked_of(known, question, names),
        findings=findings or question.findings,
    )
    others = set(places_of(description, question)) - set(places_of(description, narrowed))
    left = tuple(f"{place}." for place in others)
    return replace(narrowed, fields=tuple(one for one in question.fields if not one.path.startswith(left)))


def _whole(description: Program, asking: Asking, subject: tuple[str, ...]) -> Question:
    where, kind = KINDS.get(asking.per, ("", ""))
    things = {f"{kind}.{thing.id}": (n, thing) for n, thing in enumerate(_at(description, where) if where else ())}
    names = tuple(_name(description, asking, things[part][1]) for part in subject)
    asked = subject if len(subject) <= MOST_ROWS else subject[:1]  # of many the form has the fields of the first
    places = [f"{where}[{things[part][0]}]" for part in asked] or [""]
    inner = f"{where}[]"
    fields = dict.fromkeys(
        path
        for place in places
        for name in asking.fields
        for path in (
            [place + name.removeprefix(inner)] if place and name.startswith(inner) else _each(description, name)
        )
    )
    return Question(
        id=asking.id,
        section=asking.section,
        subject=subject,
        names=names,
        asks=asking_about(asking, names),
        why=asking.why,
        cites=asking.cites,
        fields=tuple(asked_field(path) for path in fields if "[]" not in path),
        findings=(),
        prompts=asking.prompts,
    )


def _each(description: Program, field: str) -> Iterator[str]:
    """Yield the places of a field; of one of the things in a list, such as "masks[].sizes", that of each."""
    of, marks, name = field.partition("[].")
    yield from (f"{of}[{number}].{name}" for number in range(len(_at(description, of)))) if marks else (field,)


def _name(description: Program, asking: Asking, thing: Any) -> str:
    if asking.per == "schedule":
        return schedule_label(thing, description.filters, description.tasks)
    return str(thing.agent) if asking.per == "hazard" else label_of(thing)


def _at(description: Program, where: str) -> tuple[Any, ...]:
    found: Any = description
    for name in where.split("."):
        found = getattr(found, name)
    return tuple(found)
