"""What a check of records found, and whose records it looked at: what all checks share."""

from __future__ import annotations

from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said
from progdoc.model.description.people import Person
from progdoc.rules.facts import Facts
from progdoc.rules.requirement import Subject

__all__ = ["CheckResult", "FaultAt", "contradicted", "person_of", "person_path", "result_at"]

FaultAt = tuple[str, dict[str, str]]  # a place, and words for the placeholders


@dataclass(frozen=True, slots=True)
class CheckResult:
    """The places that were read, and what is wrong: (place, words for the placeholders).

    What is wrong counts, whatever stands beside it. With nothing wrong, `shown` are the facts that show it, the stated
    ones among `paths` where no others are named; or `nothing` says why there was nothing to look at; or `ask` names
    the facts that would tell.
    """

    paths: tuple[str, ...]
    faults: tuple[FaultAt, ...] = ()
    shown: tuple[str, ...] = ()
    nothing: str = ""
    ask: tuple[str, ...] = ()


def result_at(path: str, fault: dict[str, str] | None) -> CheckResult:
    """Return the result of a check that reads one place: the words of its fault, or None if it is in order."""
    return CheckResult((path,), () if fault is None else ((path, fault),))


def contradicted(paths: tuple[str, ...], faults: tuple[FaultAt, ...]) -> CheckResult:
    """Return the result of a search for contradictions: that nothing contradicts it shows no fact to be right."""
    return CheckResult(paths, faults, nothing=said("Nothing of it contradicts another."))


def person_of(facts: Facts, subject: Subject) -> Person:
    """Return the wearer whom a subject, a wearer or one of their masks, is about."""
    return facts.people[subject.ids[0].partition(".")[2]][1]


def person_path(facts: Facts, subject: Subject) -> str:
    """Return where that wearer stands in the description."""
    return facts.people[subject.ids[0].partition(".")[2]][0]
