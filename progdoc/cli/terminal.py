"""The terminal: how wide it is, whether it shows colour, and how faults are told."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from progdoc.cli.status import UNUSABLE

if TYPE_CHECKING:
    from progdoc.core.diagnostics import Diagnostic
    from progdoc.core.report import Report

__all__ = ["refused", "report_on_screen", "width"]


def width() -> int:
    """Return how many columns to fill."""
    try:
        return min(os.get_terminal_size().columns or 100, 110)
    except OSError:
        return 100


def report_on_screen(report: Report) -> str:
    """Return a report for the terminal, names of people included; coloured only where it is wanted."""
    from progdoc.writers.diagnostics_text import report_text

    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return report_text(report, width(), colour)


def refused(faults: Sequence[Diagnostic]) -> int:
    """Tell every reason why nothing was done, and return the exit status for it."""
    from progdoc.writers.diagnostics_text import finding_text

    print("\n\n".join(finding_text(fault, width()) for fault in faults), file=sys.stderr)
    return UNUSABLE
