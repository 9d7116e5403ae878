"""Which cells of a table a record takes, whatever the table was saved as: nothing is written here.

A record goes into the first row of its person (or single mask) that has nothing of its kind yet, or else into a new
one. Where a sheet holds fit tests or trainings alone, theirs go there. A column that is missing is added at the right.
Days are written as the others of the table are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field
from datetime import date

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.people import Topic
from progdoc.model.people_table.csv_text import CsvCell
from progdoc.model.people_table.people_columns import DateOrder, RowKind, columns_of
from progdoc.model.people_table.sheet import SheetRow
from progdoc.model.people_table.sheet_columns import SheetColumns

__all__ = ["Cells", "Grid", "KeptByHandError", "Written", "add_records", "grid_of"]

_STROKES = re.compile(r"[0-9]{1,2}([/.-])[0-9]{1,2}\1[0-9]{4}")
_NUMBER = re.compile(r"[0-9]{1,9}(\.[0-9]{1,6})?")
_SINGLE = ("", "appendix_d", "cylinder", "withdrawn")  # of these there is one, not a list
_LISTED = {"fit_tests": RowKind.FIT_TESTS, "training": RowKind.TRAINING}


class KeptByHandError(Exception):
    """A table that only its owner can change here: which, why, and what to do."""

    def __init__(self, file: str, what: str, fix: str) -> None:
        super().__init__(what)
        self.file, self.what, self.fix = file, what, fix


@dataclass(frozen=True, slots=True)
class Cells:
    """One record by its keys: to be added to a group ("masks", "training"; "" for facts), or taken out."""

    person: str  # the id; of a single mask or a cylinder its own
    group: str
    values: Mapping[str, str | Sequence[str]]
    is_taken: bool = False
    of_record: int = -1  # what is added to a cell of this record of the group, in the order of the rows; -1: a record
    name: str = ""  # of the person
    mask: str = ""  # of a single mask, the id of its kind
    of: RowKind = RowKind.PEOPLE  # what it is about: a person, a single mask or a cylinder


@dataclass(frozen=True, slots=True)
class Written:
    """What a cell is to hold: a text, a day ("day") or a number ("number"), as the table writes it."""

    text: str
    kind: str = "text"


@dataclass(slots=True)
class Grid:
    """The rows of a table by their numbers, what is written into them, and new rows by the row they stand below."""

    columns: SheetColumns
    rows: dict[int, SheetRow]
    head: int
    body: list[int]
    separator: str
    order: DateOrder | None
    places: dict[tuple[str, str], int]  # the columns, by the list of records and the key
    width: int
    next_row: int
    written: dict[tuple[int, int], Written] = field(default_factory=dict)
    below: dict[int, list[int]] = field(default_factory=dict)
    strokes: dict[int, str] = field(default_factory=dict)  # between the parts of a day, by column; "" year first
    whose: dict[tuple[str, str, str], list[int]] = field(default_factory=dict)  # rows by id, name and mask, once asked

    @property
    def kind(self) -> RowKind:
        return self.columns.rows

    def text(self, row: int, column: int) -> str:
        if (row, column) in self.written:
            return self.written[row, column].text
        cells = self.rows.get(row, [])
        return cells[column].text if column < len(cells) else ""

    def said(self, row: int, group: str, key: str) -> str:
        return self.text(row, self.places[group, key]) if (group, key) in self.places else ""

    def column(self, group: str, key: str) -> int:
        """Return where a column is; one that is missing is begun at the right."""
        if (group, key) not in self.places:
            self.places[group, key] = self.width
            self.written[self.head, self.width] = Written(self.heading(group, key))
            self.width += 1
        return self.places[group, key]

    def heading(self, group: str, key: str) -> str:
        """Return what we call a column here; of two names the short one."""
        return min((name for name, target in columns_of(self.kind).items() if target[:2] == (group, key)), key=len)

    def new_row(self, below: int) -> int:
        self.below.setdefault(below, []).append(self.next_row)
        self.next_row += 1
        return self.next_row - 1


def grid_of(columns: SheetColumns, separator: str, order: DateOrder | None) -> Grid:
    """Return a sheet that was understood, ready to be written into. Rows of a workbook have the numbers shown there."""
    sheet, known = columns.sheet, columns_of(columns.rows)
    numbers = [row[0].line if sheet.is_workbook else number for number, row in enumerate(sheet.rows)]
    head = len(sheet.rows) - len(columns.body) - 1
    return Grid(
        columns,
        dict(zip(numbers, sheet.rows, strict=True)),
        numbers[head],
        numbers[head + 1 :],
        separator,
        order,
        {known[name][:2]: index for index, name in columns.names.items()},
        max(map(len, sheet.rows)),
        numbers[-1] + 1,
    )


def add_records(grids: Sequence[Grid], records: Sequence[Cells]) -> None:
    """Write records into the tables of one description.

    Raises
    ------
    KeyError
        If a record is of somebody who stands in no row.
    """
    for record in records:
        if record.of is not RowKind.PEOPLE:
            _enter(_first(grids, (record.of,), record), record)
        elif record.of_record >= 0:
            _add_to(grids, record)
        elif any(grid.kind is _LISTED.get(record.group) for grid in grids):
            _enter(_first(grids, (_LISTED[record.group],), record), record)
        else:
            grid = _first(grids, (RowKind.PEOPLE,), record)
            (_take if record.is_taken else _enter)(grid, record)


def _first(grids: Sequence[Grid], kinds: Sequence[RowKind], record: Cells) -> Grid:
    """Return the table of a kind in which somebody stands, or else the first of the kind."""
    found = [grid for grid in grids if grid.kind in kinds]
    if not found:
        raise KeyError(record.person)
    return next((grid for grid in found if _rows_of(grid, record)), found[0])


# ---- into which row -----------------------------------------------------------------------------------


def _rows_of(grid: Grid, record: Cells) -> list[int]:
    """Return the rows of a person, by id or, where a sheet of events has no id, by name."""
    wanted = " ".join(record.name.split()).casefold()
    if not grid.whose:
        for row in grid.body:
            grid.whose.setdefault(_whose(grid, row), []).append(row)
    by_name = grid.whose.get(("", wanted, ""), ()) if wanted and grid.kind in _LISTED.values() else ()
    return sorted((*grid.whose.get((record.person, "", record.mask), ()), *by_name))


def _whose(grid: Grid, row: int) -> tuple[str, str, str]:
    """Return the id that a row names, or without one the name; and of a single mask the id of its kind."""
    identity = grid.said(row, "", "id")
    name = "" if identity else " ".join(grid.said(row, "", "name").split()).casefold()
    return identity, name, grid.said(row, "", "mask")


def _enter(grid: Grid, record: Cells) -> None:
    mine = _rows_of(grid, record)
    if not mine and record.group and grid.kind is RowKind.PEOPLE:
        raise KeyError(record.person)
    row = _row_for(grid, mine, record)
    if row is None:
        last = max((number for number in mine if number in grid.rows), default=max(grid.rows))
        row = grid.new_row(last)
        _name_row(grid, row, record)
    _write(grid, row, record)


def _name_row(grid: Grid, row: int, record: Cells) -> None:
    """Write whose a new row is."""
    told = {"id": record.person, "mask": record.mask, "name": record.name}
    if grid.kind is RowKind.PEOPLE:
        told = {"id": record.person}
    for key, text in told.items():
        if text and ("", key) in grid.places:
            grid.written[row, grid.places["", key]] = Written(text)
    grid.whose.setdefault(_whose(grid, row), []).append(row)


def _row_for(grid: Grid, mine: list[int], record: Cells) -> int | None:
    if record.group in _SINGLE and mine:
        return next((row for row in mine if any(grid.said(row, record.group, key) for key in record.values)), mine[0])
    return next((row for row in mine if _is_free(grid, row, record)), None)


def _is_free(grid: Grid, row: int, record: Cells) -> bool:
    """Whether a row has nothing of the record's group, and would lend it nothing; a fit test takes mask and size."""
    told = {key: grid.said(row, group, key) for group, key in grid.places if group == record.group}
    if grid.kind is RowKind.FIT_TESTS:  # a list made beforehand says who and which mask
        is_for_it = all(record.values.get(key, "") == told.pop(key, "") for key in ("mask", "size") if told.get(key))
        return is_for_it and not any(told.values())
    if any(told.values()):
        return False
    if record.group == "masks":
        return not any(_of_group(grid, row, "fit_tests"))
    if record.group == "fit_tests" and (worn := grid.said(row, "masks", "mask")):
        return worn == record.values["mask"] and grid.said(row, "masks", "size") == record.values.get("size", "")
    return True


def _of_group(grid: Grid, row: int, group: str) -> Iterator[str]:
    yield from filter(None, (grid.said(row, group, key) for of, key in grid.places if of == group))


# ---- what is written ----------------------------------------------------------------------------------


def _write(grid: Grid, row: int, record: Cells) -> None:
    group = record.group
    for key, value in record.values.items():
        is_lent = group == "fit_tests" and (group, key) not in grid.places and grid.said(row, "masks", key) == value
        if not is_lent or key not in ("mask", "size"):
            column = grid.column(group, key)
            grid.written[row, column] = _shown(grid, column, group, key, value)


def _add_to(grids: Sequence[Grid], record: Cells) -> None:
    """Write one more into a cell that holds several, of a record that stands there."""
    order = (RowKind.PEOPLE, RowKind.FIT_TESTS, RowKind.TRAINING)
    rows = [
        (grid, row)
        for kind in order
        for grid in grids
        if grid.kind is kind
        for row in _rows_of(grid, record)
        if any(_of_group(grid, row, record.group))
    ]
    grid, row = rows[record.of_record]
    for key, value in record.values.items():
        before = grid.said(row, record.group, key)
        grid.written[row, grid.column(record.group, key)] = Written(f"{before}; {value}" if before else str(value))


def _take(grid: Grid, record: Cells) -> None:
    """Empty the cells of a mask; a fit test beside it that took mask and size from there is given its own."""
    for row in _rows_of(grid, record):
        if grid.said(row, "masks", "mask") != record.values["mask"]:
            continue
        has_test = any(_of_group(grid, row, "fit_tests"))
        if has_test and grid.said(row, "fit_tests", "mask") in ("", record.values["mask"]):
            for key in ("mask", "size"):
                if grid.said(row, "masks", key) and not grid.said(row, "fit_tests", key):
                    grid.written[row, grid.column("fit_tests", key)] = Written(grid.said(row, "masks", key))
        for group, key in list(grid.places):
            if group == record.group and grid.said(row, group, key):
                grid.written[row, grid.places[group, key]] = Written("")


def _shown(grid: Grid, column: int, group: str, key: str, value: str | Sequence[str]) -> Written:
    kind = columns_of(grid.kind)[grid.heading(group, key)][2]
    if kind == "numbers":
        return Written(" ".join(value))
    if not isinstance(value, str):
        is_all = key == "topics" and set(value) == {topic.value for topic in Topic}
        return Written("all" if is_all else (", " if grid.separator != "," else "; ").join(value))
    if kind == "day":
        return Written(_day(grid, column, value), "day")
    return Written(value, "number" if key == "fit_factor" and _NUMBER.fullmatch(value) else "text")


def _day(grid: Grid, column: int, value: str) -> str:
    """Return a day as the column writes it, or where it has none as the table does."""
    if column not in grid.strokes:
        rows = [grid.rows[number] for number in grid.body]
        below = [cell for row in rows for cell in row[column : column + 1] if cell.text]
        shown: list[CsvCell] = below or [cell for row in rows for cell in row]
        grid.strokes[column] = next((found[1] for cell in shown if (found := _STROKES.fullmatch(cell.text))), "")
    stroke = grid.strokes[column]
    if not stroke or grid.order is None:
        return value
    day = date.fromisoformat(value)
    parts = (day.month, day.day) if grid.order is DateOrder.MONTH_FIRST else (day.day, day.month)
    return stroke.join(map(str, (*parts, day.year)))
