"""One pass over catalogue and description: a verdict for every requirement and subject, and its findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from progdoc.core.citations import Citation
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.report import Status
from progdoc.core.said import said, said_join, same
from progdoc.rules.acceptance import accepted, idle_acceptances
from progdoc.rules.check_result import person_of
from progdoc.rules.facts import Facts
from progdoc.rules.finding_words import diagnostics_of, question_of
from progdoc.rules.in_force.states_of_work import binds_in
from progdoc.rules.judged.every_verdict import EveryVerdict, OfKind
from progdoc.rules.reading.conditions import holds
from progdoc.rules.reading.proof import outcome_of
from progdoc.rules.records.dangling_words import ACCEPTED_IS_FOUND
from progdoc.rules.requirement import Condition, Fact, Requirement, Subject, Verdict, at_home, part_of
from progdoc.rules.shared_verdicts import OF_WEARERS, judged_alike
from progdoc.rules.subjects import SUBJECTS

__all__ = ["WORST_FIRST", "Duties", "duties", "evaluate", "findings", "verdicts_on"]


class _Rule(NamedTuple):
    """One rule of a duty, with what is the same for all whom it is held against."""

    number: int  # of its condition
    rule: Requirement
    moves: bool  # whether another paragraph may be the one that binds where the work is done


# For each duty the rules of states, then the one that binds everywhere.
Duties = Sequence[tuple[_Rule, ...]]

_BY_GROUP = ("wearer", "worn-mask")
_EMPTY_TEXT = "text"  # the kind of subject that `subjects` makes of placeholders


def evaluate(facts: Facts, requirements: Sequence[Requirement]) -> EveryVerdict:
    """Return one verdict per requirement and subject, in the order of the requirements.

    Each subject is held against all that is asked of it before the next: what is worked out about it serves them all.
    """
    asked: dict[str, list[Requirement]] = {}
    for requirement in requirements:
        asked.setdefault(requirement.per, []).append(requirement)
    by_kind = {kind: _by_subject(facts, duties(of_kind), kind) for kind, of_kind in asked.items()}
    facts.forget_people()
    verdicts = EveryVerdict(requirements, by_kind)
    return _looked_back(facts, verdicts) if facts.description.accepted else verdicts


def _looked_back(facts: Facts, verdicts: EveryVerdict) -> EveryVerdict:
    """Judge what is asked of acceptances once all else is judged: which of them cover nothing."""
    facts.idle_acceptances = idle_acceptances(facts, findings(facts, verdicts.open))
    return verdicts.judged_again(
        lambda requirement: requirement.proof.value == ACCEPTED_IS_FOUND,
        lambda one: next(verdicts_on(facts, duties([one.requirement]), one.subject)),
    )


def findings(facts: Facts, verdicts: Iterable[Verdict]) -> tuple[Diagnostic, ...]:
    """Return every finding of what is open, once: a fact that decides whether duties apply is asked for once."""
    found: list[Diagnostic] = []
    asked: set[str] = set()
    required: set[str] = set()  # the places at which a required duty found something
    undetermined: list[Verdict] = []
    empty: list[Verdict] = []
    for verdict in verdicts:
        if verdict.subject.kind == _EMPTY_TEXT:
            empty.append(verdict)
            continue
        found += [accepted(facts, diagnostic) for diagnostic in verdict.diagnostics]
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
                found.append(accepted(facts, question_of(facts, verdict, path)))
    return tuple(found)


WORST_FIRST = (Status.GAP, Status.UNDETERMINED, Status.MET, Status.NOT_APPLICABLE)


def _by_subject(facts: Facts, asked: Duties, kind: str) -> OfKind:
    subjects = SUBJECTS[kind](facts)
    if kind not in OF_WEARERS:
        each = (verdicts_on(_of_whom(facts, subject), asked, subject) for subject in subjects)
        return OfKind.each(subjects, each, len(asked))

    def judge(numbers: Sequence[int], subject: Subject) -> Iterator[Verdict]:
        return verdicts_on(_of_whom(facts, subject), [asked[number] for number in numbers], subject)

    return judged_alike(facts, [[one.rule for one in rules] for rules in asked], subjects, judge)


def _of_whom(facts: Facts, subject: Subject) -> Facts:
    """Return what is in force for the wearer whom a subject is about; for all others, for everybody."""
    return facts.of(person_of(facts, subject)) if subject.kind in _BY_GROUP else facts


def duties(requirements: Iterable[Requirement]) -> Duties:
    """Return requirements to hold many subjects against: rules that apply under the same condition have its number."""
    numbers: dict[Condition, int] = {}
    return tuple(
        tuple(
            _Rule(numbers.setdefault(rule.applies, len(numbers)), rule, _may_move(rule))
            for rule in (*asked.in_states, asked)
        )
        for asked in requirements
    )


def verdicts_on(facts: Facts, asked: Duties, subject: Subject) -> Iterator[Verdict]:
    """Yield how a subject stands to each requirement, and the paragraph that asks where its work is done.

    Where a state asks something in its place, the work there answers to both, and the state's word is told first.
    """
    known: dict[int, Fact] = {}
    for *in_states, everywhere in asked:
        local = [one for one in in_states if not _is_elsewhere(facts, one.rule, subject)]
        if local:
            yield min((_by_one_rule(facts, one, subject, known) for one in (*local, everywhere)), key=_weight)
        else:
            yield _by_one_rule(facts, everywhere, subject, known)


def _weight(verdict: Verdict) -> int:
    return WORST_FIRST.index(verdict.status)


def _by_one_rule(facts: Facts, one: _Rule, subject: Subject, known: dict[int, Fact]) -> Verdict:
    requirement = one.rule
    applies = known.get(one.number)
    if applies is None:
        applies = known[one.number] = holds(facts, subject, requirement.applies)
    found = _stands(facts, requirement, subject, applies)
    if not one.moves or found.status is Status.NOT_APPLICABLE:
        return found
    home = _home(facts, requirement, subject)
    if home == requirement.citation:
        return found
    usual = str(requirement.citation)
    told = (replace(d, citation=str(home)) if d.citation == usual else d for d in found.diagnostics)
    return found._replace(home=home, diagnostics=tuple(told))


def _may_move(requirement: Requirement) -> bool:
    return bool(requirement.lettered or (requirement.also and part_of(requirement.citation)))


def _home(facts: Facts, requirement: Requirement, subject: Subject) -> Citation:
    """Return the paragraph that asks: of an industry, or as a state letters it in which all of the work is done."""
    if requirement.lettered:
        state = facts.only_state(facts.tasks_of(subject))
        return dict(requirement.lettered).get(state, requirement.citation)
    industries = {task.industry for task in facts.tasks_of(subject)}
    only = industries.pop() if len(industries) == 1 else None
    return at_home(requirement, only) if only else requirement.citation


def _is_elsewhere(facts: Facts, requirement: Requirement, subject: Subject) -> bool:
    """Return whether a rule of a state is that of one in which nothing is done that the subject has to do with."""
    tasks = facts.tasks_of(subject) if subject.ids else ()
    return not binds_in(requirement.state, facts.description, tasks)


def _stands(facts: Facts, requirement: Requirement, subject: Subject, applies: Fact) -> Verdict:
    if requirement.state and _is_elsewhere(facts, requirement, subject):
        because = said("It is a rule of %(state)s, and this is not done there.", state=requirement.state)
        return Verdict(requirement, subject, Status.NOT_APPLICABLE, because, ("organisation.sites",))
    if applies.holds is False:
        return Verdict(
            requirement, subject, Status.NOT_APPLICABLE, said("It does not apply here."), facts.shared(applies.paths)
        )
    if applies.holds is None:
        return Verdict(requirement, subject, Status.UNDETERMINED, _not_said(applies), applies.ask)
    outcome = outcome_of(facts, requirement, subject)
    paths = facts.shared(tuple(dict.fromkeys((*applies.paths, *outcome.read))))
    if outcome.faults:
        diagnostics = tuple(diagnostics_of(facts, requirement, subject, outcome.faults))
        because = said_join(dict.fromkeys(d.what for d in diagnostics), "; ")
        places = tuple(dict.fromkeys(fault.path for fault in outcome.faults))
        return Verdict(requirement, subject, Status.GAP, because, paths, diagnostics=diagnostics, faults=places)
    if outcome.ask:
        return Verdict(requirement, subject, Status.UNDETERMINED, _open(outcome.ask), outcome.ask)
    if outcome.shown:
        shown = tuple(dict.fromkeys(facts.adopted.places.get(path, path) for path in outcome.shown))
        return Verdict(requirement, subject, Status.MET, said("The description shows it."), paths, facts.shared(shown))
    return Verdict(requirement, subject, Status.NOT_APPLICABLE, outcome.nothing, paths)


def _open(asked: Iterable[str]) -> str:
    return said(
        "Whether it is kept can't be told: nothing is said under %(asked)s.",
        asked=said_join((same(f"`{p}`") for p in asked), ", "),
    )


def _not_said(fact: Fact) -> str:
    return said(
        "Whether it applies can't be told: nothing is said under %(ask)s.",
        ask=said_join((same(f"`{p}`") for p in fact.ask), ", "),
    )
