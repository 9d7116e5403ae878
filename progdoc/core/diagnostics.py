"""Anything the user can mend, as one value that every renderer understands.

A diagnostic is collected, never raised: a contractor gets all of them in one run.
"""

from __future__ import annotations

from enum import StrEnum

from progdoc.core.late_dataclass import dataclass

__all__ = ["Audience", "Diagnostic", "Location", "Scope", "Severity", "worst_first"]


class Severity(StrEnum):
    """How bad it is, worst first."""

    INVALID = "invalid"  # the description can't be understood
    REQUIRED = "required"  # the law asks for it and it isn't there, or what is there doesn't protect
    CAUTION = "caution"  # probably unsafe, outdated or contradictory
    ADVICE = "advice"  # good practice


class Scope(StrEnum):
    """What lacks it: the written program, or one person's or device's record."""

    PROGRAM = "program"
    RECORD = "record"


class Audience(StrEnum):
    """Who may read it: restricted findings name people."""

    PUBLIC = "public"
    RESTRICTED = "restricted"


@dataclass(frozen=True, slots=True, order=True)
class Location:
    """A place in the description: file name as the user typed it, 1-based line and column, dotted path.

    Line 0 means that the place is a whole file or folder.
    """

    file: str
    line: int
    column: int
    path: str = ""

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """One finding: what is wrong, why it matters, and what to type."""

    location: Location
    code: str  # permanent, for example "FIT-002"
    name: str  # the trouble in a few hyphenated words: "annual-fit-test-overdue"
    severity: Severity
    what: str  # with the value found, never a health value
    why: str
    fix: str
    citation: str = ""  # "29 CFR 1910.134(f)(2)"
    subject: tuple[str, ...] = ()  # ids: "people.jo-marsh", "masks.half-p100"
    scope: Scope = Scope.PROGRAM
    audience: Audience = Audience.PUBLIC
    ground: str = ""  # what it rests on, where it could rest on something else: an acceptance is of that ground alone
    accepted: str = ""  # who accepted it, why and until when; only ever a caution or an advice


_ORDER = {severity: rank for rank, severity in enumerate(Severity)}


def worst_first(diagnostics: list[Diagnostic]) -> list[Diagnostic]:
    """Return the findings sorted: severity, then scope, code, place and subject."""
    return sorted(
        diagnostics,
        key=lambda d: (bool(d.accepted), _ORDER[d.severity], d.scope, d.code, d.location, d.subject, d.what),
    )
