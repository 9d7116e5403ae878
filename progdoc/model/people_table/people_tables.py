"""People from tables kept in spreadsheets: `people: {csv: people.csv}`, `people: people.xlsx`, and more beside it.

`people_columns` lists what is read. Sheets become rows of cells (`csv_text`, `workbook`), their headings columns
(`sheet_columns`), their rows the same tree as entries written in YAML (`table_rows`), so every later finding has the
line and column of its cell. What a user's own headings mean is read from a file beside the table (`column_map`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import field, replace
from pathlib import PurePath

from pydantic import ValidationError

from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import changed, said, said_number, same
from progdoc.core.unread import Unread
from progdoc.model.people_table.cell_values import CellValues
from progdoc.model.people_table.column_map import NOT_USED, ColumnMap, column_map
from progdoc.model.people_table.csv_text import TableError, decoded_table, rows_of, separator_of
from progdoc.model.people_table.heading_words import HEADINGS
from progdoc.model.people_table.named_tables import is_beside, is_workbook, settings_of
from progdoc.model.people_table.people_columns import (
    DEVICES,
    LISTS,
    DateOrder,
    PeopleFile,
    RowKind,
    table_fault,
)
from progdoc.model.people_table.sheet import Sheet
from progdoc.model.people_table.sheet_columns import SheetColumns, columns_in, likely_line
from progdoc.model.people_table.table_rows import People, cylinders_in, units_in
from progdoc.model.people_table.workbook import sheets_of_workbook
from progdoc.model.yaml.yaml_file import MOST_BYTES
from progdoc.model.yaml.yaml_reader import Description, column_file_of, is_description, with_part
from progdoc.model.yaml.yaml_tree import Node

__all__ = ["FoundSheet", "kept_by_hand", "sheets_of_tables", "with_people_of_tables"]

_ABSENT = Unread(said("cannot be read: no such file or directory"))
_BESIDE = said("Put the table beside the description.")
_MOST_OF_A_KIND = 50  # faults of one kind that are listed of a sheet
_UNDECLARED = said("Write `dates: month-first` or `dates: day-first` beside `csv:`; or write the dates as 2026-01-12.")
_ORDER = (RowKind.PEOPLE, RowKind.FIT_TESTS, RowKind.TRAINING, RowKind.UNITS, RowKind.CYLINDERS)


def kept_by_hand(description: Description) -> str:
    """Return the table of people out of which only its owner takes rows: a workbook, one of several, one with headings
    of its own. Records are entered into each (`table_entry`).

    "" where people stand in YAML, or in one CSV with our headings.
    """
    tables = [name for name in description.files if not is_description(name)]
    is_plain = len(tables) == 1 and PurePath(tables[0]).suffix.lower() == ".csv"
    return "" if is_plain or not tables else tables[0]


def sheets_of_tables(description: Description, files: Mapping[str, bytes | Unread]) -> list[FoundSheet]:
    """Return the sheets of the tables that a description names, as they are read; none where it names no table.

    The description is the one that was parsed, in which the tables still stand by their names.
    """
    settings = settings_of(description)
    if settings is None:
        return []
    tables = _Tables(description, files)
    tables.people(settings)
    return tables.sheets


def with_people_of_tables(description: Description, files: Mapping[str, bytes | Unread]) -> Description:
    """Return the description with the people of its tables in place of the names of these, if it names any."""
    settings = settings_of(description)
    if settings is None:
        return description
    tables = _Tables(description, files)
    people = tables.people(settings)
    description.diagnostics.extend(tables.diagnostics)
    if people is None:
        return with_part(description, "people", [])
    read = with_part(description, "people", [(tables.names[0], people)])
    if tables.has_units and "masks" in read.parts:
        read = with_part(read, "masks", read.parts["masks"])
    if tables.cylinders:
        listed = Node(tables.cylinders, 1, 1, 1, 1)
        read = with_part(read, "cylinders", [*read.parts.get("cylinders", []), (tables.names[0], listed)])
    return replace(read, files=tuple(dict.fromkeys([*read.files, *tables.names])))


@dataclass(frozen=True, slots=True)
class FoundSheet:
    """A sheet of a table: in which file, its columns and rows, and the order of days that are not year first."""

    file: str
    columns: SheetColumns
    order: DateOrder | None


@dataclass(slots=True)
class _Tables:
    """The reading of all tables of a description, and their faults."""

    description: Description
    files: Mapping[str, bytes | Unread]
    diagnostics: list[Diagnostic] = field(default_factory=list)
    names: list[str] = field(default_factory=list)  # of the files that were read
    has_units: bool = False
    cylinders: list[Node] = field(default_factory=list)
    sheets: list[FoundSheet] = field(default_factory=list)

    def people(self, mapped: Mapping[str, object]) -> Node | None:
        settings = self._settings(mapped)
        if settings is None:
            return None
        main = settings.csv or settings.xlsx or ""
        sheets: list[tuple[SheetColumns, CellValues]] = []
        for name in dict.fromkeys([main, *settings.also]):
            key = "also" if name != main else "csv" if settings.csv else "xlsx"
            found = self._sheets(name, settings, f"people.{key}", is_main=name == main)
            if found is None:
                return None
            sheets += found
        is_named = [("id" in sheet.names.values()) for sheet, _ in sheets if sheet.rows is RowKind.PEOPLE]
        if not is_named or not all(is_named):
            for sheet, _ in sheets:
                self.diagnostics += sheet.faults
            if not is_named and not self.diagnostics:
                here = Location(main, 0, 1, "people")
                what, fix = said("No sheet holds people."), said("Write `rows: people` for one of the sheets.")
                self._report("CSV-004", here, what, fix)
            return None
        people = self._entered(sheets)
        return Node(people.nodes, 1, 1, 1, 1)

    def _entered(self, sheets: list[tuple[SheetColumns, CellValues]]) -> People:
        people = People()
        for columns, values in sorted(sheets, key=lambda sheet: _ORDER.index(sheet[0].rows)):
            names = columns.names.values()
            if columns.rows is RowKind.PEOPLE:
                people.add_people(columns, values)
            elif columns.rows not in DEVICES and ("id" in names or "name" in names):
                people.add_events(columns, values)
            elif columns.rows is RowKind.CYLINDERS and "id" in names:
                self.cylinders += cylinders_in(columns, values)
            elif columns.rows is RowKind.UNITS and "id" in names and "mask" in names:
                self.has_units = True
                units_in(columns, values, self._masks())
        told: set[int] = set()
        for columns, values in sheets:
            self.diagnostics += _few_of_each(columns.faults)
            if id(values) not in told:
                told.add(id(values))
                self._tell_of_days(columns, values)
        return people

    def _tell_of_days(self, columns: SheetColumns, values: CellValues) -> None:
        if values.undeclared:
            count, first = len(values.undeclared), values.undeclared[0]
            what = said("%(n)s dates of the table are not written year first.", n=count)
            fix = _UNDECLARED
            if columns.sheet.is_workbook:
                mapped = column_file_of(self.names[0] if len(self.names) == 1 else columns.file.partition("#")[0])
                fix = said(
                    "Write `dates: m/d/y` or `dates: d/m/y` into %(file)s; or enter them as dates.", file=same(mapped)
                )
            self._report("CSV-006", columns.place(first), what, fix)
        if values.uncounted:
            count, first = len(values.uncounted), values.uncounted[0]
            what = said("%(n)s dates of the table are plain numbers, as a spreadsheet counts days.", n=count)
            named = column_file_of(columns.file.partition("#")[0])
            fix = said("Format the column as dates; or write `serial_dates: 1900` into %(file)s.", file=same(named))
            self._report("CSV-006", columns.place(first), what, fix)

    def _masks(self) -> dict[str, Node]:
        found: dict[str, Node] = {}
        for _, node in self.description.parts.get("masks", []):
            for mask in node.content if isinstance(node.content, list) else []:
                identity = mask.content.get("id") if isinstance(mask.content, dict) else None
                if identity is not None and isinstance(identity.content, str):
                    found[identity.content] = mask
        return found

    # ---- settings ---------------------------------------------------------------------------------------

    def _settings(self, mapped: Mapping[str, object]) -> PeopleFile | None:
        fix = said(
            "Write `csv:` with the file's name; if need be `dates: month-first` or `dates: day-first`,"
            " and `spare_columns: yes`. People may also be written here as a list."
        )
        try:
            settings = PeopleFile.model_validate(mapped)
        except ValidationError as error:
            for detail in error.errors(include_url=False):
                key = str(detail["loc"][0]) if detail["loc"] else ""
                is_known = key in PeopleFile.model_fields
                what = (
                    said("%(key)s is missing or not understood here.", key=same(f"`{key}`"))
                    if is_known
                    else said("A key here is not known.")
                )
                here = self.description.locate(f"people.{key}")
                self._report("CSV-001", replace(here, path=f"people.{key}" if is_known else "people"), what, fix)
            return None
        if bool(settings.csv) == bool(settings.xlsx):
            here = replace(self.description.locate("people"), path="people")
            self._report("CSV-001", here, said("Write one of `csv:` and `xlsx:`, the table of people."), fix)
            return None
        return settings

    # ---- files to sheets --------------------------------------------------------------------------------

    def _sheets(
        self, name: str, settings: PeopleFile, path: str, is_main: bool
    ) -> list[tuple[SheetColumns, CellValues]] | None:
        data = self._data(name, self.description.locate(path))
        if data is None:
            return None
        mapped, faults = column_map(name, self.files)
        self.diagnostics += faults
        self.names += [name] + ([mapped.name] if mapped.name in self.files else [])
        try:
            sheets = sheets_of_workbook(data) if is_workbook(name) else [_csv_sheet(name, data)]
        except TableError as trouble:
            place = Location(name, trouble.line, trouble.column, "people")
            self._report("CSV-003", place, changed(trouble.what, _with_stop), _how_to_save(name, trouble))
            return None
        kinds = [(sheet, kind) for sheet in sheets if (kind := self._kind(sheet, sheets, name, mapped, is_main))]
        values = CellValues(mapped.dates or settings.dates, mapped.serial_dates, name)
        found: list[tuple[SheetColumns, CellValues]] = []
        for sheet, kind in kinds:
            shown = f"{name}#{sheet.name}" if len(kinds) > 1 else name
            confirmed = mapped.sheets.get(sheet.name)
            own = replace(values, file=shown, undeclared=[], uncounted=[])
            columns = columns_in(sheet, shown, kind, mapped, confirmed, settings.spare_columns)
            found.append((columns, own))
            self.sheets.append(FoundSheet(name, columns, values.order))
        for sheet_name in mapped.sheets:
            if all(sheet.name != sheet_name for sheet in sheets):
                what = said("A sheet that is named here is not in the table.")
                fix = said("Write its name as the table has it now.")
                self._report("CSV-013", Location(mapped.name, 0, 0, "people"), what, fix)
        return found

    def _kind(self, sheet: Sheet, sheets: list[Sheet], name: str, mapped: ColumnMap, is_main: bool) -> RowKind | None:
        """Return what the rows of a sheet are; None where it is left out, and a fault unless that was mapped."""
        confirmed = mapped.sheets.get(sheet.name)
        if confirmed is not None or (sheet.is_hidden and sheet.name == LISTS):
            return confirmed.rows if confirmed else None
        kinds = {kind.value: kind for kind in RowKind}
        called = "-".join(sheet.name.lower().replace("_", " ").replace("-", " ").split())
        if called in kinds and not sheet.is_hidden:
            return kinds[called]
        filled = [other for other in sheets if other.rows and other.name != LISTS]
        if is_main and not mapped.sheets and len(filled) <= 1 and (sheet.rows or len(sheets) == 1):
            return RowKind.PEOPLE
        stem = "-".join(PurePath(name).stem.lower().replace("_", " ").replace("-", " ").split())
        if not is_main and len(filled) == 1 and sheet.rows and stem in kinds:
            return kinds[stem]
        if sheet.rows:
            what = (
                said("Nothing says what the rows of the hidden sheet “%(sheet)s” are.", sheet=sheet.name)
                if sheet.is_hidden
                else said("Nothing says what the rows of the sheet “%(sheet)s” are.", sheet=sheet.name)
            )
            listed = ", ".join(RowKind)
            line = likely_line(sheet) or f'"{sheet.name}": {{rows: people}}'
            fix = said(
                "Write into %(file)s beside the table, under `sheets:`, what they are (%(kinds)s), perhaps %(line)s;"
                " or, to leave it out, %(left_out)s",
                file=same(mapped.name),
                kinds=same(listed),
                line=same(line),
                left_out=same(f'"{sheet.name}": {NOT_USED}'),
            )
            self._report("CSV-014", Location(name, sheet.rows[0][0].line, 1, "people"), what, fix)
        return None

    def _data(self, name: str, here: Location) -> bytes | None:
        if not is_beside(name):
            self._report("CSV-002", here, said("The name leads to another folder."), _BESIDE)
            return None
        data = self.files.get(name, _ABSENT)
        if isinstance(data, Unread) and not data.is_too_large:
            self._report("CSV-002", here, said("%(file)s %(why)s.", file=same(f"`{name}`"), why=data.why), _BESIDE)
            return None
        if isinstance(data, Unread) or len(data) > MOST_BYTES:
            what = said("The table is over %(most)s bytes large.", most=said_number(f"{MOST_BYTES:,}"))
            self._report("CSV-003", here, what, said("Keep only what is read."))
            return None
        return data

    def _report(self, code: str, place: Location, what: str, fix: str) -> None:
        self.diagnostics.append(table_fault(code, place, what, fix))


def _few_of_each(faults: list[Diagnostic]) -> Iterator[Diagnostic]:
    """Yield of each kind of fault those that come first: what is wrong in every row is told in some, and counted."""
    of_code = Counter(fault.code for fault in faults)
    told: Counter[str] = Counter()
    for fault in faults:
        told[fault.code] += 1
        left_out = of_code[fault.code] - _MOST_OF_A_KIND
        if told[fault.code] <= _MOST_OF_A_KIND:
            yield fault
        elif told[fault.code] == _MOST_OF_A_KIND + 1:
            what = said("%(n)s more rows have this fault; they are not listed. %(what)s", n=left_out, what=fault.what)
            yield replace(fault, what=what)


def _csv_sheet(name: str, data: bytes) -> Sheet:
    text = decoded_table(data)
    return Sheet(PurePath(name).stem, rows_of(text, *separator_of(text, HEADINGS)))


def _how_to_save(name: str, trouble: TableError) -> str:
    if is_workbook(name):
        return said(
            "In the spreadsheet, save it as a workbook (.xlsx) without a password, with only what is to be read."
        )
    if "UTF-8" in trouble.what:
        return said("In the spreadsheet, save it as “CSV UTF-8”.")
    return said("Close the quote, or write the table anew as CSV.")


def _with_stop(words: str) -> str:
    return f"{words}."
