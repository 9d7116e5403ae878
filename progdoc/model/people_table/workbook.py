"""A workbook (.xlsx, ECMA-376 part 1) to sheets of cells, as its owner sees them; nothing in it is ever run.

Only the parts that hold sheets, texts and number formats are unpacked, piece by piece and within bounds, whatever size
the archive claims; one that claims more than is read, or whose values are too many when counted in its bytes, is
refused before any cell is parsed. Formulas give the value that was stored with them. What a reader of bare cells would
miss is told: hidden rows, columns and sheets, merged cells, errors, formulas that nobody computed. Macros are left in
the archive.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import field
from datetime import date, timedelta
from io import BytesIO
from zipfile import BadZipFile, ZipFile

from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_number, same
from progdoc.model.people_table.csv_text import CsvCell, TableError
from progdoc.model.people_table.sheet import MOST_CELLS, MOST_COLUMNS, Sheet, SheetRow, letters
from progdoc.model.people_table.workbook_parts import MOST_UNPACKED, Parts, home_of, targets
from progdoc.model.people_table.xml_events import DamagedPartError

__all__ = [
    "MOST_UNPACKED",
    "Styles",
    "column_of",
    "day_of_serial",
    "sheets_of_workbook",
    "sheets_up_to_damage",
    "styles_in",
    "texts_of_workbook",
]

_MOST_OF_DAMAGED = 20_000_000  # bytes of a damaged workbook, or one too large, that are searched for texts
_MOST_TAGS_OF_DAMAGED = 1_000_000
_MOST_SHEETS = 100
_KINDS = ("sharedStrings", "styles")
_SHARED = "xl/sharedstrings.xml"
_LONGEST, _MOST_PIECES = 200, 10  # of a text of a damaged workbook: signs of a piece, and pieces
_OLD_FORM = b"\xd0\xcf\x11\xe0"  # of .xls, and of a workbook locked by a password
_UNREADABLE = (BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError, KeyError, zlib.error)
_BLANKS = " \t\r\n\u00a0\u2007\u202f\ufeff"
_REFERENCE = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
# Number formats that come without a code and show a day, ECMA-376 part 1, 18.8.30 (from memory).
_DAY_FORMATS = frozenset({*range(14, 18), 22, *range(27, 37), *range(50, 59)})
_NOT_SHOWN = re.compile(r'"[^"]{0,255}"|\[[^\]]{0,255}\]|[\\_*].')
_ONLY_ZEROS = re.compile(r"0{2,20}")
_TRUE = ("1", "true")


_NOTES = ("comments", "threadedComment")


@dataclass(slots=True)
class Styles:
    """Which styles of cells show a day, and which show a whole number with zeros before it, and how many digits."""

    days: set[int] = field(default_factory=set)
    digits: dict[int, int] = field(default_factory=dict)
    struck: set[int] = field(default_factory=set)  # through which letters are struck


def sheets_of_workbook(data: bytes) -> list[Sheet]:
    """Return the sheets of a workbook in their order, chart sheets left out.

    Raises
    ------
    TableError
        If it is no workbook, is damaged, or holds more than may be read.
    """
    if data.startswith(_OLD_FORM):
        raise TableError(said("The file is an old .xls, or locked by a password"))
    try:
        with ZipFile(BytesIO(data)) as archive:
            parts = Parts(archive, MOST_UNPACKED)
            if "mimetype" in parts.names:
                raise TableError(said("The file is a spreadsheet of another form than .xlsx"))
            return list(_sheets(parts))
    except TableError:
        raise
    except DamagedPartError as error:
        raise TableError(said("A part of the workbook is damaged, or is no part of a workbook")) from error
    except _UNREADABLE as error:
        raise TableError(said("The file is no workbook (.xlsx), or is damaged")) from error


def sheets_up_to_damage(data: bytes) -> tuple[list[Sheet], bool]:
    """Return the sheets of a workbook that come before it is damaged, if it is, and whether these are all."""
    found: list[Sheet] = []
    try:
        with ZipFile(BytesIO(data)) as archive:
            found.extend(_sheets(Parts(archive, MOST_UNPACKED)))  # as far as it comes
    except (TableError, DamagedPartError, *_UNREADABLE):
        return found, False
    return found, True


def texts_of_workbook(data: bytes) -> Iterator[str]:
    """Yield whatever short text still can be had of a damaged workbook or one too large, in no form, within bounds."""
    with suppress(TableError, *_UNREADABLE), ZipFile(BytesIO(data)) as archive:
        parts = Parts(archive, _MOST_OF_DAMAGED, _MOST_TAGS_OF_DAMAGED)
        names = [name for name in parts.names if name.startswith("xl/") and name.endswith(".xml")]
        for name in sorted(names, key=lambda name: name != _SHARED):  # there most keep the texts of all sheets
            text: list[str] = []
            with suppress(DamagedPartError, *_UNREADABLE):
                for event, piece, _ in parts.events(name):
                    if event == "text" and len(text) < _MOST_PIECES:
                        text.append(piece[:_LONGEST])
                    elif event != "text" and text:
                        yield "".join(text).strip(_BLANKS)
                        text.clear()
            if text:
                yield "".join(text).strip(_BLANKS)


def _sheets(parts: Parts) -> Iterator[Sheet]:
    home = home_of(parts)
    parts.refuse_too_large([home])
    named: list[tuple[str, str, bool]] = []
    has_1904_days = False
    for event, name, attributes in parts.events(home):
        if event == "start" and name == "workbookPr":
            has_1904_days = attributes.get("date1904") in _TRUE
        elif event == "start" and name == "sheet":
            named.append((attributes["name"], attributes["id"], attributes.get("state", "visible") != "visible"))
            if len(named) > _MOST_SHEETS:
                raise TableError(said("The workbook has over %(most)s sheets", most=_MOST_SHEETS))
    if not named:
        raise TableError(said("The workbook has no sheet"))
    found = targets(parts, home)
    of_sheets = [found[relation][1] for _, relation, _ in named if relation in found]  # one may be there several times
    parts.refuse_too_large([*of_sheets, *(part for kind, part in found.values() if kind in _KINDS)])
    texts = next((list(_texts(parts, part)) for kind, part in found.values() if kind == "sharedStrings"), [])
    styles = next((styles_in(parts, part) for kind, part in found.values() if kind == "styles"), Styles())
    for name, relation, is_hidden in named:
        kind, part = found[relation]
        if kind == "worksheet":
            yield _SheetReader(parts, texts, styles, has_1904_days).read(part, name, is_hidden)


def _texts(parts: Parts, part: str) -> Iterator[str]:
    """Yield the texts that cells share; how they are pronounced (`rPh`) is no part of them."""
    text: list[str] = []
    taken = is_spoken = False
    for event, name, _ in parts.events(part):
        if event == "text":
            if taken and not is_spoken:
                text.append(name)
        elif name == "t":
            taken = event == "start"
        elif name == "rPh":
            is_spoken = event == "start"
        elif name == "si" and event == "end":
            yield "".join(text).strip(_BLANKS)
            text.clear()


def styles_in(parts: Parts, part: str) -> Styles:
    codes: dict[int, str] = {}
    styles = Styles()
    is_of_cells, is_of_fonts, count, font = False, False, 0, -1
    fonts: set[int] = set()
    for event, name, attributes in parts.events(part):
        if name == "cellXfs":
            is_of_cells = event == "start"
        elif name == "fonts":
            is_of_fonts = event == "start"
        elif event == "start" and name == "font" and is_of_fonts:
            font += 1
        elif event == "start" and name == "strike" and is_of_fonts and attributes.get("val", "1") in _TRUE:
            fonts.add(font)
        elif event == "start" and name == "numFmt":
            codes[int(attributes["numFmtId"])] = attributes["formatCode"]
        elif event == "start" and name == "xf" and is_of_cells:
            number = int(attributes.get("numFmtId", "0"))
            code = codes.get(number, "")
            if number in _DAY_FORMATS or _shows_a_day(code):
                styles.days.add(count)
            elif _ONLY_ZEROS.fullmatch(code):
                styles.digits[count] = len(code)
            if int(attributes.get("fontId", "0")) in fonts:
                styles.struck.add(count)
            count += 1
    return styles


def _shows_a_day(code: str) -> bool:
    """Whether a number format shows a day, perhaps with a time.

    >>> [_shows_a_day(code) for code in ("m/d/yyyy", '0.00" days"', "[h]:mm", "[$-409]d-mmm-yy;@", "mmm yy")]
    [True, False, False, True, True]
    """
    shown = _NOT_SHOWN.sub("", code.partition(";")[0]).lower()
    return "d" in shown or "y" in shown


def day_of_serial(serial: float, has_1904_days: bool = False) -> date | None:
    """Return the day that a spreadsheet counts as a number, ECMA-376 part 1, 18.17.4 (from memory); None where none is.

    Day 60 of the usual count is 29 February 1900, which never was.

    >>> day_of_serial(46070), day_of_serial(1, has_1904_days=True), day_of_serial(60)
    (datetime.date(2026, 2, 17), datetime.date(1904, 1, 2), None)
    """
    number = int(serial) if 0 <= serial < 2_958_466 else -1
    if has_1904_days:
        return date(1904, 1, 1) + timedelta(days=number) if 0 <= number < 2_957_000 else None
    if number < 1 or number == 60:
        return None
    return date(1899, 12, 30 if number > 60 else 31) + timedelta(days=number)


@dataclass(slots=True)
class _SheetReader:
    """The reading of one sheet."""

    parts: Parts
    texts: list[str]
    styles: Styles
    has_1904_days: bool
    rows: list[SheetRow] = field(default_factory=list)
    row: SheetRow = field(default_factory=list)
    number: int = 0
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: int = 0  # a bit of each: however many ranges overlap, each costs little
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    formulas: set[tuple[int, int]] = field(default_factory=set)
    valueless: set[tuple[int, int]] = field(default_factory=set)
    struck: set[tuple[int, int]] = field(default_factory=set)

    def read(self, part: str, name: str, is_hidden: bool) -> Sheet:
        held: list[str] = []
        cell: dict[str, str] = {}
        column, taken, is_spoken = 0, False, False
        for event, element, attributes in self.parts.events(part):
            if event == "text":
                if taken and not is_spoken:
                    held.append(element)
            elif element in ("v", "t"):
                taken = event == "start"
            elif element == "rPh":
                is_spoken = event == "start"
            elif element == "f" and event == "start":
                cell["f"] = "yes"
            elif element == "c" and event == "start":
                cell = dict(attributes)
                held.clear()
                column = column_of(cell["r"]) if "r" in cell else column + 1
            elif element == "c":
                self._take(cell, column, "".join(held))
            elif element == "row" and event == "start":
                self._begin_row(attributes)
                column = 0
            elif event == "start":
                self._note(element, attributes)
        self._end_row()
        hidden_columns = frozenset(at for at in range(1, MOST_COLUMNS + 1) if self.hidden_columns >> at & 1)
        beside = [kind for kind, _ in targets(self.parts, part).values()]
        return Sheet(
            " ".join(name.split()), self.rows, is_hidden, frozenset(self.hidden_rows), hidden_columns,
            tuple(self.merged), frozenset(self.formulas), frozenset(self.valueless), True, self.has_1904_days,
            struck=frozenset(self.struck), has_notes=any(kind in _NOTES for kind in beside),
        )  # fmt: skip

    def _begin_row(self, told: Mapping[str, str]) -> None:
        self._end_row()
        number = int(told.get("r", self.number + 1))
        if not self.number < number <= 1_048_576:
            raise TableError(said("The rows of a sheet stand in no order"), self.number)
        self.number = number
        if told.get("hidden") in _TRUE:
            self.hidden_rows.add(number)

    def _end_row(self) -> None:
        while self.row and not self.row[-1].text and (self.number, len(self.row)) not in self.valueless:
            self.row.pop()
        if self.row:
            self.rows.append(self.row)
        self.row = []

    def _take(self, cell: dict[str, str], column: int, held: str) -> None:
        place = (self.number, column)
        kind = cell.get("t", "n")
        if kind == "e" or ("f" in cell and not held and kind != "str"):  # a formula may give an empty text
            self.valueless.add(place)
            text = ""
        else:
            text = self._shown(kind, held, int(cell.get("s", "0")))
            if "f" in cell and text:
                self.formulas.add(place)
            if text and int(cell.get("s", "0")) in self.styles.struck:
                self.struck.add(place)
        if not text and place not in self.valueless:
            return
        if not len(self.row) < column <= MOST_COLUMNS:
            what = said("The cells of a row stand in no order")
            if column > MOST_COLUMNS:
                what = said("Column %(letter)s is the last that is read", letter=same(letters(MOST_COLUMNS - 1)))
            raise TableError(what, self.number, column)
        self.parts.cells_left -= column - len(self.row)
        if self.parts.cells_left < 0:
            what = said("The workbook has over %(most)s cells", most=said_number(f"{MOST_CELLS:,}"))
            raise TableError(what, self.number, column)
        self.row += [CsvCell("", self.number, at) for at in range(len(self.row) + 1, column)]
        self.row.append(CsvCell(text, self.number, column))

    def _shown(self, kind: str, held: str, style: int) -> str:
        """Return what a cell shows: a day year first, a number plainly."""
        if kind == "s":
            return self.texts[int(held)] if held.isdecimal() and int(held) < len(self.texts) else ""
        if kind == "b":
            return {"1": "yes", "0": "no"}.get(held.strip(), "")
        if kind != "n":
            return held.strip(_BLANKS)
        if not held.strip():
            return ""
        value = float(held)
        if style in self.styles.days:
            day = day_of_serial(value, self.has_1904_days)
            seconds = round((value % 1) * 86_400) % 86_400
            time = f" {seconds // 3600:02}:{seconds // 60 % 60:02}" if seconds else ""
            return f"{day}{time}" if day else f"{value:.15g}"
        shown = str(int(value)) if value == value // 1 and abs(value) < 1e15 else f"{value:.15g}"
        return shown.zfill(self.styles.digits.get(style, 0))

    def _note(self, element: str, told: Mapping[str, str]) -> None:
        if element == "col" and told.get("hidden") in _TRUE:
            first, last = max(int(told["min"]), 1), min(int(told["max"]), MOST_COLUMNS)
            if first <= last:
                self.hidden_columns |= (2 << last) - (1 << first)
        elif element == "mergeCell":
            if len(self.merged) >= MOST_CELLS:
                most = said_number(f"{MOST_CELLS:,}")
                raise TableError(said("The workbook has over %(most)s merged cells", most=most))
            first_cell, _, last_cell = told["ref"].partition(":")
            ends = [_REFERENCE.fullmatch(end) for end in (first_cell, last_cell or first_cell)]
            if ends[0] and ends[1]:
                columns = [column_of(end[0]) for end in ends if end]
                self.merged.append((int(ends[0][2]), columns[0], int(ends[1][2]), columns[1]))


def column_of(reference: str) -> int:
    """Return the column of a cell, counted from 1.

    >>> column_of("A1"), column_of("AB7")
    (1, 28)
    """
    name = reference.rstrip("0123456789")
    if not (0 < len(name) <= 3 and name.isascii() and name.isupper() and name.isalpha()):
        raise TableError(said("A cell has no place"))
    number = 0
    for letter in name:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number
