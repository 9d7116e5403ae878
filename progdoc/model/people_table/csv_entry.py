"""Puts the cells of records into the bytes of a table kept as CSV, and touches no other byte."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.said import said
from progdoc.model.people_table.csv_text import MARKS, decoded_table, separator_of, spliced_table
from progdoc.model.people_table.heading_words import HEADINGS
from progdoc.model.people_table.record_rows import Grid

__all__ = ["csv_with", "separator_in"]

_RECKONED = ("=", "+", "-", "@")  # with what a cell begins that a spreadsheet works out


def separator_in(data: bytes) -> str:
    """Return the sign between the cells of a table.

    >>> separator_in(b"id;name\\r\\njo;Jo Marsh\\r\\n")
    ';'
    """
    return separator_of(decoded_table(data), HEADINGS)[0]


def csv_with(data: bytes, grid: Grid) -> bytes:
    """Return a table with what was written into its grid.

    Raises
    ------
    KeyError
        If the spreadsheet would reckon with a text.
    """
    text = decoded_table(data)
    mark, encoding = next(((mark, name) for mark, name in MARKS if data.startswith(mark)), (b"", "utf-8"))
    return mark + spliced_table(text, _spans(grid, text)).encode(encoding)


def _spans(grid: Grid, text: str) -> Iterator[tuple[int, int, str]]:
    by_row: dict[int, dict[int, str]] = {}
    for (row, column), written in grid.written.items():
        if written.kind == "text" and written.text.startswith(_RECKONED):
            sign = written.text[:1]
            raise KeyError(said("a spreadsheet would reckon with a cell that begins with %(sign)s", sign=sign))
        by_row.setdefault(row, {})[column] = _quoted(written.text, grid.separator)
    end_of_line = "\r\n" if "\r\n" in text else "\n"
    for number, cells in grid.rows.items():
        changed = by_row.get(number, {})
        last = cells[-1].end
        for column in sorted(changed):
            if column < len(cells):
                yield cells[column].start, cells[column].end, changed[column]
        tail = "".join(
            grid.separator + changed.get(column, "") for column in range(len(cells), max(changed, default=0) + 1)
        )
        for fresh in grid.below.get(number, ()):
            length = max(len(grid.rows[grid.head]), max(by_row[fresh]) + 1)
            tail += end_of_line + grid.separator.join(by_row[fresh].get(column, "") for column in range(length))
        if tail:
            yield last, last, tail


def _quoted(shown: str, separator: str) -> str:
    if any(sign in shown for sign in (separator, '"', "\n", "\r")):
        return '"' + shown.replace('"', '""') + '"'
    return shown
