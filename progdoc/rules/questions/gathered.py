"""Gathers the findings under the questions whose answers settle them: once for each subject, with its name.

Every finding that is not accepted belongs to one question. A fact that decides whether a duty applies is asked by the
question that asks for that place, not by the one of the duty. What several tasks or people lack alike is asked once,
with all their names.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import field

from progdoc.core.data_text import filled
from progdoc.core.diagnostics import Diagnostic, Scope, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.questions import AskedField, Question
from progdoc.core.report import Status
from progdoc.core.said import said, said_series
from progdoc.model.description.fields import field_at
from progdoc.model.description.words import label_of, schedule_label
from progdoc.rules.adoption import Adoption, adoption_that_states
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.substances import agent_standards
from progdoc.rules.questions.order import in_order
from progdoc.rules.reading.answers_to_type import to_type
from progdoc.rules.reading.question_list import Asking, QuestionList
from progdoc.rules.requirement import Verdict
from progdoc.rules.snippet import place_to_fill

__all__ = ["KINDS", "MOST_ROWS", "asked_field", "asking_about", "questions_about"]

MOST_ROWS = 8  # of things that one form asks about, each in a row of its own

# Where each kind of subject stands, and how its ids begin.
KINDS = {
    "task": ("tasks", "tasks"),
    "hazard": ("hazards", "hazards"),
    "mask": ("masks", "masks"),
    "filter": ("filters", "filters"),
    "schedule": ("procedures.filter_changes.schedules", "schedules"),
    "person": ("people", "people"),
}
_ENTRY = re.compile(rf"({'|'.join(re.escape(where) for where, _ in KINDS.values())})\[\d+\]")
_ALIKE = ("task", "person")  # whose like gaps are asked about in one question, however many there are
_TOGETHER = (
    "task",
    "hazard",
    "mask",
    "filter",
    "person",
)  # of which a few are asked about at once, whatever each lacks
_INDEX = re.compile(r"\[\d+\]")
_MOST_NAMES = 4
_Found = tuple[Diagnostic, Verdict | None]  # None: a finding of the reader's, which no requirement makes


@dataclass(slots=True)
class _Gathered:
    """What belongs to one question about one subject while it is gathered."""

    asking: Asking
    subjects: tuple[str, ...]
    found: list[_Found] = field(default_factory=list)
    decides: int = 0


def questions_about(
    facts: Facts,
    verdicts: Sequence[Verdict],
    findings: Iterable[Diagnostic],
    known: QuestionList,
    barring: Container[str] = (),
) -> tuple[Question, ...]:
    """Return what is to be answered, in the order in which it is asked; what bars work here (its codes) first."""
    by_subject = {(v.requirement.code, v.subject.ids): v for v in verdicts}
    places = _subjects_and_places(facts)
    subjects = {place: subject for subject, place in places.items()}
    gathered: dict[tuple[str, tuple[str, ...]], _Gathered] = {}
    for finding in findings:
        if not finding.accepted and finding.severity is not Severity.INVALID:
            verdict = by_subject.get((finding.code, finding.subject))
            asking = _asking(known, finding, verdict)
            subject = _subject(subjects, asking, finding.location.path, finding.subject)
            key = (asking.id, subject)
            gathered.setdefault(key, _Gathered(asking, subject)).found.append((finding, verdict))
    for verdict in verdicts:
        for path in verdict.paths if verdict.status is Status.UNDETERMINED else ():
            waited_for = known.asking(path)
            if waited_for is not None:
                subject = _subject(subjects, waited_for, path, verdict.subject.ids)
                if (waited_for.id, subject) in gathered:
                    gathered[waited_for.id, subject].decides += 1
    return in_order(
        (_question(facts, places, one, barring) for one in _alike_together(facts, gathered.values())), known.rank
    )


def _asking(known: QuestionList, finding: Diagnostic, verdict: Verdict | None) -> Asking:
    """Return the question that a finding belongs to; a rule of a local pack may need one of its own."""
    asking = None
    if verdict is None or verdict.status is Status.UNDETERMINED:
        asking = known.asking(finding.location.path)
    if asking is None and verdict is not None:
        asking = known.of(verdict.requirement)
    return asking or _own(finding, verdict)


def _own(finding: Diagnostic, verdict: Verdict | None) -> Asking:
    asks = said(
        "%(duty)s: how is that done here?", duty=(verdict.requirement.duty if verdict else finding.what).rstrip(".")
    )
    cites = (finding.citation,) if finding.citation else ()
    return Asking(finding.code.lower(), "program", "local_rules", asks, finding.why, cites, (), (finding.code,), ())


def _subjects_and_places(facts: Facts) -> dict[str, str]:
    """Return where each thing that may be asked about stands, by its id: "tasks.scrape-sashes"."""
    return {
        f"{kind}.{thing.id}": f"{where}[{number}]"
        for where, kind in KINDS.values()
        for number, thing in enumerate(facts.value_at(where) or ())
    }


def _subject(subjects: Mapping[str, str], asking: Asking, path: str, ids: tuple[str, ...]) -> tuple[str, ...]:
    """Return whom or what a question is about: what the place stands in, or the one of its kind that is judged."""
    if asking.per not in KINDS:
        return ()
    where, kind = KINDS[asking.per]
    at = _ENTRY.match(path)
    if at is not None and at[1] == where and at[0] in subjects:
        return (subjects[at[0]],)
    return tuple(part for part in ids if part.startswith(f"{kind}."))[:1]


def _alike_together(facts: Facts, gathered: Iterable[_Gathered]) -> Iterator[_Gathered]:
    """Yield each; as one a few of a kind, or those in the air of one task; of many those that lack the same."""
    known = sorted(gathered, key=lambda one: (one.asking.id, one.subjects))
    air = {f"hazards.{hazard.id}": hazard.task for hazard in facts.description.hazards}
    of = {id(one): air.get(one.subjects[0], "") if one.subjects and one.asking.per == "hazard" else "" for one in known}
    many = Counter(one.asking.id for one in known)
    in_air = Counter((one.asking.id, of[id(one)]) for one in known)
    together: dict[tuple[object, ...], _Gathered] = {}
    for one in known:
        task = of[id(one)]
        key: tuple[object, ...] = (one.asking.id, one.subjects)
        if one.subjects and one.asking.per in _TOGETHER and many[one.asking.id] <= MOST_ROWS:
            key = (one.asking.id,)
        elif one.subjects and one.asking.per in _ALIKE:
            key = (one.asking.id, *sorted({finding.code for finding, _ in one.found}))
        elif task and in_air[one.asking.id, task] <= MOST_ROWS:
            key = (one.asking.id, task)
        first = together.setdefault(key, one)
        if first is not one:
            first.subjects += one.subjects
            first.found += one.found
            first.decides += one.decides
    yield from together.values()


# ---- one question ---------------------------------------------------------------------------------------


def _question(facts: Facts, place_of: Mapping[str, str], one: _Gathered, barring: Container[str]) -> Question:
    asking = one.asking
    places = tuple(place_of[subject] for subject in one.subjects)
    names = tuple(_name(facts, asking, place) for place in places)
    if not names and asking.per in KINDS:  # what is judged is of another kind, and nothing of this one is known
        names = _names_of(facts, one.found)
    found = sorted(one.found, key=lambda each: (each[0].code, each[0].subject, each[0].location, each[0].what))
    own = _alone(asking, found)
    adoption = _adoption(verdict for _, verdict in found)
    open_places = _places(facts, one, places)
    return Question(
        id=asking.id,
        section=asking.section,
        subject=one.subjects,
        names=names,
        asks=asking_about(asking, names),
        why=own.why if own else asking.why,
        cites=_about_these(facts, asking, places, found, (own.citation, *asking.cites))
        if own
        else _about_these(facts, asking, places, found, _cites(asking, found)),
        fields=tuple(map(asked_field, open_places)),
        findings=tuple(finding for finding, _ in found),
        blank=to_type(place_to_fill(facts, _whole(open_places[0], asking))) if open_places else "",
        adopts=adoption.paragraph if adoption else "",
        adopted_at=adoption.path if adoption else "",
        is_danger=any(finding.code in barring or _is_danger(asking, finding) for finding, _ in found),
        prompts=asking.prompts,
        decides=one.decides,
    )


def _alone(asking: Asking, found: Sequence[_Found]) -> Diagnostic | None:
    """Return the finding whose own reason is told, where a question about an agent settles it alone.

    What is said of all air frightens for nothing where the air is only to be sampled again.
    """
    findings = [finding for finding, _ in found]
    is_one = asking.per == "hazard" and len({finding.code for finding in findings}) == 1
    return findings[0] if is_one and findings[0].why and findings[0].citation else None


def _cites(asking: Asking, found: Sequence[_Found]) -> tuple[str, ...]:
    """Return the paragraphs of a question; before them those of the findings, where a person's agent has others."""
    own = dict.fromkeys(finding.citation for finding, _ in found if finding.citation)
    return asking.cites if asking.per != "person" or set(own) & set(asking.cites) else (*own, *asking.cites)


def _about_these(
    facts: Facts, asking: Asking, places: Container[str], found: Sequence[_Found], cites: Sequence[str]
) -> tuple[str, ...]:
    """Return paragraphs, each once; of a question about agents without the standards of other agents."""
    agents = [agent for air in facts.selection.air.values() for agent in air.agents if agent.path in places]
    if asking.per != "hazard" or not agents:
        return tuple(dict.fromkeys(cites))
    own = {standard for agent in agents if agent.substance for _, standard in agent.substance.standards}
    others = agent_standards() - own
    kept = [cited for cited in cites if cited.partition("(")[0] not in others]
    return tuple(dict.fromkeys(kept or (finding.citation for finding, _ in found if finding.citation)))


def _is_danger(asking: Asking, finding: Diagnostic) -> bool:
    weighs = finding.severity is Severity.REQUIRED and finding.scope is Scope.PROGRAM
    return weighs and finding.code.startswith(asking.danger)


def _name(facts: Facts, asking: Asking, place: str) -> str:
    thing = facts.value_at(place)
    if asking.per == "hazard":
        return said("%(agent)s in “%(tasks)s”", agent=thing.agent, tasks=label_of(facts.tasks[thing.task][1]))
    if asking.per == "schedule":
        return schedule_label(thing, facts.description.filters, facts.description.tasks)
    return label_of(thing)


def _names_of(facts: Facts, found: Iterable[_Found]) -> tuple[str, ...]:
    ids = dict.fromkeys(part for finding, _ in found for part in finding.subject)
    return tuple(facts.names[part] for part in ids if part in facts.names) or (facts.description.program.title or "",)


def asking_about(asking: Asking, names: tuple[str, ...]) -> str:
    """Return a question with the names of what it is about."""
    return filled(asking.asks, {"names": _joined(asking, names)}) if names else asking.asks


def _joined(asking: Asking, names: tuple[str, ...]) -> str:
    shown = list(names) if asking.per in ("hazard", "person") else [said("“%(name)s”", name=name) for name in names]
    if len(shown) > _MOST_NAMES:
        shown = [*shown[: _MOST_NAMES - 1], said("%(n)s more", n=len(shown) - _MOST_NAMES + 1)]
    return said_series(shown)


def _places(facts: Facts, one: _Gathered, subjects: Sequence[str]) -> tuple[str, ...]:
    """Return the places that an answer fills: silent, or said as the law doesn't need it; none that don't apply."""
    asked = dict.fromkeys(place for finding, verdict in one.found for place in _open(facts, finding, verdict))
    places = tuple(place for place in asked if _is_under(place, one.asking.fields))
    if places:
        return places
    whole = (field for field in one.asking.fields if "[]" not in field)
    inner = (subject + field.partition("[]")[2] for field in one.asking.fields if "[]" in field for subject in subjects)
    return (*whole, *inner)


def _whole(place: str, asking: Asking) -> str:
    """Return the place of the field that a question asks for, where a part of it is open."""
    depth = max((len(field.split(".")) for field in asking.fields if _is_under(place, (field,))), default=0)
    return ".".join(place.split(".")[:depth]) or place


def _open(facts: Facts, finding: Diagnostic, verdict: Verdict | None) -> Iterator[str]:
    if verdict is not None and verdict.status is Status.GAP:
        yield from verdict.faults
        yield from (path for path in verdict.paths if path and not facts.is_stated(path))
    elif finding.location.path:
        yield finding.location.path


def _is_under(place: str, fields: Iterable[str]) -> bool:
    pattern = _INDEX.sub("[]", place)
    return any(pattern == known or pattern.startswith((f"{known}.", f"{known}[]")) for known in fields)


def asked_field(path: str) -> AskedField:
    """Return what the model says may be typed at a place."""
    known = field_at(_INDEX.sub("[]", path))
    if known is None:
        raise ValueError(f"the description has no `{path}`")
    return AskedField(path, known.title, known.form, known.is_list, known.values, known.examples, known.description)


def _adoption(verdicts: Iterable[Verdict | None]) -> Adoption | None:
    """Return the widest paragraph by whose adopting a part of the answer is given in one line."""
    gaps = (verdict for verdict in verdicts if verdict is not None and verdict.status is Status.GAP)
    found = [adoption for gap in gaps if (adoption := adoption_that_states(gap.requirement, gap.faults))]
    return min(found, key=lambda adoption: (len(adoption.paragraph), adoption.path), default=None)
