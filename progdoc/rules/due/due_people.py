"""What falls due for people: medical evaluation, fit tests, training, the information for voluntary wearers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from progdoc.core.numbers import long_date
from progdoc.model.description.people import Person
from progdoc.model.description.words import label_of
from progdoc.rules.due.due_items import DueItem
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.intervals import of_law, of_policies, own, shortest
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.reading.predicates import PREDICATES
from progdoc.rules.records.fit_checks import FitState, fit_state, worn_mask
from progdoc.rules.records.wearer_checks import called_again_since, latest_clearance
from progdoc.rules.requirement import Subject
from progdoc.rules.subjects import SUBJECTS

__all__ = ["due_for_people"]

_FIT = "29 CFR 1910.134(f)(2)"
_TRAINING = "29 CFR 1910.134(k)(5)"
_AT_ONCE = {
    "none": ("no fit test is on record", "29 CFR 1910.134(f)(1)"),
    "other": ("the tests on record are of another mask or size", _FIT),
    "failed": ("the newest test was not passed", "29 CFR 1910.134(f)(4)"),
    "changed": ("something changed that may spoil the fit", "29 CFR 1910.134(f)(3)"),
}


def due_for_people(facts: Facts) -> Iterator[DueItem]:
    """Yield what falls due for everybody who stands in a task with masks; what may apply counts as applying."""
    for subject in SUBJECTS["wearer"](facts):
        person = facts.people[subject.ids[0].partition(".")[2]][1]
        is_required = _may_apply(facts, subject, "required-use")
        if is_required or _may_apply(facts, subject, "voluntary-beyond-dust-masks"):
            yield from _medical(facts, subject, person)
        if is_required:
            yield _training(facts, subject, person)
        if _may_apply(facts, subject, "voluntary-use"):
            yield from _information(facts, subject, person)
    for subject in SUBJECTS["worn-mask"](facts):
        if _may_apply(facts, subject, "required-tight-fitting"):
            yield _fit_test(facts, subject)


def _may_apply(facts: Facts, subject: Subject, fact: str) -> bool:
    return PREDICATES[fact](facts, subject).holds is not False


def _medical(facts: Facts, subject: Subject, person: Person) -> Iterator[DueItem]:
    entry = latest_clearance(person, facts.as_of)
    called = called_again_since(person, facts.as_of)
    due: date | None = None
    if entry is None:
        because, basis = "no written recommendation is on record", "29 CFR 1910.134(e)(1)"
    elif called is not None:
        because, basis = f"called for since {long_date(called)}", "29 CFR 1910.134(e)(7)"
    elif entry.follow_up_pending:
        because, basis = "a further examination is still to come", "29 CFR 1910.134(e)(3)(i)"
    elif entry.next_review is not None:
        because, due = f"last {long_date(entry.date)}", entry.next_review
        basis = "the health professional"
    else:
        return  # the law sets no interval
    what = f"Medical evaluation of {label_of(person)}"
    path = f"{subject.path}.medical"
    yield DueItem(f"medical.{person.id}", Kind.MEDICAL, due, what, because, basis, path, subject.ids)


def _training(facts: Facts, subject: Subject, person: Person) -> DueItem:
    done = max((entry.date for entry in person.training if entry.date <= facts.as_of), default=None)
    program = facts.description
    tasks = [task for _, task in facts.relevant_to(subject).tasks]
    cycles = of_law(12, _TRAINING) + own(program.procedures.training.interval)
    cycles += of_policies(program.policies, tasks, "training_interval")
    cycle = shortest(done or facts.as_of, cycles)
    return DueItem(
        id=f"training.{person.id}",
        kind=Kind.TRAINING,
        due=cycle.from_day(done) if done and cycle else None,
        what=f"Training of {label_of(person)}",
        because=f"last {long_date(done)}" if done else "no training is on record",
        basis=cycle.basis if cycle else _TRAINING,
        path=f"{subject.path}.training",
        subject=subject.ids,
        cycle=cycle,
    )


def _information(facts: Facts, subject: Subject, person: Person) -> Iterator[DueItem]:
    given = person.appendix_d
    if given is None or given.date > facts.as_of:
        yield DueItem(
            id=f"information.{person.id}",
            kind=Kind.INFORMATION,
            due=None,
            what=f"Appendix D information for {label_of(person)}",
            because="no day is recorded on which it was given",
            basis="29 CFR 1910.134(k)(6)",
            path=f"{subject.path}.appendix_d",
            subject=subject.ids,
        )


def _fit_test(facts: Facts, subject: Subject) -> DueItem:
    person, mask, issued = worn_mask(facts, subject)
    found = fit_state(person, issued, mask, facts.as_of)
    program = facts.description
    tasks = [task for _, task in facts.relevant_to(subject).tasks]
    cycles = of_law(12, _FIT) + own(program.procedures.fit_testing.interval)
    cycles += of_policies(program.policies, tasks, "fit_test_interval")
    counts = found.state in ("ok", "overdue") and found.test is not None
    cycle = shortest(found.test.date if found.test else facts.as_of, cycles)
    because, basis = _fit_reason(found, cycle.basis if cycle else _FIT)
    return DueItem(
        id=f"fit-test.{person.id}.{mask.id}",
        kind=Kind.FIT_TEST,
        due=cycle.from_day(found.test.date) if counts and cycle and found.test else None,
        what=f"Fit test of {label_of(person)} in {label_of(mask)}" + (f", size {issued.size}" if issued.size else ""),
        because=because,
        basis=basis,
        path=f"{facts.people[person.id][0]}.fit_tests",
        subject=subject.ids,
        cycle=cycle,
    )


def _fit_reason(found: FitState, basis: str) -> tuple[str, str]:
    if found.state in _AT_ONCE:
        return _AT_ONCE[found.state]
    return (f"last {long_date(found.test.date)}" if found.test else "", basis)
