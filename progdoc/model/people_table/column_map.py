"""What the user confirmed about the columns of a table: the file `people.columns.yaml` beside `people.xlsx`.

    dates: m/d/y
    sheets:
      Staff:
        rows: people
        columns: {"Employee #": id, "Date tested": fit_date, "Locker": not used}
      Old list: not used

A sheet of a CSV is called like its file, without the ending. Whatever is not understood is refused with its place.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import field
from typing import TypeVar

from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, same
from progdoc.core.unread import Unread
from progdoc.model.people_table.people_columns import DateOrder, RowKind, columns_of, table_fault
from progdoc.model.yaml.yaml_file import Bounds, read_content
from progdoc.model.yaml.yaml_reader import column_file_of
from progdoc.model.yaml.yaml_tree import Node

__all__ = ["NOT_USED", "ColumnMap", "SheetMap", "column_map", "same_heading", "to_paste"]

NOT_USED = "not used"
T = TypeVar("T")
_ORDERS = {
    "m/d/y": DateOrder.MONTH_FIRST,
    "month-first": DateOrder.MONTH_FIRST,
    "d/m/y": DateOrder.DAY_FIRST,
    "day-first": DateOrder.DAY_FIRST,
}
_COUNTS = {"1900": False, "1904": True}


@dataclass(frozen=True, slots=True)
class SheetMap:
    """What is confirmed of one sheet; `columns` by headings as `same_heading` spells them, each with its place."""

    rows: RowKind | None = None  # None: the sheet is not used
    headings: int = 0  # in which row they stand; 0: the first that holds anything
    columns: Mapping[str, tuple[str, Location]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ColumnMap:
    """What is confirmed of one file."""

    name: str
    dates: DateOrder | None = None
    serial_dates: bool | None = None  # whether plain numbers are days, and counted from 1904
    sheets: Mapping[str, SheetMap] = field(default_factory=dict)


def same_heading(text: str) -> str:
    """Return a heading as it is compared: in one line, in small letters."""
    return " ".join(text.split()).casefold()


def to_paste(sheet: str, rows: RowKind, headings: int, columns: Iterable[tuple[str, str]]) -> str:
    """Return the line of a column file for a sheet, to stand under `sheets:`.

    >>> to_paste("Staff", RowKind.PEOPLE, 0, [("Emp #", "id")])
    '"Staff": {rows: people, columns: {"Emp #": id}}'
    """
    told = ", ".join(f"{_quoted(heading)}: {column}" for heading, column in columns)
    at = f"headings: {headings}, " if headings else ""
    return f"{_quoted(sheet)}: {{rows: {rows.value}, {at}columns: {{{told}}}}}"


def _quoted(text: str) -> str:
    return json.dumps(" ".join(text.split()), ensure_ascii=False)


def column_map(table: str, files: Mapping[str, bytes | Unread]) -> tuple[ColumnMap, list[Diagnostic]]:
    """Return what is confirmed of a table's columns, and what of it is not understood."""
    name = column_file_of(table)
    content = files.get(name)
    if content is None:
        return ColumnMap(name), []
    tree = read_content(content, name, Bounds(most_bytes=1_000_000))
    reading = _Reading(name)
    found = reading.whole(tree.top)
    return found, [*tree.diagnostics, *reading.faults]


@dataclass(slots=True)
class _Reading:
    """The reading of one column file."""

    name: str
    faults: list[Diagnostic] = field(default_factory=list)

    def whole(self, top: Mapping[str, Node]) -> ColumnMap:
        dates, serial, sheets = None, None, {}
        for key, node in top.items():
            if key == "dates":
                dates = self._one_of(node, _ORDERS, "dates")
            elif key == "serial_dates":
                serial = self._one_of(node, _COUNTS, "serial_dates")
            elif key == "sheets" and isinstance(node.content, dict):
                sheets = {" ".join(name.split()): self._sheet(inner) for name, inner in node.content.items()}
            else:
                self._fault(
                    node,
                    said("This is not understood here."),
                    said("Known are `dates:`, `serial_dates:` and `sheets:`."),
                )
        return ColumnMap(self.name, dates, serial, sheets)

    def _sheet(self, node: Node) -> SheetMap:
        if node.content == NOT_USED:
            return SheetMap()
        group = node.content if isinstance(node.content, dict) else {}
        rows = self._one_of(group["rows"], {kind.value: kind for kind in RowKind}, "rows") if "rows" in group else None
        if rows is None:
            kinds = ", ".join(RowKind)
            if "rows" not in group:
                fix = said("Write `rows:` with one of: %(kinds)s.", kinds=same(kinds))
                self._fault(node, said("Nothing says what a row of this sheet is."), fix)
            return SheetMap()
        headings = 0
        columns: dict[str, tuple[str, Location]] = {}
        for key, inner in group.items():
            if key == "headings" and isinstance(inner.content, str) and inner.content.isdecimal():
                headings = int(inner.content[:7])
            elif key == "columns" and isinstance(inner.content, dict):
                columns = self._columns(inner.content, rows)
            elif key != "rows":
                fix = said("Of a sheet are known `rows:`, `headings:` (a row's number) and `columns:`.")
                self._fault(inner, said("This is not understood here."), fix)
        return SheetMap(rows, headings, columns)

    def _columns(self, group: Mapping[str, Node], rows: RowKind) -> dict[str, tuple[str, Location]]:
        known = columns_of(rows)
        found: dict[str, tuple[str, Location]] = {}
        for heading, node in group.items():
            if isinstance(node.content, str) and (node.content in known or node.content == NOT_USED):
                found[same_heading(heading)] = (node.content, self._place(node))
            else:
                fix = said(
                    "Write %(word)s, or one of: %(columns)s.",
                    word=same(f"`{NOT_USED}`"),
                    columns=same(", ".join(known)),
                )
                self._fault(node, said("No column is called so."), fix)
        return found

    def _one_of(self, node: Node, known: Mapping[str, T], key: str) -> T | None:
        found = known.get(node.content) if isinstance(node.content, str) else None
        if found is None:
            what = said("%(key)s is not understood.", key=same(f"`{key}:`"))
            self._fault(node, what, said("Write one of: %(words)s.", words=same(", ".join(known))))
        return found

    def _place(self, node: Node) -> Location:
        return Location(self.name, node.line, node.column, "people")

    def _fault(self, node: Node, what: str, fix: str) -> None:
        self.faults.append(table_fault("CSV-013", self._place(node), what, fix))
