"""What one person's records show on a day, in the form in which they are printed."""

from __future__ import annotations

from progdoc.model.description.people import FitTest, Person
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import pass_level
from progdoc.rules.judged.record_results import FitRecord, PersonRecords
from progdoc.rules.lookup.fit_protocols import fit_protocol
from progdoc.rules.records.fit_records import fit_factor_of, overall_factor, passed
from progdoc.rules.records.wearer_checks import latest_clearance

__all__ = ["person_records"]


def person_records(facts: Facts, person: Person) -> PersonRecords:
    """Return the recommendation that binds, and every fit test with what it shows."""
    newest_first = sorted(person.fit_tests, key=lambda test: test.date, reverse=True)
    return PersonRecords(
        clearance=latest_clearance(person, facts.as_of),
        fit_tests=tuple(
            _fit_record(facts, person, number, test)
            for number, test in enumerate(newest_first, 1)
            if test.date <= facts.as_of
        ),
    )


def _fit_record(facts: Facts, person: Person, number: int, test: FitTest) -> FitRecord:
    mask = facts.masks[test.mask][1]
    tasks = [task for _, task in facts.tasks_by_person.get(person.id, ()) if any(u.mask == mask.id for u in task.masks)]
    level = pass_level(facts.rules, mask, tasks)
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
