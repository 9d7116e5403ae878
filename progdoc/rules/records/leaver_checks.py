"""Looks for those who have left: named as who does something today, or with records from after their last day."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.core.numbers import long_date
from progdoc.core.said import said
from progdoc.model.description.people import Person
from progdoc.rules.check_result import CheckResult, person_of
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.who_words import asks_who
from progdoc.rules.requirement import Subject

__all__ = ["LEAVER_CHECKS"]

_NOW = ("officer.", "procedures.", "calendar[")  # roles are held against it by a check of their own


def _nobody_who_left(facts: Facts, _subject: Subject) -> CheckResult:
    """No text that tells who does something names somebody who has left, by the whole name."""
    people = [person for person in facts.description.people if person.name]
    present = {(person.name or "").casefold() for person in people if _is_here(facts, person)}
    gone = {(person.name or "").casefold(): person for person in people if not _is_here(facts, person)}
    texts = [(path, text) for path, text in facts.texts_in("") if _tells_who(path)] if gone else []
    faults = [
        (path, {"text": text, "left": long_date(person.left) if person.left else ""})
        for path, text in texts
        for name, person in gone.items()
        if name in text.casefold() and name not in present
    ]
    return CheckResult((), tuple(faults), nothing=said("Nobody who has left is named as who does something."))


def _is_here(facts: Facts, person: Person) -> bool:
    return person.left is None or person.left > facts.as_of


def _tells_who(path: str) -> bool:
    return path == "officer.name" or (asks_who(path) and path.startswith(_NOW))


def _nothing_after_leaving(facts: Facts, subject: Subject) -> CheckResult:
    """Nobody was tested, cleared or trained after the day on which they left."""
    person, path = person_of(facts, subject), subject.path
    days = [(f"{path}.{field}[{i}].date", one.date) for field in _DATED for i, one in enumerate(getattr(person, field))]
    left = person.left or facts.as_of
    faults = tuple((at, {"left": long_date(left), "date": long_date(day)}) for at, day in days if day > left)
    return CheckResult((f"{path}.left",), faults, nothing=said("Nothing is recorded of them after they left."))


_DATED = ("medical", "fit_tests", "training", "surveillance", "changes")


LEAVER_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "nobody-who-left": _nobody_who_left,
    "nothing-after-leaving": _nothing_after_leaving,
}
