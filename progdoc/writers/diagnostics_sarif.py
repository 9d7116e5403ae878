"""Findings as a SARIF 2.1.0 log, the OASIS format that editors and code hosts show beside the line."""

from __future__ import annotations

import hashlib
import json
from urllib.parse import quote

from progdoc.core.diagnostics import Audience, Diagnostic, Severity
from progdoc.core.json_text import indented_json
from progdoc.core.report import Report, is_accepted, severity_counts
from progdoc.core.report_order import in_order
from progdoc.core.report_summary import summary_line

__all__ = ["report_sarif"]

_SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_LEVELS = {
    Severity.INVALID: "error",
    Severity.REQUIRED: "error",
    Severity.CAUTION: "warning",
    Severity.ADVICE: "note",
}
_WORST_FIRST = list(Severity)


def _rule(code: str, findings: list[Diagnostic]) -> dict[str, object]:
    """One rule for every code that occurs. What to type depends on the place, so it may differ by finding."""
    worst = min((finding.severity for finding in findings), key=_WORST_FIRST.index)
    reasons = sorted({finding.why for finding in findings if finding.why})
    remedies = {finding.fix for finding in findings}
    remedy = remedies.pop() if len(remedies) == 1 else ""
    name = findings[0].name
    return {
        "id": code,
        "name": name,
        "shortDescription": {"text": name.replace("-", " ") or code},
        "fullDescription": {"text": " ".join(reasons) or name or code},
        "help": {"text": remedy or f"`progdoc explain {code}` says what would satisfy it."},
        "defaultConfiguration": {"level": _LEVELS[worst]},
    }


def _location(finding: Diagnostic) -> dict[str, object]:
    place = finding.location
    location: dict[str, object] = {}
    if place.file:
        physical: dict[str, object] = {"artifactLocation": {"uri": quote(place.file.replace("\\", "/"))}}
        if place.line > 0:
            physical["region"] = {"startLine": place.line, "startColumn": max(place.column, 1)}
        location["physicalLocation"] = physical
    if place.path:
        location["logicalLocations"] = [{"fullyQualifiedName": place.path}]
    return location


def _fingerprint(finding: Diagnostic) -> str:
    """Stays the same when lines move; made of nothing that moves with them."""
    identity = json.dumps([finding.code, finding.subject, finding.location.file, finding.location.path])
    return hashlib.sha256(identity.encode()).hexdigest()[:32]


def _result(finding: Diagnostic, rule_index: int) -> dict[str, object]:
    result: dict[str, object] = {
        "ruleId": finding.code,
        "ruleIndex": rule_index,
        "level": _LEVELS[finding.severity],
        "message": {"text": " ".join(part for part in (finding.what, finding.fix) if part) or finding.name},
        "partialFingerprints": {"progdocFinding/v1": _fingerprint(finding)},
        "properties": {
            "severity": finding.severity,
            "scope": finding.scope,
            "audience": finding.audience,
            "citation": finding.citation,
            "subject": finding.subject,
        },
    }
    location = _location(finding)
    if location:
        result["locations"] = [location]
    if is_accepted(finding):
        suppression = {"kind": "inSource", "status": "accepted", "justification": finding.accepted}
        result["suppressions"] = [suppression]
    return result


def report_sarif(report: Report) -> bytes:
    """Return the findings as one SARIF run, in the order of work."""
    findings = in_order(report)
    by_code: dict[str, list[Diagnostic]] = {}
    for finding in findings:
        by_code.setdefault(finding.code, []).append(finding)
    codes = sorted(by_code)
    driver: dict[str, object] = {"name": "progdoc"}
    if report.version:
        driver["version"] = report.version
    driver["rules"] = [_rule(code, by_code[code]) for code in codes]
    properties: dict[str, object] = {
        "on": report.on.isoformat(),
        "rules": {"pack": report.rules_pack, "version": report.rules_version},
        "program": {"title": report.title, "revision": report.revision},
        "summary": summary_line(report),
    }
    if report.is_public:
        properties["restricted"] = severity_counts(report, audience=Audience.RESTRICTED)
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "results": [_result(finding, codes.index(finding.code)) for finding in findings],
        "properties": properties,
    }
    log = {"$schema": _SCHEMA, "version": "2.1.0", "runs": [run]}
    text = indented_json(log)
    return f"{text}\n".encode(errors="replace")  # half a surrogate pair is no character anywhere
