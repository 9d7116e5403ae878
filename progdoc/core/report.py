"""All findings about one description on one day, and how many there are of each kind.

The gap report and every machine format show the same counts, the same order (`report_order.py`) and the same first line
(`report_summary.py`), so they are made here in `core/`.
"""

from __future__ import annotations

import re
from abc import abstractmethod
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import field
from datetime import date
from enum import StrEnum
from itertools import repeat
from operator import attrgetter
from typing import NamedTuple

from progdoc.core.barred import Barred
from progdoc.core.diagnostics import Audience, Diagnostic, Scope, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.questions import Question
from progdoc.core.struck_names import Names

__all__ = [
    "Report",
    "RequirementStatus",
    "Status",
    "StatusOfMany",
    "StatusesOfMany",
    "accepted_count",
    "count_of",
    "in_groups",
    "is_accepted",
    "open_findings",
    "severity_counts",
]

_OF_SOMEBODY = re.compile(r"people\.").match
_SUBJECT = attrgetter("subject")


class Status(StrEnum):
    """What became of one requirement for one subject, worst first."""

    GAP = "gap"
    UNDETERMINED = "undetermined"  # a fact that decides whether it applies is missing; never read as "no"
    MET = "met"
    NOT_APPLICABLE = "not-applicable"


class RequirementStatus(NamedTuple):
    """One requirement, judged for one subject: a named tuple, as there are sixty of each wearer."""

    code: str
    name: str
    citation: str
    status: Status
    because: str
    subject: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()  # the places of the stated facts that show it
    answered_in: tuple[str, ...] = ()  # ids of the program's sections

    @property
    def is_restricted(self) -> bool:
        """Whether the subject, and so probably the reason, names a person."""
        return any(map(_OF_SOMEBODY, self.subject))


# How some subjects stand to one requirement, all of them alike: the row of the first, and each of them by its ids and
# the place of its record. Evidence that lies in the record of the first lies at the same spot in that of each other.
StatusOfMany = tuple[RequirementStatus, Sequence[tuple[tuple[str, ...], str]]]


class StatusesOfMany(Collection[RequirementStatus]):
    """How subjects stand to requirements, where most of them stand alike: none of it is kept for each."""

    @abstractmethod
    def alike(self) -> Iterator[StatusOfMany]:
        """Yield each way to stand once, in the order of the first that stands so."""


def in_groups(rows: Collection[RequirementStatus]) -> Iterator[StatusOfMany]:
    """Yield rows with how many subjects each is of; rows that are kept one by one are of one."""
    if isinstance(rows, StatusesOfMany):
        return rows.alike()
    return zip(rows, zip(zip(map(_SUBJECT, rows), repeat(""))), strict=True)  # each with the row of its one subject


@dataclass(frozen=True, slots=True)
class Report:
    """Everything a renderer needs to say about a description; see `public_report.py` for the copy to hand out."""

    on: date
    rules_pack: str  # "us-federal"
    rules_version: str
    title: str
    revision: str
    findings: tuple[Diagnostic, ...] = ()
    requirements: Collection[RequirementStatus] = ()
    version: str = ""  # of progdoc
    names: Mapping[str, str] = field(default_factory=dict)  # "tasks.scrape-sashes" → "Scraping sashes"
    barred: tuple[Barred, ...] = ()  # what nobody may start as things stand, as the papers print it
    barring: frozenset[str] = frozenset()  # the codes of what bars work for everybody
    first_codes: tuple[str, ...] = ("TSK-001",)  # while one is open, hardly anything else was judged
    questions: tuple[Question, ...] = ()  # the open findings under what is to be answered, what is asked next first
    withheld_questions: tuple[Question, ...] = ()  # left out of a public report: counted there, never shown
    is_public: bool = False
    withheld: tuple[Diagnostic, ...] = ()  # left out of a public report: counted there, never shown
    site: str = ""  # the name of the one that it is about, beside the firm as a whole; "": about all
    elsewhere: int = 0  # required findings at other sites, left out of it: counted, never shown
    workers: Names = field(default_factory=dict, repr=False)  # of what is not understood: struck out of a public report


# ---- counts -------------------------------------------------------------------------------------------


def is_accepted(finding: Diagnostic) -> bool:
    """Whether somebody accepted the finding for a time. What is required can't be accepted away."""
    return bool(finding.accepted) and finding.severity in (Severity.CAUTION, Severity.ADVICE)


def open_findings(report: Report) -> list[Diagnostic]:
    """Return the findings that nobody accepted for a time, those that a public report withholds included."""
    return [finding for finding in report.findings + report.withheld if not is_accepted(finding)]


def count_of(
    report: Report,
    severity: Severity | None = None,
    scope: Scope | None = None,
    audience: Audience | None = None,
) -> int:
    """Return how many open findings match; accepted ones are not open, withheld ones are."""
    return sum(
        (severity is None or finding.severity == severity)
        and (scope is None or finding.scope == scope)
        and (audience is None or finding.audience == audience)
        for finding in open_findings(report)
    )


def severity_counts(report: Report, audience: Audience | None = None) -> dict[str, int]:
    """Return the number of open findings under every severity, worst first."""
    return {severity.value: count_of(report, severity, audience=audience) for severity in Severity}


def accepted_count(report: Report) -> int:
    """Return how many cautions and pieces of advice were accepted for the time being."""
    return sum(is_accepted(finding) for finding in report.findings + report.withheld)
