"""Puts the cells of records into a workbook (.xlsx) of the user's own: into the part of their sheet, and nowhere else.

Other sheets, formats, formulas, widths, comments, pictures and macros stay as they are, part by part. New rows stand
below all others, since nothing that points to a row would follow one that moves. What is written is read again, and
every other cell has to be as it was. Elements and attributes: ECMA-376 part 1, 18.2 and 18.3 (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from io import BytesIO
from xml.sax.saxutils import escape
from zipfile import ZipFile

from progdoc.core.printable import printable
from progdoc.core.said import said, same
from progdoc.model.people_table.record_rows import Grid, KeptByHandError, Written
from progdoc.model.people_table.sheet import letters
from progdoc.model.people_table.sheet_places import (
    CellPlace,
    NotPlainError,
    RowPlace,
    SheetPlaces,
    end_of_tag,
    places_in,
)
from progdoc.model.people_table.workbook import Styles, column_of, sheets_of_workbook, styles_in
from progdoc.model.people_table.workbook_parts import MOST_UNPACKED, Parts, home_of, targets

__all__ = ["workbook_with"]

_BY_HAND = said("Enter it there by hand; or write the people anew by `progdoc sheets PATH -o people.xlsx`.")
_SPANS = re.compile(rb'\sspans="[^"]{0,200}"')
_SIGNED = "_xmlsignatures/"
_CELL = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_ATTRIBUTE = re.compile(rb"\s([A-Za-z]{1,40})=[\"']([^\"'<>&]{0,200})[\"']")
_RECKONING = re.compile(rb"<(?:\w{1,20}:)?calcPr[\s/>]")
# What says how formulas are worked out follows the last of these.
_BEFORE_RECKONING = re.compile(
    rb"<(/?)((?:\w{1,20}:)?)(?:sheets|functionGroups|externalReferences|definedNames)\s{0,9}(/?)>"
)
_Span = tuple[int, int, bytes]


def workbook_with(name: str, data: bytes, grids: Sequence[Grid]) -> bytes:
    """Return a workbook with what was written into the grids of its sheets.

    Raises
    ------
    KeptByHandError
        If it can't be done so that all else stays.
    """
    try:
        with ZipFile(BytesIO(data)) as archive:
            changed = _parts_with(name, archive, grids)
            made = _packed(archive, changed)
    except NotPlainError as error:
        what = said("The workbook can't be changed in a few cells alone: %(why)s.", why=str(error))
        raise KeptByHandError(name, what, _BY_HAND) from error
    _hold_against(name, data, made, grids)
    return made


def _parts_with(name: str, archive: ZipFile, grids: Sequence[Grid]) -> dict[str, bytes]:
    parts = Parts(archive, MOST_UNPACKED)
    listed = [info.filename for info in archive.infolist()]
    if len(listed) != len(set(listed)) or sum(info.file_size for info in archive.infolist()) > MOST_UNPACKED:
        raise NotPlainError("two of its parts have one name, or it is too large")
    if any(part.startswith(_SIGNED) for part in listed):
        what = said("The workbook is signed, and a change would break its signature.")
        raise KeptByHandError(name, what, said("Take the signature off, or enter it there by hand."))
    home = home_of(parts)
    found = targets(parts, home)
    sheets = {" ".join(one["name"].split()): found[one["id"]][1] for one in _elements(parts, home, "sheet")}
    styles = next((styles_in(parts, part) for kind, part in found.values() if kind == "styles"), Styles())
    changed: dict[str, bytes] = {}
    for grid in grids:
        part = _real_name(parts, sheets[grid.columns.sheet.name])
        text = archive.read(part)
        places = places_in(text)
        _refuse(name, grid, places)
        changed[part] = _spliced(text, _spans(text, grid, places, styles))
        if places.tables and grid.below:
            for table in (target for kind, target in targets(parts, part).values() if kind == "table"):
                table = _real_name(parts, table)
                changed[table] = _table_with(name, archive.read(table), grid)
    if any(_has_formulas(parts, _real_name(parts, part)) for part in sheets.values()):
        home = _real_name(parts, home)
        changed[home] = _reckoned_anew(archive.read(home))
    return changed


def _elements(parts: Parts, part: str, wanted: str) -> Iterator[Mapping[str, str]]:
    return (told for event, name, told in parts.events(part) if event == "start" and name == wanted)


def _has_formulas(parts: Parts, part: str) -> bool:
    return next(_elements(parts, part, "f"), None) is not None


def _real_name(parts: Parts, part: str) -> str:
    return parts.names[part.lower()].filename


def _refuse(name: str, grid: Grid, places: SheetPlaces) -> None:
    sheet = grid.columns.sheet.name
    if places.is_protected:
        what = said("The sheet “%(sheet)s” is protected against changes.", sheet=sheet)
        fix = said("Take the protection off in the spreadsheet, or enter it there by hand.")
        raise KeptByHandError(name, what, fix)
    areas = [_corners(area) for area in places.areas]
    for row, column in grid.written:
        there = places.rows.get(row)
        is_reckoned = there is not None and column in there.cells and there.cells[column].is_reckoned
        if is_reckoned or any(top <= row <= end and left <= column <= right for left, top, right, end in areas):
            what = said(
                "A formula stands in cell %(cell)s of “%(sheet)s”, where the entry goes.",
                cell=same(f"{letters(column)}{row}"),
                sheet=sheet,
            )
            fix = said("Put its value there in place of the formula, or enter it there by hand.")
            raise KeptByHandError(name, what, fix)
    merged = grid.columns.sheet.merged
    if any(top <= row <= end and left <= column + 1 <= right for row, column in grid.written
           for top, left, end, right in merged):  # fmt: skip
        what = said("A merged cell of “%(sheet)s” stands where the entry goes.", sheet=sheet)
        raise KeptByHandError(name, what, said("Unmerge it, or enter it there by hand."))


# ---- cells --------------------------------------------------------------------------------------------


def _spans(text: bytes, grid: Grid, places: SheetPlaces, styles: Styles) -> Iterator[_Span]:
    by_row: dict[int, dict[int, Written]] = {}
    for (row, column), written in grid.written.items():
        by_row.setdefault(row, {})[column] = written
    look = _Look(grid, places, styles)
    fresh = [row for row in sorted(by_row) if row not in places.rows]
    for row, cells in sorted(by_row.items()):
        made = {column: look.cell(row, column, one).encode() for column, one in sorted(cells.items())}
        if row in places.rows:
            yield from _in_row(text, places.rows[row], made, places.prefix)
    for row in fresh:
        after = min((place.start for number, place in places.rows.items() if number > row), default=places.rows_end)
        p, cells_of_row = places.prefix, by_row[row]
        inner = "".join(look.cell(row, column, cells_of_row[column]) for column in sorted(cells_of_row))
        yield after, after, f'<{p}row r="{row}">{inner}</{p}row>'.encode()
    if places.dimension[1]:
        yield from _area(text, places.dimension, grid)


def _in_row(text: bytes, row: RowPlace, made: Mapping[int, bytes], prefix: str) -> Iterator[_Span]:
    if row.is_empty:
        opening = _SPANS.sub(b"", text[row.start : row.opened - 2])
        yield row.start, row.end, opening + b">" + b"".join(made.values()) + f"</{prefix}row>".encode()
        return
    if not made.keys() <= row.cells.keys() and (spans := _SPANS.search(text, row.start, row.opened)):
        yield spans.start(), spans.end(), b""
    waiting: dict[int, bytes] = {}
    for column, cell in made.items():
        if column in row.cells:
            yield row.cells[column].start, row.cells[column].end, cell
        else:
            after = min((place.start for at, place in row.cells.items() if at > column), default=row.inner_end)
            waiting[after] = waiting.get(after, b"") + cell
    yield from ((after, after, cells) for after, cells in waiting.items())


class _Look:
    """How a new cell looks: as the one that was there, or as those above it in its column."""

    def __init__(self, grid: Grid, places: SheetPlaces, styles: Styles) -> None:
        self._grid, self._prefix, self._styles = grid, places.prefix, styles
        self._rows, self._of_columns = places.rows, places.column_styles
        self._above: dict[int, str | None] = {}
        shown = (cell.style for number in grid.body for cell in self._cells(number) if cell.style)
        self._of_days = next((style for style in shown if int(style) in styles.days), None)

    def _cells(self, number: int) -> Iterable[CellPlace]:
        return self._rows[number].cells.values() if number in self._rows else ()

    def _style(self, row: int, column: int) -> str | None:
        there = self._rows.get(row)
        if there is not None and column in there.cells:
            return there.cells[column].style
        if row == self._grid.head:
            last = max((at for at in there.cells if at < column), default=-1) if there else -1
            return there.cells[last].style if there and last >= 0 else None
        if column not in self._above:
            found = (self._rows[number].cells.get(column) for number in reversed(self._grid.body)
                     if number in self._rows)  # fmt: skip
            self._above[column] = next((cell.style for cell in found if cell), self._of_columns.get(column))
        return self._above[column]

    def cell(self, row: int, column: int, written: Written) -> str:
        p, style = self._prefix, self._style(row, column)
        told, value = "", ""
        if written.kind == "day" and _ISO.fullmatch(written.text):
            if style is None or int(style) not in self._styles.days:
                style = self._day_style(column) or style
            if style is not None and int(style) in self._styles.days:
                value = f"<{p}v>{self._serial(written.text)}</{p}v>"
        elif written.kind == "number":
            value = f"<{p}v>{written.text}</{p}v>"
        if not value and written.text:
            told = ' t="inlineStr"'
            value = f'<{p}is><{p}t xml:space="preserve">{escape(printable(written.text))}</{p}t></{p}is>'
        shown = f' s="{style}"' if style is not None else ""
        return f'<{p}c r="{letters(column)}{row}"{shown}{told}>{value}</{p}c>'

    def _day_style(self, column: int) -> str | None:
        """Return the style of a day in the same column, or else of one anywhere below the headings."""
        cells = (self._rows[number].cells.get(column) for number in self._grid.body if number in self._rows)
        own = (cell.style for cell in cells if cell and cell.style and int(cell.style) in self._styles.days)
        return next(own, self._of_days)

    def _serial(self, text: str) -> int:
        has_1904 = self._grid.columns.sheet.has_1904_days
        return (date.fromisoformat(text) - (date(1904, 1, 1) if has_1904 else date(1899, 12, 30))).days


# ---- what tells of the cells --------------------------------------------------------------------------


def _area(text: bytes, place: tuple[int, int], grid: Grid) -> Iterator[_Span]:
    """Yield the area in use, made larger where it has to be: some readers go no further."""
    found = _attribute(text, *place, "ref")
    if found is None:
        return
    start, end, said = found
    yield start, end, _widened(said, grid.written).encode()


def _corners(area: str) -> tuple[int, int, int, int]:
    """Return the first column (from 0) and row of an area, and the last.

    >>> _corners("B2:D10"), _corners("$A$1")
    ((1, 2, 3, 10), (0, 1, 0, 1))
    """
    ends = [_CELL.fullmatch(end) for end in area.replace("$", "").split(":")]
    first, last = ends[0], ends[-1]
    if first is None or last is None:
        raise NotPlainError("an area is not told by its cells")
    return column_of(first[1]) - 1, int(first[2]), column_of(last[1]) - 1, int(last[2])


def _widened(area: str, cells: Iterable[tuple[int, int]]) -> str:
    left, top, column, row = _corners(area)
    for at_row, at_column in cells:
        column, row = max(column, at_column), max(row, at_row)
    return f"{letters(left)}{top}:{letters(column)}{row}"


def _attribute(text: bytes, start: int, end: int, name: str) -> tuple[int, int, str] | None:
    """Return where the value of an attribute stands in a tag, and what it is; None where it is not there."""
    for found in _ATTRIBUTE.finditer(text, start, end):
        if found[1] == name.encode():
            return found.start(2), found.end(2), found[2].decode()
    return None


def _table_with(name: str, text: bytes, grid: Grid) -> bytes:
    """Return the part of an area that the spreadsheet keeps as a table, with the new rows in it if they follow it."""
    start = text.find(b"table ")
    opened = end_of_tag(text, start)
    area = _attribute(text, start, opened, "ref")
    if area is None:
        raise NotPlainError("it does not say where its table stands")
    totals = _attribute(text, start, opened, "totalsRowCount")
    left, top, right, end = _corners(area[2])
    new = sorted(row for rows in grid.below.values() for row in rows)
    if not new or end != new[0] - 1 or not any(left <= column <= right for _, column in grid.written):
        return text
    if totals is not None and totals[2] != "0":
        what = said(
            "The table of “%(sheet)s” ends with a row of totals, and a new row would go below it.",
            sheet=grid.columns.sheet.name,
        )
        raise KeptByHandError(name, what, said("Take the row of totals off, or enter it there by hand."))
    longer = f"{letters(left)}{top}:{letters(right)}{new[-1]}"
    spans = [(area[0], area[1], longer.encode())]
    at = text.find(b"autoFilter", opened)
    if at >= 0 and (filtered := _attribute(text, at, end_of_tag(text, at), "ref")) and filtered[2] == area[2]:
        spans.append((filtered[0], filtered[1], longer.encode()))
    return _spliced(text, spans)


def _reckoned_anew(text: bytes) -> bytes:
    """Return the list of sheets, saying that formulas are worked out when the spreadsheet opens it next."""
    if found := _RECKONING.search(text):
        end = end_of_tag(text, found.start())
        if there := _attribute(text, found.start(), end, "fullCalcOnLoad"):
            return _spliced(text, [(there[0], there[1], b"1")])
        at = end - (2 if text[end - 2 : end] == b"/>" else 1)
        return _spliced(text, [(at, at, b' fullCalcOnLoad="1"')])
    ends = [one for one in _BEFORE_RECKONING.finditer(text) if one[1] or one[3]]
    if not ends:
        raise NotPlainError("its list of sheets is not written as spreadsheets do")
    prefix = ends[-1][2].decode()
    return _spliced(text, [(ends[-1].end(), ends[-1].end(), f'<{prefix}calcPr fullCalcOnLoad="1"/>'.encode())])


def _spliced(text: bytes, spans: Iterable[_Span]) -> bytes:
    parts, place = [], 0
    for start, end, instead in sorted(spans, key=lambda span: span[:2]):
        parts += [text[place:start], instead]
        place = max(place, end)
    return b"".join((*parts, text[place:]))


# ---- back to a file -----------------------------------------------------------------------------------


def _packed(archive: ZipFile, changed: Mapping[str, bytes]) -> bytes:
    out = BytesIO()
    with ZipFile(out, "w") as packed:
        packed.comment = archive.comment
        for info in archive.infolist():
            content = changed.get(info.filename)
            kept = archive.read(info) if content is None else content
            packed.writestr(info, kept, compress_type=info.compress_type)
    return out.getvalue()


def _hold_against(name: str, old: bytes, new: bytes, grids: Sequence[Grid]) -> None:
    """Refuse a workbook in which anything reads otherwise than before but what was to be written."""
    written = {grid.columns.sheet.name: grid.written for grid in grids}
    for before, after in zip(sheets_of_workbook(old), sheets_of_workbook(new), strict=True):
        own = written.get(before.name, {})
        was, now = (
            {(cell.line, cell.column - 1): cell.text for row in sheet.rows for cell in row if cell.text}
            for sheet in (before, after)
        )
        others = {place: text for place, text in was.items() if place not in own}
        is_same = others == {place: text for place, text in now.items() if place not in own}
        told = (before.name, before.is_hidden, before.formulas, before.merged, before.valueless, before.hidden_rows)
        if not is_same or told != (
            after.name, after.is_hidden, after.formulas, after.merged, after.valueless, after.hidden_rows,
        ):  # fmt: skip
            raise KeptByHandError(name, "More than the entry would change in the workbook.", _BY_HAND)
