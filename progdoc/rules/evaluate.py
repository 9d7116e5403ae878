"""One pass over catalogue and description: a verdict for every requirement and subject, and its findings."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from string import Formatter
from typing import NamedTuple

from progdoc.core.citations import Citation
from progdoc.core.data_text import filled
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.numbers import long_date
from progdoc.core.report import Status
from progdoc.core.said import first_line, said, said_join, same, unstopped, with_lines
from progdoc.model.description.program import Acceptance
from progdoc.rules.adoption import adoption_that_states
from progdoc.rules.check_result import person_of
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.states_of_work import binds_in
from progdoc.rules.judged.every_verdict import EveryVerdict, OfKind
from progdoc.rules.outcome import Fault
from progdoc.rules.reading.answers_to_type import to_type
from progdoc.rules.reading.conditions import holds
from progdoc.rules.reading.proof import outcome_of
from progdoc.rules.records.dangling_words import ACCEPTED_IS_FOUND, last_day_accepted
from progdoc.rules.requirement import Condition, Fact, Requirement, Subject, Verdict, at_home, part_of
from progdoc.rules.shared_verdicts import OF_WEARERS, judged_alike
from progdoc.rules.snippet import for_evidence, place_to_fill, unnamed, with_ids, without_stated
from progdoc.rules.subjects import SUBJECTS

__all__ = ["WORST_FIRST", "Duties", "duties", "evaluate", "findings", "verdicts_on"]


class _Rule(NamedTuple):
    """One rule of a duty, with what is the same for all whom it is held against."""

    number: int  # of its condition
    rule: Requirement
    moves: bool  # whether another paragraph may be the one that binds where the work is done


# For each duty the rules of states, then the one that binds everywhere.
Duties = Sequence[tuple[_Rule, ...]]

_ACCEPTABLE = (Severity.CAUTION, Severity.ADVICE)
_BY_GROUP = ("wearer", "worn-mask")
_INDEX = re.compile(r"\[\d+\]")  # where in a list a thing stands is no ground
_WORD = re.compile(r"\w+")
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
    facts.idle_acceptances = _idle_acceptances(facts, findings(facts, verdicts.open))
    return verdicts.judged_again(
        lambda requirement: requirement.proof.value == ACCEPTED_IS_FOUND,
        lambda one: next(verdicts_on(facts, duties([one.requirement]), one.subject)),
    )


def _idle_acceptances(facts: Facts, found: Iterable[Diagnostic]) -> tuple[int, ...]:
    """Return which entries cover none of the findings, of those that could: the codes, things and days of others are
    told as what they are."""
    soft = [one for one in found if one.severity in _ACCEPTABLE]
    most = last_day_accepted(facts.as_of)
    return tuple(
        i
        for i, entry in enumerate(facts.description.accepted)
        if facts.as_of <= entry.until <= most
        and entry.code in facts.known_codes
        and not any(_is_about(entry, one) and _covers(entry, one) for one in soft)
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
                found.append(_accepted(facts, _question(facts, verdict, path)))
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
        diagnostics = tuple(_diagnostics(facts, requirement, subject, outcome.faults))
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


def _diagnostics(
    facts: Facts, requirement: Requirement, subject: Subject, faults: Sequence[Fault]
) -> Iterable[Diagnostic]:
    """One finding for all silent or contradicting fields of a requirement; one each for what records show."""
    fields = [fault for fault in faults if fault.detail]
    if fields:
        details = said_join((fault.detail for fault in fields), "; ")
        silent = tuple(fault.path for fault in fields if fault.is_silent)
        faulty = tuple(fault.path for fault in fields)
        ground = _ground_of_fields(requirement, fields)
        yield _diagnostic(facts, requirement, subject, fields[0], details, faulty, silent, ground)
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


def _question(facts: Facts, verdict: Verdict, path: str) -> Diagnostic:
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


def _accepted(facts: Facts, diagnostic: Diagnostic) -> Diagnostic:
    """Mark a caution or an advice that somebody answers for; a required finding can't be accepted.

    It is accepted as it stood: the description has no memory, so that an acceptance names the ground of a finding that
    may have several, and the thing where there may be many: what comes in later is looked at for itself. What was
    accepted because something is missing does not cover what is then said against it.
    """
    if diagnostic.severity not in _ACCEPTABLE:
        return diagnostic
    most = last_day_accepted(facts.as_of)
    entries = (one for one in facts.description.accepted if _is_about(one, diagnostic))
    about = [one for one in entries if facts.as_of <= one.until <= most]
    unnamed = bool(diagnostic.subject) and all(entry.subject is None for entry in about)
    for entry in () if unnamed else about:
        if _covers(entry, diagnostic):
            words = said(
                "accepted by %(by)s until %(until)s: %(reason)s",
                by=entry.by,
                until=long_date(entry.until),
                reason=entry.reason,
            )
            return replace(diagnostic, accepted=words)
    if not about:
        return diagnostic
    cure, lines = first_line(diagnostic.fix), diagnostic.fix.partition("\n")[2]
    if unnamed:
        cure = said(
            "%(cure)s Accepted was this for nothing in particular; whoever answers for it here has "
            "`subject: %(subject)s` there.",
            cure=cure,
            subject=same(diagnostic.subject[-1]),
        )
    if all(_plain(entry.ground or "") != _plain(diagnostic.ground) for entry in about):
        typed = (
            same(f"`ground: {json.dumps(diagnostic.ground, ensure_ascii=False)}`")
            if diagnostic.ground
            else said("no `ground`")
        )
        cure = said(
            "%(cure)s Accepted was another ground than this one; whoever answers for this one has %(typed)s there.",
            cure=cure,
            typed=typed,
        )
    return replace(diagnostic, fix=with_lines(cure, lines) if lines else cure)


def _is_about(entry: Acceptance, diagnostic: Diagnostic) -> bool:
    return entry.code == diagnostic.code and (entry.subject is None or entry.subject in diagnostic.subject)


def _covers(entry: Acceptance, diagnostic: Diagnostic) -> bool:
    """Return whether an entry about a finding names the thing, where it is about one, and the ground."""
    return bool(entry.subject or not diagnostic.subject) and _plain(entry.ground or "") == _plain(diagnostic.ground)


def _plain(ground: str) -> tuple[str, ...]:
    return tuple(_WORD.findall(ground.casefold()))


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
