"""The order in which an officer works through the findings of a report, under headings: the law's parts and our own."""

from __future__ import annotations

import re

from progdoc.core.diagnostics import Diagnostic, Scope, Severity
from progdoc.core.report import Report, is_accepted
from progdoc.core.said import said

__all__ = ["grouped", "in_order", "section_of"]

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
