"""A table as CSV (RFC 4180) that a spreadsheet shows as it is and never runs.

A cell that begins like a formula gets an apostrophe in front: names and notes come from anybody.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from progdoc.core.printable import printable

__all__ = ["csv_bytes", "harmless"]

_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "−", "＝", "＋", "－", "＠", "﹦", "﹢", "﹣", "﹫")


def harmless(text: str) -> str:
    """Return a cell's text with an apostrophe before whatever a spreadsheet might take for a formula.

    >>> harmless('=HYPERLINK("x")'), harmless("Jo Marsh"), harmless(" +1")
    ('\\'=HYPERLINK("x")', 'Jo Marsh', "' +1")
    """
    shown = printable(text)
    is_formula = any(text.startswith(_BEGINS_A_FORMULA) for text in (shown, shown.lstrip()))
    return f"'{shown}" if is_formula else shown


def csv_bytes(rows: Iterable[Sequence[str]]) -> bytes:
    """Return the rows, headings first, in UTF-8 with the mark that makes a spreadsheet read it as such."""
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\r\n").writerows([harmless(cell) for cell in row] for row in rows)
    return stream.getvalue().encode("utf-8-sig")
