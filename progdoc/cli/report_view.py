"""Findings for a person at a terminal: place, trouble, reason and remedy, wrapped to the window.

The caller knows the width and whether colours are wanted. Restricted findings are shown, so this text is not for
handing on: render `public_part(report)` for that.
"""

from __future__ import annotations

from progdoc.cli.terminal import broken
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.lines import Line
from progdoc.core.printable import printable
from progdoc.core.report import Report, is_accepted
from progdoc.core.report_summary import summary_line

__all__ = ["BOLD", "COLOURS", "PLAIN", "finding_text", "labelled", "report_text"]

_INDENT = 8  # room for "  what  "
PLAIN = "\x1b[0m"
BOLD = "\x1b[1m"
COLOURS = {
    Severity.INVALID: "\x1b[1;31m",
    Severity.REQUIRED: "\x1b[1;31m",
    Severity.CAUTION: "\x1b[33m",
    Severity.ADVICE: "\x1b[36m",
}


def labelled(label: str, text: str, indent: int = _INDENT) -> Line:
    """Return words behind a label; what runs over stands under them."""
    lead = "  " if indent == _INDENT else "    "
    return Line(text, f"{lead}{label}".ljust(indent), " " * indent)


def finding_text(finding: Diagnostic, width: int = 80, colour: bool = False) -> str:
    """Return one finding as a paragraph: a head line that editors can jump from, then what, why and fix."""
    severity = f"{finding.severity} (accepted)" if is_accepted(finding) else str(finding.severity)
    if colour:
        severity = f"{COLOURS[finding.severity]}{severity}{PLAIN}"
    place = printable(str(finding.location))
    fix, *example = finding.fix.split("\n")
    lines = [
        labelled("what", finding.what),
        labelled("why", finding.why),
        Line(finding.citation, " " * _INDENT, " " * _INDENT),
        labelled("fix", fix),
        *(Line(line, " " * (_INDENT + 2), is_typed=True) for line in example),
    ]
    if is_accepted(finding):
        lines.append(labelled("note", f"Accepted: {finding.accepted}"))
    head = f"{place}  {severity}  {finding.code}  {finding.name}"
    return "\n".join([head, *(part for line in lines for part in broken(line, width))])


def report_text(report: Report, width: int = 80, colour: bool = False) -> str:
    """Return the whole report: the one line that matters, then every finding in the order of work."""
    from progdoc.core.report_order import grouped

    blocks = ["\n".join(broken(Line(summary_line(report)), width))]
    for heading, findings in grouped(report):
        title = f"{printable(heading)} ({len(findings)})"
        blocks.append(f"{BOLD}{title}{PLAIN}" if colour else title)
        blocks += [finding_text(finding, width, colour) for finding in findings]
    if report.withheld:
        told = f"{len(report.withheld)} more that name people stand in the restricted report."
        blocks.append("\n".join(broken(Line(told), width)))
    return "\n\n".join(blocks) + "\n"
