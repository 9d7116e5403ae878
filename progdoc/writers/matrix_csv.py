"""The requirement matrix as a CSV that a spreadsheet opens without running anything."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from io import StringIO

__all__ = ["csv_bytes"]

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def csv_bytes(rows: Iterable[Iterable[str]]) -> bytes:
    """Return rows as CSV (RFC 4180). A cell that a spreadsheet would take for a formula begins with an apostrophe."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for row in rows:
        writer.writerow([f"'{cell}" if cell.startswith(_STARTS_A_FORMULA) else cell for cell in row])
    return out.getvalue().encode("utf-8")
