"""What falls due for people: medical evaluation, fit tests, training, information for voluntary wearers, reading."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from progdoc.core.numbers import counted, long_date
from progdoc.core.said import capital, said
from progdoc.model.description.people import Person
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import person_of
from progdoc.rules.due.due_items import DueItem
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.intervals import Cycle
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.figure_results import LawValue
from progdoc.rules.lookup.cited import cited
from progdoc.rules.reading.predicates import PREDICATES
from progdoc.rules.records.fit_checks import FitState, fit_rules_of, fit_state, worn_mask
from progdoc.rules.records.reading_checks import last_read, unread_since
from progdoc.rules.records.surveillance_checks import examinations_of
from progdoc.rules.records.wearer_checks import called_again_since, latest_clearance, training_cycle
from progdoc.rules.requirement import Subject
from progdoc.rules.subjects import SUBJECTS

__all__ = ["due_for_people"]

_AT_ONCE = {
    "none": (said("no fit test is on record"), "first-fit-test"),
    "failed": (said("the newest test was not passed"), "failed-fit"),
    "unordered": (said("passed and failed on one day, and nobody says which came last"), "failed-fit"),
    "changed": (said("something changed that may spoil the fit"), "changed-face"),
}


def due_for_people(facts: Facts) -> Iterator[DueItem]:
    """Yield what falls due for everybody who stands in a task with masks; what may apply counts as applying."""
    for subject in SUBJECTS["wearer"](facts):
        person = person_of(facts, subject)
        yield from _of_wearer(facts.of(person), subject, person)
    for subject in SUBJECTS["worn-mask"](facts):
        own = facts.of(person_of(facts, subject))
        if _may_apply(own, subject, "required-tight-fitting"):
            yield _fit_test(own, subject)


def _of_wearer(facts: Facts, subject: Subject, person: Person) -> Iterator[DueItem]:
    is_required = _may_apply(facts, subject, "required-use")
    if is_required or _may_apply(facts, subject, "voluntary-beyond-dust-masks"):
        yield from _medical(facts, subject, person)
    yield from _examinations(facts, subject, person)
    if is_required:
        yield _training(facts, subject, person)
    if _may_apply(facts, subject, "voluntary-use"):
        yield from _information(facts, subject, person)
    yield from _reading(facts, subject, person)


def _may_apply(facts: Facts, subject: Subject, fact: str) -> bool:
    return PREDICATES[fact](facts, subject).holds is not False


def _medical(facts: Facts, subject: Subject, person: Person) -> Iterator[DueItem]:
    entry = latest_clearance(person, facts.as_of)
    called = called_again_since(person, facts.as_of)
    due: date | None = None
    if entry is None:
        because, basis = said("no written recommendation is on record"), cited("recommendation")
    elif called is not None:
        because, basis = said("called for since %(called)s", called=long_date(called)), cited("evaluated-again")
    elif entry.follow_up_pending:
        because, basis = said("a further examination is still to come"), cited("follow-up")
    elif entry.next_review is not None:
        because, due = said("last %(date)s", date=long_date(entry.date)), entry.next_review
        basis = said("the health professional")
    else:
        return  # the law sets no interval
    what = said("Medical evaluation of %(person)s", person=label_of(person))
    path = f"{subject.path}.medical"
    yield DueItem(f"medical.{person.id}", Kind.MEDICAL, due, what, because, basis, path, subject.ids)


def _examinations(facts: Facts, subject: Subject, person: Person) -> Iterator[DueItem]:
    """Yield the examinations that standards of agents ask for; one whose repetition was not read is due once."""
    for one in examinations_of(facts, person):
        rule = one.rule
        if one.last is not None and one.due is None:
            continue
        cycle = None
        if one.months is not None:
            cycle = Cycle(one.months, 0, rule.again_citation, text=counted(one.months, "month"))
        yield DueItem(
            id=f"surveillance.{person.id}.{rule.agent}",
            kind=Kind.MEDICAL,
            due=one.due,
            what=said(
                "%(what)s of %(person)s for %(agent)s",
                what=capital(rule.what),
                person=label_of(person),
                agent=one.agent,
            ),
            because=said("last %(last)s", last=long_date(one.last))
            if one.last
            else said("up to %(days)s a year, and none on record", days=counted(one.days, "day")),
            basis=rule.again_citation if one.last else rule.citation,
            path=f"{subject.path}.surveillance",
            subject=subject.ids,
            cycle=cycle,
        )


def _training(facts: Facts, subject: Subject, person: Person) -> DueItem:
    done = max((entry.date for entry in person.training if entry.date <= facts.as_of), default=None)
    cycle = training_cycle(facts, subject, done or facts.as_of)
    return DueItem(
        id=f"training.{person.id}",
        kind=Kind.TRAINING,
        due=cycle.from_day(done) if done else None,
        what=said("Training of %(person)s", person=label_of(person)),
        because=said("last %(done)s", done=long_date(done)) if done else said("no training is on record"),
        basis=cycle.basis if done else cited("first-training"),
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
            what=said("Appendix D information for %(person)s", person=label_of(person)),
            because=said("no day is recorded on which it was given"),
            basis=cited("appendix-d"),
            path=f"{subject.path}.appendix_d",
            subject=subject.ids,
        )


def _reading(facts: Facts, subject: Subject, person: Person) -> Iterator[DueItem]:
    """Yield the revision in force, or the one to come, where the firm has each signed for and this one is not."""
    due = unread_since(facts, person)
    if due is None or not _may_apply(facts, subject, "read-and-signed"):
        return
    last = last_read(person, facts.as_of)
    yield DueItem(
        id=f"reading.{person.id}",
        kind=Kind.READING,
        due=due,
        what=said(
            "Revision %(revision)s to be read and signed by %(person)s",
            revision=facts.description.program.revision,
            person=label_of(person),
        ),
        because=said("last revision %(revision)s, %(date)s", revision=last.revision, date=long_date(last.date))
        if last
        else said("nothing is signed for yet"),
        basis=said("this program"),
        path=f"{subject.path}.has_read",
        subject=subject.ids,
    )


def _fit_test(facts: Facts, subject: Subject) -> DueItem:
    person, mask, issued = worn_mask(facts, subject)
    rules = fit_rules_of(facts, subject)
    found = fit_state(person, issued, rules, facts.as_of)
    cycle = found.cycle or rules.cycle(found.test.date if found.test else facts.as_of)
    law = facts.law_of(*facts.tasks_of(subject))["fit-test-interval"]
    because, basis = _fit_reason(law, found, cycle)
    return DueItem(
        id=f"fit-test.{person.id}.{mask.id}",
        kind=Kind.FIT_TEST,
        due=found.due,
        what=said(
            "Fit test of %(person)s in %(mask)s%(size)s",
            person=label_of(person),
            mask=label_of(mask),
            size=said(", size %(size)s", size=issued.size) if issued.size else "",
        ),
        because=because,
        basis=basis,
        path=f"{facts.people[person.id][0]}.fit_tests",
        subject=subject.ids,
        cycle=cycle,
    )


def _fit_reason(law: LawValue, found: FitState, cycle: Cycle) -> tuple[str, str]:
    decided_by = found.cites.get("citation", "")
    if found.state in _AT_ONCE:
        because, paragraph = _AT_ONCE[found.state]
        return because, decided_by or cited(paragraph)
    if found.state == "other":
        return said("the tests on record are of another mask or size"), law.citation
    if found.state == "kind":
        return said("the test on record was not made with an instrument"), decided_by
    return (said("last %(date)s", date=long_date(found.test.date)) if found.test else "", cycle.basis)
