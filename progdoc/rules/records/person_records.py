"""What one person's records show on a day, in the form in which they are printed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from functools import cache
from typing import TypeVar

from progdoc.calc.due_dates import months_after
from progdoc.model.description.people import FitTest, MedicalEntry, Person, TrainingEntry
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import pass_level
from progdoc.rules.judged.record_results import FitRecord, PersonRecords
from progdoc.rules.lookup.fit_protocols import fit_protocol
from progdoc.rules.records.fit_records import fit_factor_of, overall_factor, passed
from progdoc.rules.records.wearer_checks import latest_clearance

__all__ = ["person_records"]


_Entry = TypeVar("_Entry", MedicalEntry, FitTest, TrainingEntry)


def person_records(facts: Facts) -> Callable[[str], PersonRecords]:
    """Return what tells, by a person's id, what their records show; read when first asked for, and once."""
    return cache(lambda person: _records(facts, facts.people[person][1]))


def _records(facts: Facts, person: Person) -> PersonRecords:
    tests = _newest_first(person.fit_tests, facts.as_of)
    return PersonRecords(
        clearance=latest_clearance(person, facts.as_of),
        medical=_newest_first(person.medical, facts.as_of),
        fit_tests=tuple(_fit_record(facts, person, number, test) for number, test in tests),
        training=_newest_first(person.training, facts.as_of),
        medical_kept_until=_kept_until(facts, person),
        kept_by=facts.law_of()["medical-records-kept"].citation,
    )


def _kept_until(facts: Facts, person: Person) -> date | None:
    """Return until when medical records of somebody who left are kept."""
    if person.left is None:
        return None
    return months_after(person.left, round(facts.law_of().amount("medical-records-kept", "month")))


def _newest_first(entries: Iterable[_Entry], as_of: date) -> tuple[tuple[int, _Entry], ...]:
    """Return the entries of a day or earlier; numbered with the later ones, which nobody can rely on yet."""
    numbered = enumerate(sorted(entries, key=lambda entry: entry.date, reverse=True), 1)
    return tuple((number, entry) for number, entry in numbered if entry.date <= as_of)


def _fit_record(facts: Facts, person: Person, number: int, test: FitTest) -> FitRecord:
    mask = facts.masks[test.mask][1]
    tasks = [task for _, task in facts.tasks_by_person.get(person.id, ()) if any(u.mask == mask.id for u in task.masks)]
    level = pass_level(facts.of(person).rules, mask, tasks)
    known = fit_protocol(test.protocol or "")
    return FitRecord(
        number=number,
        test=test,
        protocol_name=known.name if known else "",
        is_passed=passed(test, level.number),
        factor=fit_factor_of(test),
        needed=level,
        worked=overall_factor(test, person.id),
    )
