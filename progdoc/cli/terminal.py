"""The terminal: how words are broken into lines, whether it shows colour, and how faults are told."""

from __future__ import annotations

import os
import sys
import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING, TextIO

from progdoc.cli.status import UNUSABLE
from progdoc.cli.window import WIDE, width
from progdoc.core.lines import Blocks, Line
from progdoc.core.printable import printable

if TYPE_CHECKING:
    from progdoc.core.diagnostics import Diagnostic
    from progdoc.core.report import Report

__all__ = ["broken", "laid_out", "refused", "report_in_file", "report_on_screen", "say", "show"]

_NARROWEST = 40


def broken(line: Line, columns: int) -> list[str]:
    """Return a line as it is shown. Words only are wrapped: a path or a name is never cut, it may run over the edge."""
    if line.is_typed:
        return [line.first + printable(line.text).expandtabs()]
    return textwrap.wrap(
        printable(line.text),
        max(columns, _NARROWEST),
        initial_indent=line.first,
        subsequent_indent=line.rest,
        break_long_words=False,
        break_on_hyphens=False,
    )


def laid_out(blocks: Blocks, columns: int) -> str:
    """Return blocks of lines, wrapped, with an empty line between them."""
    shown = ("\n".join(part for line in block for part in broken(line, columns)) for block in blocks)
    return "\n\n".join(shown) + "\n"


def say(text: str, file: TextIO | None = None) -> None:
    """Print words that may hold what somebody typed, or the name of a file: nothing of it reaches the terminal raw."""
    print(printable(text), file=file)


def show(data: str | bytes) -> None:
    """Put words on the terminal as far as its character set goes; what programs read goes out byte for byte."""
    if isinstance(data, str):
        print(data, end="")
    else:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)


def report_on_screen(report: Report, whole: bool = False) -> str:
    """Return a report for the terminal, names of people included: the next questions, or every finding.

    It is coloured only where that is wanted.
    """
    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return _as_text(report, whole, width(), colour)


def report_in_file(report: Report, names: bool, whole: bool) -> bytes:
    """Return a report as a text file; without `names` findings about people are only counted."""
    from progdoc.core.public_report import public_part

    return _as_text(report if names else public_part(report), whole, WIDE).encode()


def _as_text(report: Report, whole: bool, columns: int, colour: bool = False) -> str:
    from progdoc.cli.question_view import questions_text
    from progdoc.cli.report_view import report_text

    return (report_text if whole else questions_text)(report, columns, colour)


def refused(faults: Sequence[Diagnostic]) -> int:
    """Tell every reason why nothing was done, and return the exit status for it."""
    from progdoc.cli.report_view import finding_text

    print("\n\n".join(finding_text(fault, width()) for fault in faults), file=sys.stderr)
    return UNUSABLE


def tell_interrupted(left_by: str, mended: bool = False) -> None:
    """Tell that an earlier run was interrupted here, if one was, and what became of what it had begun."""
    if left_by:
        done = "completed" if mended else "cleared away"
        say(f"A run was interrupted here ({left_by}); what it had begun was {done}.", file=sys.stderr)
