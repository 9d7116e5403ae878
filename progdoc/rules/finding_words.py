"""A fault or a missing fact as a finding: what is wrong, where, why, what to type, and on which ground."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from string import Formatter

from progdoc.core.data_text import filled
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.said import said, said_join, same, unstopped, with_lines
from progdoc.rules.adoption import adoption_that_states
from progdoc.rules.facts import Facts
from progdoc.rules.outcome import Fault
from progdoc.rules.reading.answers_to_type import to_type
from progdoc.rules.requirement import Requirement, Subject, Verdict
from progdoc.rules.snippet import for_evidence, place_to_fill, unnamed, with_ids, without_stated

__all__ = ["diagnostics_of", "question_of"]

_INDEX = re.compile(r"\[\d+\]")  # where in a list a thing stands is no ground


def diagnostics_of(
    facts: Facts, requirement: Requirement, subject: Subject, faults: Sequence[Fault]
) -> Iterable[Diagnostic]:
    """One finding for all silent or contradicting fields of a requirement; one each for what records show."""
    fields = [fault for fault in faults if fault.detail]
    if fields:
        silent = tuple(fault.path for fault in fields if fault.is_silent)
        details = said_join(_details(fields, silent), "; ")
        faulty = tuple(fault.path for fault in fields)
        ground = _ground_of_fields(requirement, fields)
        yield _diagnostic(facts, requirement, subject, fields[0], details, faulty, silent, ground)
    for fault in faults:
        if not fault.detail:
            yield _diagnostic(facts, requirement, subject, fault)


def _details(fields: Sequence[Fault], silent: Sequence[str]) -> Iterator[str]:
    """Yield what is wrong with each field; of several that are silent, where nothing is said, once."""
    for fault in fields:
        if not fault.is_silent or len(silent) == 1:
            yield fault.detail
        elif fault.path == silent[0]:
            yield said("nothing is said under %(asked)s", asked=said_join((same(f"`{p}`") for p in silent), ", "))


def _is_of(lines: str, path: str, subject: Subject) -> bool:
    """Return whether lines to type have the very field of a subject that is at fault."""
    inner = path.removeprefix(f"{subject.path}.")
    return inner != path and inner.isidentifier() and f" {inner}: " in lines


def _diagnostic(
    facts: Facts,
    requirement: Requirement,
    subject: Subject,
    fault: Fault,
    details: str = "",
    faulty: Sequence[str] = (),
    silent: Sequence[str] = (),
    ground: str | None = None,
) -> Diagnostic:
    words = {"subject": subject.label, "path": fault.path, **fault.words}
    what = filled(requirement.what, words)
    fix = filled(requirement.fix, words)
    if left := facts.adopted.left_to_say(requirement, fault.path) if fault.is_silent else "":
        fix = said("%(fix)s Adopting %(left)s leaves this to be said.", fix=fix, left=left)
    elif adoption := adoption_that_states(requirement, silent):
        named = said('`adopt: "%(paragraph)s"`', paragraph=adoption.paragraph)
        fix = said(
            "%(fix)s If you do exactly what %(paragraph)s asks, write %(named)s under `%(group)s`.",
            fix=fix,
            paragraph=adoption.paragraph,
            named=named,
            group=same(adoption.group),
        )
    if example := _example(facts, requirement, subject):
        lines = unnamed(example, subject)
        wrong = faulty if details else (fault.path,)
        if details or _is_of(lines, fault.path, subject):  # what else the example has and is stated is not asked again
            lines = without_stated(lines, subject.path, lambda path: path not in wrong and facts.is_stated(path))
        fix = with_lines(fix, with_ids(to_type(lines), subject))
    elif asks := fault.words.get("asks"):
        fix = with_lines(fix, to_type(place_to_fill(facts, asks)))
    if requirement.severity is Severity.REQUIRED:
        ground = ""
    elif ground is None:
        ground = _ground(facts, requirement, subject, fault)
    return Diagnostic(
        location=facts.locate(fault.path),
        code=requirement.code,
        name=requirement.name,
        severity=requirement.severity,
        what=said("%(what)s (%(details)s).", what=unstopped(what), details=details) if details else what,
        why=requirement.why,
        fix=fix,
        citation=fault.words.get("citation") or str(requirement.citation),  # of the policy that set the figure
        subject=subject.ids,
        scope=requirement.scope,
        audience=requirement.audience,
        ground=ground,
    )


def _example(facts: Facts, requirement: Requirement, subject: Subject) -> str:
    evidence = getattr(facts.value_at(subject.path), "exposure", None) if subject.kind == "hazard" else None
    return for_evidence(requirement.example, evidence)


def question_of(facts: Facts, verdict: Verdict, path: str) -> Diagnostic:
    """Ask for a fact that decides whether a duty applies and for which no requirement of its own asks."""
    requirement = verdict.requirement
    ground = f"whether it applies; not said: {_INDEX.sub('', path)}"
    return Diagnostic(
        location=facts.locate(path),
        code=requirement.code,
        name=requirement.name,
        severity=requirement.severity,
        what=said(
            "Whether this duty applies can't be told: nothing is said under `%(path)s`. %(duty)s",
            path=same(path),
            duty=requirement.duty,
        ),
        why=said("A duty that may apply is not set aside because nobody said whether it does."),
        fix=with_lines(
            said("Write `%(name)s:` there.", name=same(path.rpartition(".")[2])),
            to_type(place_to_fill(facts, path)),
        ),
        citation=str(verdict.citation),
        subject=verdict.subject.ids,
        scope=requirement.scope,
        audience=requirement.audience,
        ground="" if requirement.severity is Severity.REQUIRED else ground,
    )


def _ground(facts: Facts, requirement: Requirement, subject: Subject, fault: Fault) -> str:
    """Return what a finding says beside whom it is about: by that it may be another one tomorrow."""
    names = {facts.names.get(part) for part in subject.ids} | {subject.label}
    fields = (name for _, name, _, _ in Formatter().parse(requirement.what) if name not in (None, "subject", "path"))
    return "; ".join(word for name in fields if name and (word := fault.words.get(name, "")) and word not in names)


def _ground_of_fields(requirement: Requirement, faults: Sequence[Fault]) -> str:
    """Return what is open of the fields of a duty; nothing where its only field is silent."""
    silent = [fault.path for fault in faults if fault.is_silent]
    is_single = len({one.path for one in requirement.proof.singles()}) == 1
    if is_single and len(silent) == len(faults):
        return ""
    told = [f"not said: {', '.join(dict.fromkeys(silent))}"] if silent else []
    return _INDEX.sub("", "; ".join((*told, *(fault.detail for fault in faults if not fault.is_silent))))
