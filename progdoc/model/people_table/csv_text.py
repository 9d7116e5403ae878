"""Bytes of a table kept in a spreadsheet to rows of cells, each with its line and column.

A byte-order mark, any of the usual separators, quoted cells over several lines and Excel's "sep=" line are
read. The encoding is never guessed: what is not UTF-8, or marked as UTF-16, is refused. Reading stops at a
quote that is never closed, since everything after it would land in the wrong column.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Collection, Iterable

from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said

__all__ = ["MARKS", "CsvCell", "TableError", "decoded_table", "rows_of", "separator_of", "spliced_table"]

MARKS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))

_SEPARATORS = (",", ";", "\t", "|")
_SEP_LINE = re.compile(r"sep=([,;|\t])\r?\n", re.IGNORECASE)
_BLANKS = " \t\u00a0\u2007\u202f\ufeff"


@dataclass(frozen=True, slots=True)
class CsvCell:
    """What stands in a cell, without the blanks around it, and where; start and end count the signs of the text."""

    text: str
    line: int
    column: int
    start: int = 0
    end: int = 0


class TableError(ValueError):
    """A table that cannot be read on from some place, and why."""

    def __init__(self, what: str, line: int = 0, column: int = 0) -> None:
        super().__init__(what)
        self.what = what  # it can be said in another language, as `str(…)` of the error can't
        self.line, self.column = line, column


def decoded_table(data: bytes) -> str:
    """Return the text of a table saved as UTF-8 or, with its mark, as UTF-16."""
    is_wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        return data.decode("utf-16" if is_wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        what = said("The file is not saved as UTF-8, so letters with accents cannot be told")
        raise TableError(what, line, 1) from error


def separator_of(text: str, known: Collection[str]) -> tuple[str, int]:
    """Return the sign between the cells, the one that makes most headings known, and where the table begins."""
    declared = _SEP_LINE.match(text)
    if declared:
        return declared[1], declared.end()
    head = text.lstrip("\r\n").partition("\n")[0]

    def headings(separator: str) -> int:
        return sum(part.strip(f'"\r{_BLANKS}').lower() in known for part in head.split(separator))

    return max(_SEPARATORS, key=headings), 0


def rows_of(text: str, separator: str, start: int = 0) -> list[list[CsvCell]]:
    """Return the rows that hold anything; time grows with the length of the text alone."""
    sign = re.escape(separator)
    # A quoted cell, or one up to the next sign; then the sign, the end of the line, or the end of the text.
    pattern = re.compile(rf'(?:"([^"]*(?:""[^"]*)*)"[ ]*|([^{sign}\r\n]*))({sign}|\r\n|\n|\r|\Z)')
    rows: list[list[CsvCell]] = []
    row: list[CsvCell] = []
    line = text.count("\n", 0, start) + 1
    line_start = index = start
    while index < len(text):
        found = pattern.match(text, index)
        raw = found[2] if found else None
        if found is None or (raw is not None and raw.startswith('"')):
            what = said("A quote opens here and is not closed before the next cell")
            raise TableError(what, line, index - line_start + 1)
        content = raw if raw is not None else found[1].replace('""', '"')
        place = (line, index - line_start + 1, index, found.start(3))
        row.append(CsvCell(content.strip(f"\r\n{_BLANKS}"), *place))
        inside = text.count("\n", index, found.end(2) if raw is not None else found.end(1))
        index = found.end()
        if inside:
            line += inside
            line_start = text.rfind("\n", 0, found.start(3)) + 1
        if found[3] != separator:
            if any(cell.text for cell in row):
                rows.append(row)
            row = []
            line, line_start = line + 1, index
    if any(cell.text for cell in row):
        rows.append(row)
    return rows


def spliced_table(text: str, spans: Iterable[tuple[int, int, str]]) -> str:
    """Return the text with spans replaced that do not overlap, each from where to where and what stands there then.

    Of two at one place the one that replaces something comes first.
    """
    parts, place = [], 0
    for start, end, instead in sorted(spans, key=lambda span: (span[0], span[0] == span[1], span[1])):
        parts += [text[place:start], instead]
        place = max(place, end)
    return "".join((*parts, text[place:]))
