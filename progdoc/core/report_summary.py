"""How things stand, in one line that a foreman understands: what nobody may start first, then what is missing.

Nothing here says that a program complies: the best news is that no gap was found in what was described.
"""

from __future__ import annotations

from progdoc.core.barred import barred_words
from progdoc.core.diagnostics import Diagnostic, Scope, Severity
from progdoc.core.numbers import long_date
from progdoc.core.report import Report, count_of, open_findings
from progdoc.core.said import said, said_join, said_plural, same

__all__ = ["dangers", "summary_line", "summary_parts", "unasked"]


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
    return [
        one
        for one in open_findings(report)
        if one.severity in grave and one.code not in {*settled, *report.first_codes}
    ]


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
    return bool(report.barred) or any(
        f.severity in (Severity.REQUIRED, Severity.INVALID) for f in open_findings(report)
    )


def summary_parts(report: Report) -> tuple[str, list[str]]:
    """Return how things stand in a few words, and what there is to do, worst first, for a list."""
    is_shut = any(one.is_for_all for one in report.barred)
    invalid = count_of(report, Severity.INVALID)
    program = _missing(report, Scope.PROGRAM)
    records = _missing(report, Scope.RECORD)
    cautions, advice = count_of(report, Severity.CAUTION), count_of(report, Severity.ADVICE)
    first = any(finding.code in report.first_codes for finding in open_findings(report))
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
