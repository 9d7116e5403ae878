"""The copy of a report to hand out: nothing in it names people, and what was left out stays counted."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

from progdoc.core.diagnostics import Audience, Diagnostic, Severity
from progdoc.core.questions import public_questions
from progdoc.core.report import Report, RequirementStatus, Status, StatusOfMany, in_groups
from progdoc.core.said import said, said_as, said_join, said_plural
from progdoc.core.struck_names import Names, struck_out

__all__ = ["public_part"]

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
