"""Writes records into the table kept in a spreadsheet: the cells they take, and no other byte.

A record goes into the first row of the person that has nothing of its kind yet, or else into a new one below the
person's last. A column that is missing is added at the right. Days are written as the others of the table are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field
from datetime import date

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.people import Topic
from progdoc.model.people_table.csv_text import (
    MARKS,
    CsvCell,
    decoded_table,
    rows_of,
    separator_of,
    spliced_table,
)
from progdoc.model.people_table.heading_words import HEADINGS, heading
from progdoc.model.people_table.people_columns import COLUMNS, DateOrder

__all__ = ["Cells", "with_records"]

_NAMES = {(group, key): name for name, (group, key, _) in COLUMNS.items()}
_STROKES = re.compile(r"[0-9]{1,2}([/.-])[0-9]{1,2}\1[0-9]{4}")
_RECKONED = ("=", "+", "-", "@")  # with what a cell begins that a spreadsheet works out


@dataclass(frozen=True, slots=True)
class Cells:
    """One record of a person by its keys: to be added to a group ("masks", "training"; "" for facts), or taken out."""

    person: str
    group: str
    values: Mapping[str, str | Sequence[str]]
    is_taken: bool = False
    of_record: int = -1  # what is added to a cell of this record of the group, in the order of the rows; -1: a record


@dataclass(slots=True)
class _Grid:
    """The rows of a table, what is written into them, and the rows that are new, by the row they stand below."""

    rows: list[list[CsvCell]]
    separator: str
    order: DateOrder | None
    columns: dict[str, int]
    width: int
    written: dict[tuple[int, int], str] = field(default_factory=dict)
    below: dict[int, list[int]] = field(default_factory=dict)
    strokes: dict[int, str] = field(default_factory=dict)  # between the parts of a day, by column; "" year first

    def text(self, row: int, column: int) -> str:
        if (row, column) in self.written:
            return self.written[row, column]
        cells = self.rows[row] if row < len(self.rows) else []
        return cells[column].text if column < len(cells) else ""

    def said(self, row: int, name: str) -> str:
        return self.text(row, self.columns[name]) if name in self.columns else ""

    def column(self, name: str) -> int:
        """Return where a column is; one that is missing is begun at the right."""
        if name not in self.columns:
            self.columns[name] = self.width
            self.written[0, self.width] = name
            self.width += 1
        return self.columns[name]


def with_records(data: bytes, records: Sequence[Cells], order: DateOrder | None = None) -> bytes:
    """Return a table that was understood with records added to people, or taken out; somebody new has a row below all.

    Parameters
    ----------
    order
        How the table writes days that are not written year first.

    Raises
    ------
    KeyError
        If a record is of a person who stands in no row, or a text would be reckoned with by the spreadsheet.

    >>> with_records(b"id,training date\\njo,\\n", [Cells("jo", "training", {"date": "2026-02-17"})])
    b'id,training date\\njo,2026-02-17\\n'
    """
    text = decoded_table(data)
    separator, start = separator_of(text, HEADINGS)
    rows = rows_of(text, separator, start)
    columns: dict[str, int] = {}
    for index, cell in enumerate(rows[0]):
        columns.setdefault(heading(cell.text), index)
    grid = _Grid(rows, separator, order, columns, max(map(len, rows)))
    of_person: dict[str, list[int]] = {}
    for number in range(1, len(rows)):
        of_person.setdefault(grid.said(number, "id"), []).append(number)
    count = len(rows)
    for record in records:
        mine = of_person.setdefault(record.person, [])
        if not mine and record.group:
            raise KeyError(record.person)
        if not mine:  # somebody new
            mine.append(count)
            grid.below.setdefault(len(rows) - 1, []).append(count)
            grid.written[count, grid.columns["id"]] = record.person
            _write(grid, count, record)
            count += 1
            continue
        if record.of_record >= 0:
            _add_to(grid, mine, record)
            continue
        if record.is_taken:
            _take(grid, mine, record)
            continue
        row = _row_for(grid, mine, record)
        if row is None:
            row, count = count, count + 1
            grid.below.setdefault(
                max((number for number in mine if number < len(rows)), default=len(rows) - 1), []
            ).append(row)
            mine.append(row)
            grid.written[row, grid.columns["id"]] = record.person
        _write(grid, row, record)
    mark, encoding = next(((mark, name) for mark, name in MARKS if data.startswith(mark)), (b"", "utf-8"))
    return mark + spliced_table(text, _spans(grid, text)).encode(encoding)


# ---- into which row -----------------------------------------------------------------------------------


def _row_for(grid: _Grid, mine: list[int], record: Cells) -> int | None:
    if record.group in ("", "appendix_d"):
        names = [_NAMES[record.group, key] for key in record.values]
        return next((row for row in mine if any(grid.said(row, name) for name in names)), mine[0])
    return next((row for row in mine if _is_free(grid, row, record)), None)


def _is_free(grid: _Grid, row: int, record: Cells) -> bool:
    """Whether a row has nothing of the record's group, and would lend it nothing; a fit test takes mask and size."""
    if any(_of_group(grid, row, record.group)):
        return False
    if record.group == "masks":
        return not any(_of_group(grid, row, "fit_tests"))
    if record.group == "fit_tests" and (worn := grid.said(row, "mask")):
        return worn == record.values["mask"] and grid.said(row, "size") == record.values.get("size", "")
    return True


def _of_group(grid: _Grid, row: int, group: str) -> Iterator[str]:
    names = (name for name, (of, _, _) in COLUMNS.items() if of == group)
    yield from filter(None, (grid.said(row, name) for name in names))


# ---- what is written ----------------------------------------------------------------------------------


def _write(grid: _Grid, row: int, record: Cells) -> None:
    for key, value in record.values.items():
        name = _NAMES[record.group, key]
        is_lent = record.group == "fit_tests" and name not in grid.columns and grid.said(row, key) == value
        if not is_lent or key not in ("mask", "size"):
            column = grid.column(name)
            grid.written[row, column] = _shown(grid, column, name, value)


def _add_to(grid: _Grid, mine: list[int], record: Cells) -> None:
    """Write one more into a cell that holds several, of a record that stands there."""
    row = [number for number in mine if any(_of_group(grid, number, record.group))][record.of_record]
    for key, value in record.values.items():
        name = _NAMES[record.group, key]
        before = grid.said(row, name)
        grid.written[row, grid.column(name)] = f"{before}; {value}" if before else str(value)


def _take(grid: _Grid, mine: list[int], record: Cells) -> None:
    """Empty the cells of a mask; a fit test beside it that took mask and size from there is given its own."""
    for row in mine:
        if grid.said(row, "mask") != record.values["mask"]:
            continue
        if any(_of_group(grid, row, "fit_tests")) and grid.said(row, "fit_mask") in ("", record.values["mask"]):
            for own, lent in (("fit_mask", "mask"), ("fit_size", "size")):
                if grid.said(row, lent) and not grid.said(row, own):
                    grid.written[row, grid.column(own)] = grid.said(row, lent)
        for name, (group, _, _) in COLUMNS.items():
            if group == record.group and grid.said(row, name):
                grid.written[row, grid.columns[name]] = ""


def _shown(grid: _Grid, column: int, name: str, value: str | Sequence[str]) -> str:
    kind = COLUMNS[name][2]
    if kind == "numbers":
        return " ".join(value)
    if not isinstance(value, str):
        is_all = name == "training_topics" and set(value) == {topic.value for topic in Topic}
        return "all" if is_all else (", " if grid.separator != "," else "; ").join(value)
    if kind == "day":
        return _day(grid, column, value)
    if value.startswith(_RECKONED):
        raise KeyError(f"a spreadsheet would reckon with a cell that begins with {value[:1]}")
    return value


def _day(grid: _Grid, column: int, value: str) -> str:
    """Return a day as the column writes it, or where it has none as the table does."""
    if column not in grid.strokes:
        below = [cell for row in grid.rows[1:] for cell in row[column : column + 1] if cell.text]
        shown = below or [cell for row in grid.rows[1:] for cell in row]
        grid.strokes[column] = next((found[1] for cell in shown if (found := _STROKES.fullmatch(cell.text))), "")
    stroke = grid.strokes[column]
    if not stroke or grid.order is None:
        return value
    day = date.fromisoformat(value)
    parts = (day.month, day.day) if grid.order is DateOrder.MONTH_FIRST else (day.day, day.month)
    return stroke.join(map(str, (*parts, day.year)))


# ---- back to bytes ------------------------------------------------------------------------------------


def _spans(grid: _Grid, text: str) -> Iterator[tuple[int, int, str]]:
    by_row: dict[int, dict[int, str]] = {}
    for (row, column), shown in grid.written.items():
        by_row.setdefault(row, {})[column] = _quoted(shown, grid.separator)
    end_of_line = "\r\n" if "\r\n" in text else "\n"
    for number, cells in enumerate(grid.rows):
        changed = by_row.get(number, {})
        last = cells[-1].end
        for column in sorted(changed):
            if column < len(cells):
                yield cells[column].start, cells[column].end, changed[column]
        tail = "".join(
            grid.separator + changed.get(column, "") for column in range(len(cells), max(changed, default=0) + 1)
        )
        for fresh in grid.below.get(number, ()):
            length = max(len(grid.rows[0]), max(by_row[fresh]) + 1)
            tail += end_of_line + grid.separator.join(by_row[fresh].get(column, "") for column in range(length))
        if tail:
            yield last, last, tail


def _quoted(shown: str, separator: str) -> str:
    if any(sign in shown for sign in (separator, '"', "\n", "\r")):
        return '"' + shown.replace('"', '""') + '"'
    return shown
