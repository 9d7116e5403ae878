"""People from a table kept in a spreadsheet: `people: {csv: people.csv}`.

One row for each person, or several with the same id where somebody has several masks, tests or trainings.
`people_columns` lists what is read. A heading that looks like a slip, and anything about health beyond the closed
shape of a medical entry, is refused; other columns are left out, and an advice says which, by letter, since
even a heading may tell too much. The rows become the same tree as entries written in YAML, so every later
finding has the line and column of its cell.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import PurePath

from pydantic import ValidationError

from progdoc.core.diagnostics import Audience, Diagnostic, Location, Scope, Severity
from progdoc.core.unread import Unread
from progdoc.model.description.people import Topic
from progdoc.model.people_table.csv_text import CsvCell, TableError, decoded_table, rows_of, separator_of
from progdoc.model.people_table.people_columns import ALSO_CALLED, COLUMNS, CSV_FAULTS, DateOrder, PeopleFile, heading
from progdoc.model.yaml.yaml_file import MOST_BYTES
from progdoc.model.yaml.yaml_reader import Description, with_part
from progdoc.model.yaml.yaml_tree import Content, Node

__all__ = ["table_named_in", "with_people_of_csv"]

_ABSENT = Unread("cannot be read: no such file or directory")
_SINGLE = ("appendix_d",)  # a person has one of these, not a list
_YES_NO = {"yes": "yes", "y": "yes", "true": "yes", "no": "no", "n": "no", "false": "no"}
_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_STROKES = re.compile(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-]([0-9]{4})")
_MOST_COLUMNS = 1000  # with a heading: each is held against all those that are known
_HEALTH = re.compile(r"medical|health|diagnos|illness|disease|symptom|medication|allerg|asthma|blood|lung|heart")


def table_named_in(description: Description) -> str:
    """Return the name of the file beside the description that holds its people; "" where none may be read."""
    settings = description.values.get("people")
    named = settings.get("csv") if isinstance(settings, dict) else None
    name = named.strip() if isinstance(named, str) else ""
    return name if _is_beside(name) else ""


def _is_beside(name: str) -> bool:
    return PurePath(name).name == name


def with_people_of_csv(description: Description, files: Mapping[str, bytes | Unread]) -> Description:
    """Return the description with the people of its table in place of `people: {csv: …}`, if it has one."""
    settings = description.values.get("people")
    if not isinstance(settings, dict):
        return description
    table = _Table(description, files)
    people = table.people()
    description.diagnostics.extend(table.diagnostics)
    if people is None:
        return with_part(description, "people", [])
    return with_part(description, "people", [(table.file, people)])


@dataclass(slots=True)
class _Found:
    """One person as far as the rows read so far tell."""

    node: Node
    records: set[tuple[str, ...]] = field(default_factory=set)


class _Table:
    """The reading of one table: its settings, its columns and its faults."""

    def __init__(self, description: Description, files: Mapping[str, bytes | Unread]) -> None:
        self.description = description
        self.files = files
        self.diagnostics: list[Diagnostic] = []
        self.file = ""
        self.order: DateOrder | None = None
        self.undeclared: list[CsvCell] = []

    def people(self) -> Node | None:
        settings = self._settings()
        text = self._text(settings) if settings else None
        if settings is None or text is None:
            return None
        self.order = settings.dates
        known = {name.replace("_", mark) for name in (*COLUMNS, *ALSO_CALLED) for mark in ("_", " ", "-")}
        try:
            rows = rows_of(text, *separator_of(text, known))
        except TableError as trouble:
            place = Location(self.file, trouble.line, trouble.column, "people")
            self._report("CSV-003", place, f"{trouble}.", "Close the quote, or write the table anew as CSV.")
            return None
        headed = frozenset(index for index, cell in enumerate(rows[0]) if heading(cell.text)) if rows else frozenset()
        if len(headed) > _MOST_COLUMNS:
            what = f"The table has {len(headed):,} columns, which is more than {_MOST_COLUMNS:,}."
            self._report("CSV-003", Location(self.file, rows[0][0].line, 1, "people"), what, "Keep only what is read.")
            return None
        columns = self._columns(rows[0], settings) if rows else {}
        if "id" not in columns.values():
            place = Location(self.file, rows[0][0].line if rows else 0, 1, "people")
            fix = f"The first row holds the headings. Known are: {', '.join(COLUMNS)}."
            self._report("CSV-004", place, "The table has no column headed `id`.", fix)
            return None
        people = Node([found.node for found in self._found(rows[1:], columns, headed)], 1, 1, 1, 1)
        if self.undeclared:
            count, first = len(self.undeclared), self.undeclared[0]
            self._report(
                "CSV-006", self._place(first), f"{count} dates of the table are not written year first.",
                "Write `dates: month-first` or `dates: day-first` beside `csv:`; or write the dates as 2026-01-12.",
            )  # fmt: skip
        return people

    # ---- settings and text ----------------------------------------------------------------------------

    def _settings(self) -> PeopleFile | None:
        try:
            return PeopleFile.model_validate(self.description.values["people"])
        except ValidationError as error:
            for detail in error.errors(include_url=False):
                key = str(detail["loc"][0]) if detail["loc"] else ""
                is_known = key in PeopleFile.model_fields
                what = f"`{key}` is missing or not understood here." if is_known else "A key here is not known."
                place = replace(
                    self.description.locate(f"people.{key}"), path=f"people.{key}" if is_known else "people"
                )
                self._report(
                    "CSV-001", place, what,
                    "Write `csv:` with the file's name; if need be `dates: month-first` or `dates: day-first`,"
                    " and `spare_columns: yes`. People may also be written here as a list.",
                )  # fmt: skip
            return None

    def _text(self, settings: PeopleFile) -> str | None:
        here = self.description.locate("people.csv")
        self.file = settings.csv
        beside = "Put the table beside the description."
        if not _is_beside(settings.csv):
            self._report("CSV-002", here, "The name leads to another folder.", beside)
            return None
        data = self.files.get(settings.csv, _ABSENT)
        if isinstance(data, Unread) and not data.is_too_large:
            self._report("CSV-002", here, f"`{settings.csv}` {data.why}.", beside)
            return None
        if isinstance(data, Unread) or len(data) > MOST_BYTES:
            self._report("CSV-003", here, f"The table is over {MOST_BYTES:,} bytes large.", "Keep only what is read.")
            return None
        try:
            return decoded_table(data)
        except TableError as trouble:
            place = Location(self.file, trouble.line, trouble.column, "people")
            self._report("CSV-003", place, f"{trouble}.", "In the spreadsheet, save it as “CSV UTF-8”.")
            return None

    # ---- headings -------------------------------------------------------------------------------------

    def _columns(self, head: list[CsvCell], settings: PeopleFile) -> dict[int, str]:
        """Return the known columns by their index; report the others."""
        columns: dict[int, str] = {}
        spare: list[str] = []
        for index, cell in enumerate(head):
            name = heading(cell.text)
            if name in columns.values():
                self._report("CSV-011", self._place(cell), f"Two columns are headed `{name}`.", "Delete one of them.")
            elif name in COLUMNS:
                columns[index] = name
            elif name:
                spare += self._unknown(cell, name, _letters(index))
        if spare and not settings.spare_columns:
            what = f"These columns are not read: {', '.join(spare)}."
            fix = "Write `spare_columns: yes` beside `csv:` if that is as it should be."
            place = self._place(head[0])
            name, why = CSV_FAULTS["CSV-010"]
            advice = Diagnostic(place, "CSV-010", name, Severity.ADVICE, what, why, fix)
            self.diagnostics.append(replace(advice, scope=Scope.RECORD, audience=Audience.RESTRICTED))
        return columns

    def _unknown(self, cell: CsvCell, name: str, letter: str) -> Iterator[str]:
        near = difflib.get_close_matches(name, COLUMNS, 1, 0.85)
        if near:
            fix = f"Head it `{near[0]}`, or give it a heading that cannot be mistaken for it."
            self._report("CSV-008", self._place(cell), f"Did you mean `{near[0]}` over column {letter}?", fix)
        elif _HEALTH.search(name):
            allowed = ", ".join(f"`{known}`" for known in COLUMNS if known.startswith("medical_"))
            fix = f"Delete the column; the professional keeps such answers. What may stand in the table: {allowed}."
            self._report("CSV-009", self._place(cell), f"Column {letter} seems to hold health answers.", fix)
        else:
            yield letter

    # ---- rows -----------------------------------------------------------------------------------------

    def _found(self, rows: Iterable[list[CsvCell]], columns: dict[int, str], headed: frozenset[int]) -> list[_Found]:
        people: dict[str, _Found] = {}
        id_at = next(index for index, name in columns.items() if name == "id")
        for row in rows:
            identity = row[id_at] if id_at < len(row) else CsvCell("", row[0].line, 1)
            if not identity.text:
                self._report("CSV-005", self._place(identity), "This row has no id.", "Write the person's id.")
                continue
            if over := next((cell for index, cell in enumerate(row) if cell.text and index not in headed), None):
                what = "A cell of this row stands under no heading."
                fix = (
                    "Give its column a heading, or empty it; a cell that holds the sign between cells stands in quotes."
                )
                self._report("CSV-003", self._place(over), what, fix)
                continue
            found = people.setdefault(identity.text, _Found(_node({}, identity)))
            for group, cells in _groups(row, columns).items():
                if group:
                    self._add_record(found, group, cells)
                else:
                    self._add_facts(found, cells)
        return list(people.values())

    def _add_facts(self, found: _Found, cells: dict[str, tuple[CsvCell, str]]) -> None:
        facts = found.node.content
        for key, (cell, kind) in cells.items():
            content = self._content(cell, kind)
            known = facts.setdefault(key, _node(content, cell)) if isinstance(facts, dict) else None
            if known is not None and known.content != content:
                what = f"`{key}` is given here and in line {known.line} for one id, and differently."
                self._report(
                    "CSV-007", self._place(cell), what, "Correct one row, or give the second person an own id."
                )

    def _add_record(self, found: _Found, group: str, cells: dict[str, tuple[CsvCell, str]]) -> None:
        """Add a record once; tables often repeat a person's test or training in every row of theirs."""
        mark = (group, *(f"{key}={cell.text}" for key, (cell, _) in cells.items()))
        person = found.node.content
        if mark in found.records or not isinstance(person, dict):
            return
        found.records.add(mark)
        first = next(iter(cells.values()))[0]
        record = _node({key: _node(self._content(cell, kind), cell) for key, (cell, kind) in cells.items()}, first)
        if group in _SINGLE:
            person[group] = record
            return
        records = person.setdefault(group, _node([], first)).content
        if isinstance(records, list):
            records.append(record)

    def _content(self, cell: CsvCell, kind: str) -> Content:
        text = cell.text
        if kind == "yes-no":
            return _YES_NO.get(text.lower(), text)
        if kind == "word":
            return _word(text)
        if kind == "words":
            parts = [_word(part) for part in re.split(r"[;,|\n]", text) if part.strip()]
            if parts == ["all"]:
                parts = [topic.value for topic in Topic]
            return [_node(part, cell) for part in parts]
        if kind == "numbers":
            return [_node(part, cell) for part in re.split(r"[\s;|]+", text) if part]
        if kind == "days":
            parts = [part.strip() for part in re.split(r"[;|]", text) if part.strip()]
            return [_node({"date": _node(self._day(replace(cell, text=part)), cell)}, cell) for part in parts]
        return self._day(cell) if kind == "day" else text

    def _day(self, cell: CsvCell) -> str:
        """Return a day written year first where that can be told; else as it stands, to be refused with its place."""
        text = re.sub(r"[ T]00:00(:00(\.0+)?)?$", "", cell.text)
        strokes = _STROKES.fullmatch(text)
        if _ISO.fullmatch(text) or not strokes:
            return text
        if self.order is None:
            self.undeclared.append(cell)
            return text
        first, second, year = strokes.groups()
        month, day = (first, second) if self.order is DateOrder.MONTH_FIRST else (second, first)
        return f"{year}-{int(month):02}-{int(day):02}"

    def _place(self, cell: CsvCell) -> Location:
        return Location(self.file, cell.line, cell.column, "people")

    def _report(self, code: str, place: Location, what: str, fix: str) -> None:
        name, why = CSV_FAULTS[code]
        self.diagnostics.append(Diagnostic(place, code, name, Severity.INVALID, what, why, fix))


def _node(content: Content, cell: CsvCell) -> Node:
    return Node(content, cell.line, cell.column, cell.line, cell.column)


def _groups(row: list[CsvCell], columns: dict[int, str]) -> dict[str, dict[str, tuple[CsvCell, str]]]:
    """Return the filled cells of a row by the record they belong to; a fit test takes mask and size from its row."""
    groups: dict[str, dict[str, tuple[CsvCell, str]]] = {}
    for index, name in columns.items():
        if index < len(row) and row[index].text:
            group, key, kind = COLUMNS[name]
            groups.setdefault(group, {})[key] = (row[index], kind)
    worn, test = groups.get("masks", {}), groups.get("fit_tests", {})
    if test and "mask" in worn:
        test.setdefault("mask", worn["mask"])
        if "size" in worn and test["mask"][0].text == worn["mask"][0].text:
            test.setdefault("size", worn["size"])
    return groups


def _word(text: str) -> str:
    return re.sub(r"[\s_]+", "-", text.strip().lower())


def _letters(index: int) -> str:
    """Return the name a spreadsheet gives to a column.

    >>> _letters(0), _letters(27)
    ('A', 'AB')
    """
    text, number = "", index + 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
