"""Who has read which revision and signed for it. No law asks for the list; where a firm keeps one it is held to it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from progdoc.core.numbers import long_date
from progdoc.model.description.people import Person, ReadEntry
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.requirement import Subject

__all__ = ["READING_CHECKS", "last_read", "unread_since"]


def last_read(person: Person, as_of: date) -> ReadEntry | None:
    """Return what a person signed last; None where nothing is on record by then."""
    return max((entry for entry in person.has_read if entry.date <= as_of), key=lambda e: e.date, default=None)


def unread_since(facts: Facts, person: Person) -> date | None:
    """Return the day by which the present revision is to be signed as read; None where it is, or none applies yet."""
    info = facts.description.program
    if info.revision is None or info.effective is None:
        return None
    is_read = any(e.revision == info.revision and e.date <= facts.as_of for e in person.has_read)
    return None if is_read else info.effective


def _unread(facts: Facts, subject: Subject) -> CheckResult:
    """The revision in force is signed as read."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.has_read"
    info = facts.description.program
    if info.revision is None or info.effective is None or info.effective > facts.as_of:
        return CheckResult((path,), nothing="No revision with a number and a day is in force yet.")
    if unread_since(facts, person) is None:
        return CheckResult((path,))
    last = last_read(person, facts.as_of)
    read = f"the last one was revision {last.revision}, on {long_date(last.date)}" if last else "none is signed for yet"
    return CheckResult((path,), ((path, {"revision": info.revision, "read": read}),))


def _of_no_revision(facts: Facts, subject: Subject) -> CheckResult:
    """What is signed for is a revision of this program, by its number or the history."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.has_read"
    info = facts.description.program
    known = {entry.revision for entry in info.history} | ({info.revision} if info.revision else set())
    faults = [
        (f"{path}[{i}].revision", {"revision": entry.revision, "known": ", ".join(sorted(known))})
        for i, entry in enumerate(person.has_read)
        if known and entry.revision not in known
    ]
    return CheckResult((path,), tuple(faults), nothing="" if faults else "No revision is signed for that is not known.")


READING_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "revision-read": _unread,
    "read-revision-known": _of_no_revision,
}
