"""One pass over catalogue and description: a verdict for every requirement and subject, and its findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.numbers import long_date
from progdoc.core.report import Status
from progdoc.model.description.program import Acceptance
from progdoc.rules.adoption import adoption_that_states
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.local_limits import binds_in
from progdoc.rules.outcome import Fault
from progdoc.rules.reading.answers_to_type import to_type
from progdoc.rules.reading.conditions import holds
from progdoc.rules.reading.proof import outcome_of
from progdoc.rules.records.dangling_words import last_day_accepted
from progdoc.rules.requirement import Condition, Fact, Requirement, Subject, Verdict, at_home, part_of
from progdoc.rules.snippet import for_evidence, place_to_fill, snippet, without_stated
from progdoc.rules.subjects import SUBJECTS

__all__ = ["Duties", "duties", "evaluate", "findings", "verdicts_on"]

Duties = tuple[tuple[int, Requirement], ...]

_EMPTY_TEXT = "text"  # the kind of subject that `subjects` makes of placeholders


def evaluate(facts: Facts, requirements: Sequence[Requirement]) -> tuple[Verdict, ...]:
    """Return one verdict per requirement and subject, in the order of the requirements.

    Each subject is held against all that is asked of it before the next: what is worked out about it serves them all.
    """
    asked: dict[str, list[Requirement]] = {}
    for requirement in requirements:
        asked.setdefault(requirement.per, []).append(requirement)
    by_subject = {kind: _by_subject(facts, duties(of_kind), SUBJECTS[kind](facts)) for kind, of_kind in asked.items()}
    facts.forget_people()
    by_requirement = {kind: zip(*verdicts, strict=True) for kind, verdicts in by_subject.items()}
    return tuple(verdict for requirement in requirements for verdict in next(by_requirement[requirement.per], ()))


def findings(facts: Facts, verdicts: Iterable[Verdict]) -> tuple[Diagnostic, ...]:
    """Return every finding once. A fact that decides whether duties apply is asked for once, not once a duty."""
    found: list[Diagnostic] = []
    asked: set[str] = set()
    required: set[str] = set()  # the places at which a required duty found something
    undetermined: list[Verdict] = []
    empty: list[Verdict] = []
    for verdict in verdicts:
        if verdict.subject.kind == _EMPTY_TEXT:
            empty.append(verdict)
            continue
        found += [_accepted(facts, diagnostic) for diagnostic in verdict.diagnostics]
        if verdict.status is Status.GAP:
            asked.update((*verdict.paths, *(gap.location.path for gap in verdict.diagnostics)))
            required.update(verdict.faults if verdict.requirement.severity is Severity.REQUIRED else ())
        elif verdict.status is Status.UNDETERMINED:
            undetermined.append(verdict)
    # A place that a required duty asks for is not asked for once more because a placeholder stands there; what is only
    # advised there does not bar issue, and the placeholder does.
    found += [gap for verdict in empty if verdict.subject.path not in required for gap in verdict.diagnostics]
    for verdict in undetermined:
        for path in verdict.paths:
            if path not in asked:
                asked.add(path)
                found.append(_question(facts, verdict, path))
    return tuple(found)


def _by_subject(facts: Facts, asked: Duties, subjects: Iterable[Subject]) -> list[tuple[Verdict, ...]]:
    return [tuple(verdicts_on(facts, asked, subject)) for subject in subjects]


def duties(requirements: Iterable[Requirement]) -> Duties:
    """Return requirements to hold many subjects against: those that apply under the same condition have its number."""
    numbers: dict[Condition, int] = {}
    return tuple((numbers.setdefault(asked.applies, len(numbers)), asked) for asked in requirements)


def verdicts_on(facts: Facts, asked: Duties, subject: Subject) -> Iterator[Verdict]:
    """Yield how a subject stands to each requirement."""
    known: dict[int, Fact] = {}
    for number, requirement in asked:
        applies = known.get(number)
        if applies is None:
            applies = known[number] = holds(facts, subject, requirement.applies)
        yield _verdict(facts, requirement, subject, applies)


def _verdict(facts: Facts, requirement: Requirement, subject: Subject, applies: Fact) -> Verdict:
    """Return how one subject stands to one requirement, and the paragraph that asks where its work is done."""
    found = _stands(facts, requirement, subject, applies)
    if found.status is Status.NOT_APPLICABLE or not requirement.also or not part_of(requirement.citation):
        return found
    industries = {task.industry for task in facts.tasks_of(subject)}
    only = industries.pop() if len(industries) == 1 else None
    home = at_home(requirement, only) if only else requirement.citation
    if home == requirement.citation:
        return found
    usual = str(requirement.citation)
    told = (replace(d, citation=str(home)) if d.citation == usual else d for d in found.diagnostics)
    return replace(found, home=home, diagnostics=tuple(told))


def _is_elsewhere(facts: Facts, requirement: Requirement, subject: Subject) -> bool:
    """Return whether a rule of a state is that of one in which nothing is done that the subject has to do with."""
    tasks = facts.tasks_of(subject) if subject.ids else ()
    return not binds_in(requirement.state, facts.description, tasks)


def _stands(facts: Facts, requirement: Requirement, subject: Subject, applies: Fact) -> Verdict:
    if requirement.state and _is_elsewhere(facts, requirement, subject):
        because = f"It is a rule of {requirement.state}, and this is not done there."
        return Verdict(requirement, subject, Status.NOT_APPLICABLE, because, ("organisation.sites",))
    if applies.holds is False:
        return Verdict(
            requirement, subject, Status.NOT_APPLICABLE, "It does not apply here.", facts.shared(applies.paths)
        )
    if applies.holds is None:
        return Verdict(requirement, subject, Status.UNDETERMINED, _not_said(applies), applies.ask)
    outcome = outcome_of(facts, requirement, subject)
    paths = facts.shared(tuple(dict.fromkeys((*applies.paths, *outcome.read))))
    if outcome.faults:
        diagnostics = tuple(_diagnostics(facts, requirement, subject, outcome.faults))
        because = "; ".join(dict.fromkeys(d.what for d in diagnostics))
        places = tuple(dict.fromkeys(fault.path for fault in outcome.faults))
        return Verdict(requirement, subject, Status.GAP, because, paths, diagnostics=diagnostics, faults=places)
    if outcome.ask:
        return Verdict(requirement, subject, Status.UNDETERMINED, _open(outcome.ask), outcome.ask)
    if outcome.shown:
        shown = tuple(dict.fromkeys(facts.adopted.places.get(path, path) for path in outcome.shown))
        return Verdict(requirement, subject, Status.MET, "The description shows it.", paths, facts.shared(shown))
    return Verdict(requirement, subject, Status.NOT_APPLICABLE, outcome.nothing, paths)


def _open(asked: Iterable[str]) -> str:
    return f"Whether it is kept can't be told: nothing is said under {', '.join(f'`{p}`' for p in asked)}."


def _not_said(fact: Fact) -> str:
    return f"Whether it applies can't be told: nothing is said under {', '.join(f'`{p}`' for p in fact.ask)}."


def _diagnostics(
    facts: Facts, requirement: Requirement, subject: Subject, faults: Sequence[Fault]
) -> Iterable[Diagnostic]:
    """One finding for all silent or contradicting fields of a requirement; one each for what records show."""
    fields = [fault for fault in faults if fault.detail]
    if fields:
        details = "; ".join(fault.detail for fault in fields)
        silent = tuple(fault.path for fault in fields if fault.is_silent)
        faulty = tuple(fault.path for fault in fields)
        yield _diagnostic(facts, requirement, subject, fields[0], f" ({details})", faulty, silent)
    for fault in faults:
        if not fault.detail:
            yield _diagnostic(facts, requirement, subject, fault)


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
) -> Diagnostic:
    words = {"subject": subject.label, "path": fault.path, **fault.words}
    what = requirement.what.format_map(words)
    fix = requirement.fix.format_map(words)
    if left := facts.adopted.left_to_say(requirement, fault.path) if fault.is_silent else "":
        fix = f"{fix} Adopting {left} leaves this to be said."
    elif adoption := adoption_that_states(requirement, silent):
        named = f'`adopt: "{adoption.paragraph}"`'
        fix = f"{fix} If you do exactly what {adoption.paragraph} asks, write {named} under `{adoption.group}`."
    if example := _example(facts, requirement, subject):
        lines = snippet(example, subject)
        wrong = faulty if details else (fault.path,)
        if details or _is_of(lines, fault.path, subject):  # what else the example has and is stated is not asked again
            lines = without_stated(lines, subject.path, lambda path: path not in wrong and facts.is_stated(path))
        fix = f"{fix}\n{to_type(lines)}"
    elif asks := fault.words.get("asks"):
        fix = f"{fix}\n{to_type(place_to_fill(facts, asks))}"
    return Diagnostic(
        location=facts.locate(fault.path),
        code=requirement.code,
        name=requirement.name,
        severity=requirement.severity,
        what=f"{what.rstrip('.')}{details}." if details else what,
        why=requirement.why,
        fix=fix,
        citation=fault.words.get("citation") or str(requirement.citation),  # of the policy that set the figure
        subject=subject.ids,
        scope=requirement.scope,
        audience=requirement.audience,
    )


def _example(facts: Facts, requirement: Requirement, subject: Subject) -> str:
    evidence = getattr(facts.value_at(subject.path), "exposure", None) if subject.kind == "hazard" else None
    return for_evidence(requirement.example, evidence)


def _question(facts: Facts, verdict: Verdict, path: str) -> Diagnostic:
    """Ask for a fact that decides whether a duty applies and for which no requirement of its own asks."""
    requirement = verdict.requirement
    return Diagnostic(
        location=facts.locate(path),
        code=requirement.code,
        name=requirement.name,
        severity=requirement.severity,
        what=f"Whether this duty applies can't be told: nothing is said under `{path}`. {requirement.duty}",
        why="A duty that may apply is not set aside because nobody said whether it does.",
        fix=f"Write `{path.rpartition('.')[2]}:` there.\n{to_type(place_to_fill(facts, path))}",
        citation=str(verdict.citation),
        subject=verdict.subject.ids,
        scope=requirement.scope,
        audience=requirement.audience,
    )


def _accepted(facts: Facts, diagnostic: Diagnostic) -> Diagnostic:
    """Mark a caution or an advice that somebody answers for; a required finding can't be accepted."""
    if diagnostic.severity not in (Severity.CAUTION, Severity.ADVICE):
        return diagnostic
    most = last_day_accepted(facts.as_of)
    for entry in facts.description.accepted:
        if _covers(entry, diagnostic) and facts.as_of <= entry.until <= most:
            words = f"accepted by {entry.by} until {long_date(entry.until)}: {entry.reason}"
            return replace(diagnostic, accepted=words)
    return diagnostic


def _covers(entry: Acceptance, diagnostic: Diagnostic) -> bool:
    return entry.code == diagnostic.code and (entry.subject is None or entry.subject in diagnostic.subject)
