"""Findings for other programs, in the format "progdoc-gaps/1". Its keys are public and only ever added to."""

from __future__ import annotations

import json

from progdoc.core.diagnostics import Audience, Diagnostic
from progdoc.core.report import (
    Report,
    RequirementStatus,
    accepted_count,
    in_order,
    is_accepted,
    severity_counts,
)

__all__ = ["FORMAT", "report_json"]

FORMAT = "progdoc-gaps/1"


def _finding(finding: Diagnostic) -> dict[str, object]:
    place = finding.location
    return {
        "code": finding.code,
        "name": finding.name,
        "severity": finding.severity,
        "scope": finding.scope,
        "audience": finding.audience,
        "citation": finding.citation,
        "subject": finding.subject,
        "where": {"file": place.file, "line": place.line, "column": place.column, "path": place.path},
        "what": finding.what,
        "why": finding.why,
        "fix": finding.fix,
        "accepted": finding.accepted if is_accepted(finding) else "",
    }


def _requirement(row: RequirementStatus) -> dict[str, object]:
    return {
        "code": row.code,
        "name": row.name,
        "citation": row.citation,
        "subject": row.subject,
        "status": row.status,
        "because": row.because,
        "evidence": row.evidence,
        "answered_in": row.answered_in,
    }


def report_json(report: Report) -> bytes:
    """Return the report as JSON. A public one says under "restricted" how many findings it leaves out."""
    value: dict[str, object] = {
        "format": FORMAT,
        "on": report.on.isoformat(),
        "rules": {"pack": report.rules_pack, "version": report.rules_version},
        "program": {"title": report.title, "revision": report.revision},
        "summary": severity_counts(report) | {"accepted": accepted_count(report)},
    }
    if report.is_public:
        value["restricted"] = severity_counts(report, audience=Audience.RESTRICTED)
    value["findings"] = [_finding(finding) for finding in in_order(report)]
    rows = sorted(report.requirements, key=lambda row: (row.code, row.subject, row.because))
    value["requirements"] = [_requirement(row) for row in rows]
    text = json.dumps(value, ensure_ascii=False, indent=2)
    return f"{text}\n".encode(errors="replace")  # half a surrogate pair is no character anywhere
