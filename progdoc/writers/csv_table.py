"""A table as CSV (RFC 4180) that a spreadsheet shows as it is and never runs.

A cell that begins like a formula gets an apostrophe in front: names and notes come from anybody.
"""

from __future__ import annotations

import csv
import io
from codecs import BOM_UTF8
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice

from progdoc.core.printable import printable

__all__ = ["csv_bytes", "csv_parts", "harmless"]

_AT_A_TIME = 500  # rows

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
    return b"".join(csv_parts(rows))


def csv_parts(rows: Iterable[Sequence[str]]) -> Iterator[bytes]:
    """Yield the same, some rows at a time."""
    yield BOM_UTF8
    rest = iter(rows)
    while some := list(islice(rest, _AT_A_TIME)):
        stream = io.StringIO()
        csv.writer(stream, lineterminator="\r\n").writerows([harmless(cell) for cell in row] for row in some)
        yield stream.getvalue().encode()
