"""Requirements as test cases in the JUnit XML shape, for build servers that know how to show nothing else.

A requirement is a test case in the suite of its paragraph. It fails where there is a gap, and also where
nobody knows whether it applies: silence never counts as compliance. Cautions and advice do not fail.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree import ElementTree

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.printable import printable
from progdoc.core.report import Report, RequirementStatus, Status, is_accepted
from progdoc.core.report_order import in_order, section_of
from progdoc.core.report_summary import summary_line

__all__ = ["report_junit"]

_FAILS = (Severity.INVALID, Severity.REQUIRED)


def _told(finding: Diagnostic) -> str:
    lines = [f"{finding.location}  {finding.severity}  {finding.code}", finding.what, finding.why]
    lines += [finding.citation, finding.fix]
    lines += [f"Accepted: {finding.accepted}"] if is_accepted(finding) else []
    return printable("\n".join(line for line in lines if line))


def _case(code: str, name: str, subject: Iterable[str], section: str) -> ElementTree.Element:
    title = " ".join([code, name, *(f"[{part}]" for part in subject)])
    return ElementTree.Element("testcase", name=printable(title), classname=printable(f"progdoc {section}"))


def _child(case: ElementTree.Element, tag: str, message: str, kind: str, text: str = "") -> None:
    element = ElementTree.SubElement(case, tag, message=printable(message), type=kind)
    element.text = text or None


def _of_requirement(row: RequirementStatus, findings: list[Diagnostic]) -> ElementTree.Element:
    case = _case(row.code, row.name, row.subject, section_of(row.citation))
    details = "\n\n".join(_told(finding) for finding in findings)
    is_lacking = row.status in (Status.GAP, Status.UNDETERMINED)
    is_mild = bool(findings) and all(finding.severity not in _FAILS for finding in findings)
    if is_lacking and not is_mild:
        what = row.because or "; ".join(finding.what for finding in findings) or row.name
        _child(case, "failure", what, row.status, details)
    elif row.status == Status.NOT_APPLICABLE:
        _child(case, "skipped", row.because, row.status)
    elif details:
        ElementTree.SubElement(case, "system-out").text = details
    return case


def _of_finding(finding: Diagnostic) -> ElementTree.Element:
    case = _case(finding.code, finding.name, finding.subject, section_of(finding.citation))
    if finding.severity in _FAILS:
        _child(case, "failure", finding.what, finding.severity, _told(finding))
    else:
        ElementTree.SubElement(case, "system-out").text = _told(finding)
    return case


def _of_withheld(findings: tuple[Diagnostic, ...]) -> ElementTree.Element:
    case = _case("restricted", "findings-that-name-people", (), "restricted report")
    failing = sum(finding.severity in _FAILS for finding in findings)
    names = "finding names people" if len(findings) == 1 else "findings name people"
    told = f"{len(findings)} {names}, {failing} of them required: see the restricted report."
    if failing:
        _child(case, "failure", told, Severity.REQUIRED)
    else:
        ElementTree.SubElement(case, "system-out").text = told
    return case


def _cases(report: Report) -> dict[str, list[ElementTree.Element]]:
    """Test cases under their sections. A finding goes with its requirement, or stands alone."""
    own: dict[tuple[str, tuple[str, ...]], list[Diagnostic]] = {}
    alone: list[Diagnostic] = []
    for row in report.requirements:
        own[row.code, row.subject] = []
    for finding in in_order(report):
        own.get((finding.code, finding.subject), alone).append(finding)
    cases: dict[str, list[ElementTree.Element]] = {}
    for row in sorted(report.requirements, key=lambda row: (row.code, row.subject, row.because)):
        case = _of_requirement(row, own[row.code, row.subject])
        cases.setdefault(section_of(row.citation), []).append(case)
    for finding in alone:
        cases.setdefault(section_of(finding.citation), []).append(_of_finding(finding))
    if report.withheld:
        cases["restricted report"] = [_of_withheld(report.withheld)]
    return cases


def report_junit(report: Report) -> bytes:
    """Return the report as JUnit XML; the summary stands in the properties of every suite."""
    root = ElementTree.Element("testsuites", name=printable(report.title) or "progdoc")
    cases = _cases(report)
    totals = {"tests": 0, "failures": 0}
    for section in sorted(cases, key=lambda section: (section == "other rules", section)):
        counts = {
            "tests": len(cases[section]),
            "failures": sum(case.find("failure") is not None for case in cases[section]),
            "skipped": sum(case.find("skipped") is not None for case in cases[section]),
            "errors": 0,
        }
        suite = ElementTree.SubElement(root, "testsuite", name=printable(section))
        suite.attrib.update({key: str(count) for key, count in counts.items()})
        suite.set("timestamp", f"{report.on.isoformat()}T00:00:00")
        properties = ElementTree.SubElement(suite, "properties")
        for name, value in (
            ("rules", f"{report.rules_pack} {report.rules_version}"),
            ("revision", report.revision),
            ("summary", summary_line(report)),
        ):
            ElementTree.SubElement(properties, "property", name=name, value=printable(value))
        suite.extend(cases[section])
        totals = {key: total + counts[key] for key, total in totals.items()}
    root.attrib.update({key: str(total) for key, total in totals.items()} | {"errors": "0"})
    ElementTree.indent(root)
    body: bytes = ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)
    return body + b"\n"
