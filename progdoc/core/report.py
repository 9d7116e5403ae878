"""All findings about one description on one day, and the order in which an officer works through them.

The gap report and every machine format show the same groups, counts and first line, so they are made here.
Nothing here says that a program complies: the best news is that no gap was found in what was described.
"""

from __future__ import annotations

import re
from abc import abstractmethod
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import field, replace
from datetime import date
from enum import StrEnum
from itertools import repeat
from operator import attrgetter
from typing import NamedTuple

from progdoc.core.barred import Barred, barred_words
from progdoc.core.diagnostics import Audience, Diagnostic, Scope, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.core.questions import Question, public_questions
from progdoc.core.said import said, said_as, said_join, said_plural, same
from progdoc.core.struck_names import Names, struck_out

__all__ = [
    "Report",
    "RequirementStatus",
    "Status",
    "StatusOfMany",
    "StatusesOfMany",
    "accepted_count",
    "count_of",
    "dangers",
    "grouped",
    "in_groups",
    "in_order",
    "is_accepted",
    "public_part",
    "section_of",
    "severity_counts",
    "summary_line",
    "summary_parts",
    "unasked",
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
    """Everything a renderer needs to say about a description; see `public_part` for the copy to hand out."""

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


def _open(report: Report) -> list[Diagnostic]:
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
        for finding in _open(report)
    )


def severity_counts(report: Report, audience: Audience | None = None) -> dict[str, int]:
    """Return the number of open findings under every severity, worst first."""
    return {severity.value: count_of(report, severity, audience=audience) for severity in Severity}


def accepted_count(report: Report) -> int:
    """Return how many cautions and pieces of advice were accepted for the time being."""
    return sum(is_accepted(finding) for finding in report.findings + report.withheld)


# ---- the order of work --------------------------------------------------------------------------------

_STANDARD = re.compile(r"1910\.134(?:\(([a-o])\)|,? Appendix ([A-D]))")
_APPENDIX_BELONGS_TO = {"A": "f", "B": "g", "C": "e", "D": "k"}
_SECTIONS = {
    "a": said("when masks are needed"),
    "b": said("meaning of the terms"),
    "c": said("the program and its officer"),
    "d": said("choosing masks"),
    "e": said("medical evaluation"),
    "f": said("fit testing"),
    "g": said("use of masks"),
    "h": said("cleaning, storage, inspection and repair"),
    "i": said("breathing air"),
    "j": said("marks on filters, cartridges and canisters"),
    "k": said("training and information"),
    "l": said("evaluation of the program"),
    "m": said("records"),
    "n": said("dates"),
    "o": said("appendices"),
}


def section_of(citation: str) -> str:
    """Return the part of the law a citation belongs to, as a heading that sorts in the order of the law.

    >>> section_of("29 CFR 1910.134(f)(2)"), section_of("29 CFR 1910.134, Appendix B-2")
    ('(f) fit testing', '(h) cleaning, storage, inspection and repair')
    >>> section_of("29 CFR 1926.62(f)(3)(i)"), section_of("")
    ('29 CFR 1926.62', 'other rules')
    """
    found = _STANDARD.search(citation)
    if found:
        letter = found[1] or ("h" if "Appendix B-2" in citation else _APPENDIX_BELONGS_TO[found[2]])
        return said("(%(letter)s) %(sections)s", letter=letter, sections=_SECTIONS[letter])
    return re.split(r"\(|,|;", citation)[0].strip() or said("other rules")


def _order(finding: Diagnostic) -> tuple[object, ...]:
    section = section_of(finding.citation)
    is_other = section == "other rules"
    return (is_other, section, finding.code, finding.location, finding.subject, finding.what)


def _bars_work(report: Report, finding: Diagnostic) -> bool:
    return finding.severity == Severity.REQUIRED and finding.code in report.barring


def _heading(report: Report, finding: Diagnostic) -> tuple[int, str]:
    if is_accepted(finding):
        return 6, said("Accepted for the time being")
    if _bars_work(report, finding):
        return 0, said("What bars work for everybody")
    if finding.severity == Severity.INVALID:
        return 1, said("The description cannot be understood")
    if finding.severity == Severity.CAUTION:
        return 4, "Cautions"
    if finding.severity == Severity.ADVICE:
        return 5, "Advice"
    if finding.scope == Scope.RECORD:
        return 3, said("Records of people and devices")
    return 2, said("The written program: %(section_of)s", section_of=section_of(finding.citation))


def grouped(report: Report) -> list[tuple[str, list[Diagnostic]]]:
    """Return the findings under headings, in the order in which an officer works through them.

    What bars work comes first, then what keeps the description from being read, then the written program
    paragraph by paragraph, the records, cautions, advice, and last what was accepted.
    """
    groups: dict[tuple[int, str], list[Diagnostic]] = {}
    for finding in sorted(report.findings, key=_order):
        groups.setdefault(_heading(report, finding), []).append(finding)
    by_rank = sorted(groups, key=lambda key: key[0])  # stable: within a rank, the order of the law
    return [(heading, groups[rank, heading]) for rank, heading in by_rank]


def in_order(report: Report) -> list[Diagnostic]:
    """Return the findings in the order of `grouped`, without the headings."""
    return [finding for _, findings in grouped(report) for finding in findings]


# ---- the copy to hand out -----------------------------------------------------------------------------


_PEOPLE = re.compile(r"(?:tasks\[\d+\]\.)?people(?:\[\d+\])?")
_INDEX = re.compile(r"\[\d+\]")  # which of the people it is


def _merged(groups: list[StatusOfMany]) -> RequirementStatus:
    """One row in place of several that name people: the worst status, and how many there are of each."""
    found: Counter[Status] = Counter()
    for row, subjects in groups:
        found[row.status] += len(subjects)
    rows = [row for row, _ in groups]
    counts = {status: found[status] for status in Status}
    told = said_join(
        (
            said("%(count)s %(status)s", count=count, status=said_as(status.value, status.value.replace("-", " ")))
            for status, count in counts.items()
            if count
        ),
        ", ",
    )
    return rows[0]._replace(
        status=next(status for status, count in counts.items() if count),
        because=said_plural(
            "%(n)s record: %(told)s; the restricted report says whose",
            "%(n)s records: %(told)s; the restricted report says whose",
            found.total(),
            told=told,
        ),
        subject=(),
        evidence=tuple(sorted({_INDEX.sub("[]", path) for row in rows for path in row.evidence})),
        answered_in=tuple(sorted({section for row in rows for section in row.answered_in})),
    )


def _is_told(finding: Diagnostic) -> bool:
    """Whether a public report tells of a finding at all: a fault of form has to be mended, whoever is named there."""
    return finding.audience == Audience.PUBLIC or finding.severity == Severity.INVALID


_WHERE_TOLD = said("`progdoc check` tells it on the screen; so does a report with `--names`.")


def _without_names(finding: Diagnostic, workers: Names) -> Diagnostic:
    if finding.audience == Audience.PUBLIC:
        return _struck(finding, workers) if finding.severity == Severity.INVALID else finding
    place = _PEOPLE.match(finding.location.path)
    return replace(
        finding,
        location=replace(finding.location, path=place[0] if place else ""),
        what=said("What stands here is not repeated: it may name a worker."),
        fix=_WHERE_TOLD,
        subject=(),
        audience=Audience.PUBLIC,
    )


def _struck(finding: Diagnostic, workers: Names) -> Diagnostic:
    """Return a fault of form without the names of workers: there, they may stand in any place."""
    what, fix, path = (struck_out(text, workers) for text in (finding.what, finding.fix, finding.location.path))
    if (what, fix, path) == (finding.what, finding.fix, finding.location.path):
        return finding
    return replace(
        finding,
        what=what,
        fix=said("%(fix)s %(where_told)s", fix=fix, where_told=_WHERE_TOLD),
        location=replace(finding.location, path=path),
    )


def public_part(report: Report) -> Report:
    """Return the report without anything that names people; what was left out stays counted."""
    by_code: dict[str, list[StatusOfMany]] = {}
    of_all: list[RequirementStatus] = []
    for group in in_groups(report.requirements):
        if group[0].is_restricted:
            by_code.setdefault(group[0].code, []).append(group)
        else:
            of_all.append(group[0])
    questions, withheld = public_questions(report.questions)
    return replace(
        report,
        questions=questions,
        withheld_questions=report.withheld_questions + withheld,
        findings=tuple(_without_names(f, report.workers) for f in report.findings if _is_told(f)),
        withheld=report.withheld + tuple(f for f in report.findings if not _is_told(f)),
        requirements=(*of_all, *map(_merged, by_code.values())),
        is_public=True,
    )


# ---- the first line -----------------------------------------------------------------------------------


def dangers(report: Report) -> list[str]:
    """Return one phrase for each task that nobody may start, or not everybody, and in which masks; it names nobody."""
    return [barred_words(one, report.names) for one in report.barred]


def _missing(report: Report, scope: Scope) -> int:
    """Return how many answers are missing to the program, or else to records alone."""
    return sum(
        question.is_missing
        and (Scope.PROGRAM in question.scopes) is (scope is Scope.PROGRAM)
        and not set(question.settles) <= set(report.first_codes)
        for question in report.questions + report.withheld_questions
    )


def unasked(report: Report) -> list[Diagnostic]:
    """Return the open findings that no question settles, advice aside: they are mended elsewhere, such as in a look."""
    settled = {code for question in report.questions + report.withheld_questions for code in question.settles}
    grave = (Severity.REQUIRED, Severity.CAUTION)
    return [one for one in _open(report) if one.severity in grave and one.code not in {*settled, *report.first_codes}]


def summary_line(report: Report) -> str:
    """Return one line that a foreman understands: what nobody may start first, then what is missing."""
    opening, parts = summary_parts(report)
    if not parts:
        return said_join([opening, same(".")], "")
    if not _bars(report):
        return said("%(opening)s; %(parts)s to look at.", opening=opening, parts=said_join(parts, "; "))
    return said("%(opening)s: %(parts)s.", opening=opening, parts=said_join(parts, "; "))


def _bars(report: Report) -> bool:
    """Return whether anything keeps the program from being issued, or somebody from work."""
    return bool(report.barred) or any(f.severity in (Severity.REQUIRED, Severity.INVALID) for f in _open(report))


def summary_parts(report: Report) -> tuple[str, list[str]]:
    """Return how things stand in a few words, and what there is to do, worst first, for a list."""
    is_shut = any(one.is_for_all for one in report.barred)
    invalid = count_of(report, Severity.INVALID)
    program = _missing(report, Scope.PROGRAM)
    records = _missing(report, Scope.RECORD)
    cautions, advice = count_of(report, Severity.CAUTION), count_of(report, Severity.ADVICE)
    first = any(finding.code in report.first_codes for finding in _open(report))
    parts = [said("no work is described yet, so hardly anything was judged: begin with the tasks")] if first else []
    parts += dangers(report)
    if invalid:
        parts.append(
            said_plural(
                "%(n)s fault to mend before the description can be understood",
                "%(n)s faults to mend before the description can be understood",
                invalid,
            )
        )
    if program:
        parts.append(
            said_plural(
                "%(n)s answer is missing, or not as the law needs it",
                "%(n)s answers are missing, or not as the law needs them",
                program,
            )
        )
    beside = [one for one in unasked(report) if one.severity is Severity.REQUIRED]
    if beside:
        parts.append(
            said_plural(
                "%(n)s required gap that no answer settles",
                "%(n)s required gaps that no answer settles",
                len(beside),
            )
        )
    if records:
        parts.append(
            said_plural(
                "%(n)s answer about records of people or devices is missing and bars them from work",
                "%(n)s answers about records of people or devices are missing and bar them from work",
                records,
            )
        )
    parts += [said_plural("%(n)s caution", "%(n)s cautions", cautions)] if cautions else []
    parts += [said_plural("%(n)s suggestion", "%(n)s suggestions", advice)] if advice else []
    if report.elsewhere:
        parts.append(
            said_plural(
                "%(n)s required finding at other sites, not told here",
                "%(n)s required findings at other sites, not told here",
                report.elsewhere,
            )
        )
    if first or invalid or program or beside or (is_shut and not records):
        opening = said("Not ready")
    elif records or report.barred:
        opening = said("No required gap found in the program itself, but not everybody may start")
    else:
        opening = said("No required gap found in what was described, as of %(on)s", on=long_date(report.on))
    return said("“%(site)s” alone: %(opening)s", site=report.site, opening=opening) if report.site else opening, parts
