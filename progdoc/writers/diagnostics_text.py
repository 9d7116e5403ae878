"""Findings for a person at a terminal: place, trouble, reason and remedy, wrapped to the window.

The caller knows the width and whether colours are wanted; nothing here looks at the terminal. Restricted
findings are shown, so this text is not for handing on: render `public_part(report)` for that.
"""

from __future__ import annotations

import textwrap

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.printable import printable
from progdoc.core.report import Report, grouped, is_accepted, summary_line

__all__ = ["finding_text", "report_text"]

_INDENT = 8  # room for "  what  "
_NARROWEST = 40
_PLAIN = "\x1b[0m"
_BOLD = "\x1b[1m"
_COLOURS = {
    Severity.INVALID: "\x1b[1;31m",
    Severity.REQUIRED: "\x1b[1;31m",
    Severity.CAUTION: "\x1b[33m",
    Severity.ADVICE: "\x1b[36m",
}


def _wrapped(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """Wrap words only: a path or a name is never cut, it may run over the edge."""
    return textwrap.wrap(
        printable(text),
        max(width, _NARROWEST),
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _labelled(label: str, text: str, width: int) -> list[str]:
    return _wrapped(text, width, f"  {label:<4}  ", " " * _INDENT)


def finding_text(finding: Diagnostic, width: int = 80, colour: bool = False) -> str:
    """Return one finding as a paragraph: a head line that editors can jump from, then what, why and fix."""
    severity = f"{finding.severity} (accepted)" if is_accepted(finding) else str(finding.severity)
    if colour:
        severity = f"{_COLOURS[finding.severity]}{severity}{_PLAIN}"
    place = printable(str(finding.location))
    lines = [f"{place}  {severity}  {finding.code}  {finding.name}"]
    lines += _labelled("what", finding.what, width)
    lines += _labelled("why", finding.why, width)
    lines += _wrapped(finding.citation, width, " " * _INDENT, " " * _INDENT)
    fix, *example = finding.fix.split("\n")
    lines += _labelled("fix", fix, width)
    lines += [
        f"{' ' * (_INDENT + 2)}{printable(line).expandtabs()}" for line in example
    ]  # as it is typed, never wrapped
    if is_accepted(finding):
        lines += _labelled("note", f"Accepted: {finding.accepted}", width)
    return "\n".join(lines)


def report_text(report: Report, width: int = 80, colour: bool = False) -> str:
    """Return the whole report: the one line that matters, then every finding in the order of work."""
    blocks = ["\n".join(_wrapped(summary_line(report), width))]
    for heading, findings in grouped(report):
        title = f"{printable(heading)} ({len(findings)})"
        blocks.append(f"{_BOLD}{title}{_PLAIN}" if colour else title)
        blocks += [finding_text(finding, width, colour) for finding in findings]
    if report.withheld:
        told = f"{len(report.withheld)} more that name people stand in the restricted report."
        blocks.append("\n".join(_wrapped(told, width)))
    return "\n\n".join(blocks) + "\n"
