"""Who has read which revision and signed for it, and what the history tells of the revisions.

No law asks for either; where a firm keeps them they are held to it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join
from progdoc.model.description.people import Person, ReadEntry
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.requirement import Subject

_DAYS_AHEAD = 60  # our choice: so long before its day a draft is read at the most

__all__ = ["READING_CHECKS", "last_read", "unread_since"]


def last_read(person: Person, as_of: date) -> ReadEntry | None:
    """Return what a person signed last; None where nothing is on record by then."""
    return max((entry for entry in person.has_read if entry.date <= as_of), key=lambda e: e.date, default=None)


def unread_since(facts: Facts, person: Person) -> date | None:
    """Return the day by which the present revision is to be signed as read; None where it is, or none applies yet."""
    info = facts.description.program
    if info.revision is None or info.effective is None:
        return None
    signed = (e for e in person.has_read if e.revision == info.revision and e.date <= facts.as_of)
    is_read = any(not _is_too_early(facts, entry) for entry in signed)
    return None if is_read else info.effective


def _is_too_early(facts: Facts, entry: ReadEntry) -> bool:
    """Whether a revision is signed for long before it was made: a draft may be read, and not a thought."""
    info = facts.description.program
    days = [made.date for made in info.history if made.revision == entry.revision and made.date is not None]
    days += [info.effective] if info.revision == entry.revision and info.effective is not None else []
    return bool(days) and (min(days) - entry.date).days > _DAYS_AHEAD


def _unread(facts: Facts, subject: Subject) -> CheckResult:
    """The revision in force is signed as read."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.has_read"
    info = facts.description.program
    if info.revision is None or info.effective is None or info.effective > facts.as_of:
        return CheckResult((path,), nothing=said("No revision with a number and a day is in force yet."))
    if unread_since(facts, person) is None:
        return CheckResult((path,))
    last = last_read(person, facts.as_of)
    read = (
        said("the last one was revision %(revision)s, on %(date)s", revision=last.revision, date=long_date(last.date))
        if last
        else said("none is signed for yet")
    )
    return CheckResult((path,), ((path, {"revision": info.revision, "read": read}),))


def _of_no_revision(facts: Facts, subject: Subject) -> CheckResult:
    """What is signed for is a revision of this program, by its number or the history."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.has_read"
    info = facts.description.program
    known = {entry.revision for entry in info.history} | ({info.revision} if info.revision else set())
    told = said("the program knows %(known)s", known=said_join(sorted(known), ", "))
    faults = [
        (f"{path}[{i}].revision", {"revision": entry.revision, "known": told})
        for i, entry in enumerate(person.has_read)
        if known and entry.revision not in known
    ]
    faults += [
        (
            f"{path}[{i}].date",
            {"revision": entry.revision, "known": said("on %(date)s there was none yet", date=long_date(entry.date))},
        )
        for i, entry in enumerate(person.has_read)
        if entry.revision in known and _is_too_early(facts, entry)
    ]
    return CheckResult((path,), tuple(faults), nothing=said("No revision is signed for that is not known."))


def _in_the_history(facts: Facts, _subject: Subject) -> CheckResult:
    """The history has an entry for the revision that takes effect."""
    info, path = facts.description.program, "program.history"
    if info.revision is None or info.effective is None:
        return CheckResult((path,), nothing=said("No revision with a number and a day is described yet."))
    if any(entry.revision == info.revision for entry in info.history):
        return CheckResult((path,), nothing=said("The history has an entry for the revision."))
    return CheckResult((path,), ((path, {"revision": info.revision}),))


def _named_in_the_history(facts: Facts, subject: Subject) -> CheckResult:
    """No entry of the history, which stands on the cover for everybody, names a worker who does not run the program."""
    program, name = facts.description, person_of(facts, subject).name
    run_it = " ".join(filter(None, (program.officer.name, *program.officer.deputies)))
    faults = [
        (f"program.history[{i}].summary", {"text": entry.summary})
        for i, entry in enumerate(program.program.history)
        if name and name in entry.summary and name not in run_it and _is_named(name, entry.summary)
    ]
    return CheckResult(("program.history",), tuple(faults), nothing=said("The history does not name them."))


def _is_named(name: str, text: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(name)}(?!\w)", text) is not None


READING_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "history-names-no-worker": _named_in_the_history,
    "revision-in-history": _in_the_history,
    "revision-read": _unread,
    "read-revision-known": _of_no_revision,
}
