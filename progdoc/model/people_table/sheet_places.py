"""Where the rows and cells of a sheet stand in the bytes of its part (.xlsx, ECMA-376 part 1, 18.3)."""

from __future__ import annotations

import re
from dataclasses import field
from typing import NoReturn
from xml.parsers import expat

from progdoc.core.late_dataclass import dataclass
from progdoc.model.people_table.workbook import column_of

__all__ = ["CellPlace", "NotPlainError", "RowPlace", "SheetPlaces", "end_of_tag", "places_in"]

_PLAIN = (None, "utf-8", "us-ascii")
_MARKS = re.compile(rb"[\"'>]")


class NotPlainError(ValueError):
    """A part whose bytes can't be told apart well enough to change some of them."""


@dataclass(slots=True)
class CellPlace:
    """A cell: from where to where, its style, and whether it is more than a value."""

    start: int
    end: int
    style: str | None
    is_reckoned: bool = False  # a formula, or a value that the spreadsheet makes of others


@dataclass(slots=True)
class RowPlace:
    """A row: its opening tag, where its cells end, where it ends itself, and its cells by column, counted from 0."""

    start: int
    opened: int
    inner_end: int
    end: int
    is_empty: bool
    cells: dict[int, CellPlace] = field(default_factory=dict)


@dataclass(slots=True)
class SheetPlaces:
    """The rows of a sheet by number, and what else has to be known to write into them."""

    prefix: str = ""  # of the names of elements: "x:" or ""
    rows: dict[int, RowPlace] = field(default_factory=dict)
    rows_end: int = -1  # where a last row would be put in; -1: there is no place for one
    column_styles: dict[int, str] = field(default_factory=dict)
    dimension: tuple[int, int] = (0, 0)  # from where to where the area in use is said
    areas: list[str] = field(default_factory=list)  # filled by one formula each
    is_protected: bool = False
    tables: int = 0


def end_of_tag(data: bytes, start: int) -> int:
    """Return where the tag ends that begins at a place, after its sign.

    >>> end_of_tag(b'<c r="A>1"/><v>', 0)
    12
    """
    place = start
    while found := _MARKS.search(data, place):
        if found[0] == b">":
            return found.end()
        place = data.index(found[0], found.end()) + 1
    raise NotPlainError("a tag does not end")


def places_in(data: bytes) -> SheetPlaces:
    """Return where everything stands in the part of a sheet.

    Raises
    ------
    NotPlainError
        If it is not in UTF-8, or its rows and cells do not say which they are.
    """
    reading = _Reading(data)
    try:
        reading.parser.Parse(data, True)
    except (expat.ExpatError, KeyError, ValueError) as error:
        raise NotPlainError("its sheet is not written as spreadsheets do") from error
    if reading.found.rows_end < 0:
        raise NotPlainError("its sheet has no rows")
    return reading.found


class _Reading:
    """The reading of one part: each element is noted by the bytes it stands at."""

    def __init__(self, data: bytes) -> None:
        self.data, self.found = data, SheetPlaces()
        self.row: RowPlace | None = None
        self.cell: CellPlace | None = None
        self.is_in_data = False  # elsewhere, as in anchors of buttons, a row is another thing
        self.parser = expat.ParserCreate()
        self.parser.StartElementHandler, self.parser.EndElementHandler = self.start, self.end
        self.parser.XmlDeclHandler, self.parser.StartDoctypeDeclHandler = self.declared, self.refuse

    def refuse(self, *_: object) -> NoReturn:
        raise NotPlainError("it declares a document type")

    def declared(self, _version: str, encoding: str | None, _alone: int) -> None:
        if (encoding.lower() if encoding else None) not in _PLAIN:
            self.refuse()

    def start(self, name: str, told: dict[str, str]) -> None:
        local, at = name.rpartition(":")[2], self.parser.CurrentByteIndex
        if self.data[at : at + 1] != b"<":
            self.refuse()
        if local == "sheetData":
            self.found.prefix, self.is_in_data = name.removesuffix(local), True
        elif not self.is_in_data:
            self._note(local, told, at)
        elif local == "row":
            opened = end_of_tag(self.data, at)
            is_empty = self.data[opened - 2 : opened] == b"/>"
            self.row = self.found.rows[int(told["r"])] = RowPlace(at, opened, opened, opened, is_empty)
        elif local == "c" and self.row is not None:
            opened = end_of_tag(self.data, at)
            self.cell = CellPlace(at, opened, told.get("s"), bool({"cm", "vm"} & told.keys()))
            self.row.cells[column_of(told["r"]) - 1] = self.cell
        elif local == "f" and self.cell is not None:
            self.cell.is_reckoned = True
            self.found.areas += [told["ref"]] if told.get("t") in ("array", "dataTable") and "ref" in told else []

    def _note(self, local: str, told: dict[str, str], at: int) -> None:
        if local == "col" and "style" in told:
            first, last = int(told["min"]), int(told["max"])
            self.found.column_styles.update(dict.fromkeys(range(first - 1, min(last, 16_384)), told["style"]))
        elif local == "dimension" and "ref" in told:
            self.found.dimension = (at, end_of_tag(self.data, at))
        elif local == "sheetProtection":
            self.found.is_protected = told.get("sheet") in ("1", "true")
        elif local == "tablePart":
            self.found.tables += 1

    def end(self, name: str) -> None:
        local, at = name.rpartition(":")[2], self.parser.CurrentByteIndex
        if local == "c" and self.cell is not None:
            if self.data[self.cell.end - 2 : self.cell.end] != b"/>":
                self.cell.end = end_of_tag(self.data, at)
            self.cell = None
        elif local == "row" and self.row is not None:
            if not self.row.is_empty:
                self.row.inner_end, self.row.end = at, end_of_tag(self.data, at)
            self.row = None
        elif local == "sheetData":
            self.found.rows_end = at if self.data[at : at + 2] == b"</" else -1
            self.is_in_data = False
