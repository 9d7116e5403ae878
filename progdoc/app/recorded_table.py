"""A table of events, one a row, such as a day of fit tests: rows to events, and what in it can't be read.

Columns are headed as the options are called. What a row leaves empty is taken from what was said for all of them, but
for what came of it: where a table has a column for that, a row that tells nothing of it has no outcome.
Whoever reads another kind of table (a workbook) hands its rows over as `Row`s and needs no more.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from progdoc.app.event_kinds import KINDS
from progdoc.app.file_faults import file_fault
from progdoc.app.record_events import Event
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.model.people_table.csv_text import TableError, decoded_table, rows_of, separator_of
from progdoc.model.people_table.workbook import sheets_of_workbook

__all__ = ["Row", "events_of", "rows_in", "said_in_turn"]

_DAY = "date"
_OUTCOMES = ("result", "factor", "readings", "screened", "recommendation", "copy-given", "knowledge-shown", "passed")
_TESTED = ("result", "factor", "readings")
_WORKBOOK = b"PK\x03\x04"  # of a zip
_ALSO_CALLED = {
    "person": "who", "id": "who", "person-id": "who", "name": "who", "day": _DAY, "fit-factor": "factor",
    "fit-date": _DAY, "fit-mask": "mask", "fit-size": "size", "fit-protocol": "protocol", "fit-result": "result",
    "fit-tester": "tester", "fit-screened": "screened", "fit-readings": "readings", "fit-filters": "filters",
    "training-date": _DAY, "training-by": "by", "training-topics": "topics",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Row:
    """The filled cells of a row by what their columns are headed, and where it stands, in words."""

    cells: Mapping[str, str]
    place: str  # "line 3 of fit-day.csv"
    line: int = 0


def rows_in(data: bytes, name: str, kind: str) -> list[Row] | list[Diagnostic]:
    """Return the rows of a table kept as CSV or as a workbook; or why it can't be read."""
    if data.startswith(_WORKBOOK):
        return _rows_in_workbook(data, name, kind)
    known = {spelt for option in (*_options(kind), *_ALSO_CALLED) for spelt in (option, option.replace("-", " "))}
    try:
        text = decoded_table(data)
        rows = rows_of(text, *separator_of(text, {*known, *(word.replace("-", "_") for word in known)}))
    except TableError as trouble:
        place = Location(name, trouble.line, trouble.column)
        return [file_fault("RECORD-006", place, f"{trouble}.", "In the spreadsheet, save it as “CSV UTF-8”.")]
    head = [cell.text for cell in rows[0]] if rows else []
    if twice := _said_twice(head, kind):
        return [_twice(name, twice, rows[0][0].line)]
    found = []
    for row in rows[1:]:
        cells = {head[i]: cell.text for i, cell in enumerate(row) if cell.text and i < len(head)}
        found.append(Row(cells, f"line {row[0].line} of {name}", row[0].line))
        if any(cell.text for cell in row[len(head) :]):
            what = "A cell of this row stands under no heading."
            return [file_fault("RECORD-006", Location(name, row[0].line, 1), what, "Give its column a heading.")]
    return found


def _rows_in_workbook(data: bytes, name: str, kind: str) -> list[Row] | list[Diagnostic]:
    """Return the rows of the sheet that is called as the kind of event, or of the only one that holds anything."""
    try:
        sheets = [sheet for sheet in sheets_of_workbook(data) if sheet.rows and not sheet.is_hidden]
    except TableError as trouble:
        place = Location(name, trouble.line, trouble.column)
        return [file_fault("RECORD-006", place, f"{trouble}.", "Save it as a workbook (.xlsx) without a password.")]
    called = [sheet for sheet in sheets if _spelt(sheet.name) in (kind, f"{kind}s")]
    meant = called or sheets
    if len(meant) != 1:
        what = f"Which of its {len(sheets)} sheets holds the events cannot be told."
        return [file_fault("RECORD-006", Location(name, 0, 0), what, f"Call that sheet “{kind}s”.")]
    head, *rows = meant[0].rows
    if twice := _said_twice([cell.text for cell in head], kind):
        return [_twice(name, twice, head[0].line)]
    for row in rows:
        for cell in row:
            is_lost = (cell.line, cell.column) in meant[0].valueless or cell.line in meant[0].hidden_rows
            if is_lost or (cell.text and not any(one.text and one.column == cell.column for one in head)):
                what = "A cell stands under no heading, in a hidden row, or is a formula without a value."
                fix = "Show the row, give the column a heading, or write the value."
                return [file_fault("RECORD-006", Location(name, cell.line, cell.column), what, fix)]
    names = {cell.column: cell.text for cell in head}
    return [
        Row(
            {names[cell.column]: cell.text for cell in row if cell.text},
            f"row {row[0].line} of {name}",
            row[0].line,
        )
        for row in rows
    ]


def events_of(
    rows: Sequence[Row], name: str, kind: str, day: date, for_all: Mapping[str, str]
) -> list[Event] | list[Diagnostic]:
    """Return the events of a table's rows; or what in its headings and days is not understood.

    Parameters
    ----------
    day
        When it happened, where a row has no day of its own.
    for_all
        What was said of all of them, by option.
    """
    if not rows:
        what = "The table has no rows below its headings."
        return [file_fault("RECORD-006", Location(name, 0, 0), what, "Write one event a row.")]
    faults = list(_unknown_headings(rows, name, kind))
    in_rows = {_option(heading, kind) for row in rows for heading in row.cells}
    for_all = {option: said for option, said in for_all.items() if option not in _OUTCOMES or option not in in_rows}
    events = []
    for row in rows:
        by_name_first = sorted(row.cells.items(), key=lambda cell: "name" not in cell[0].lower())  # an id tells better
        cells = {_option(heading, kind): text for heading, text in by_name_first}
        typed = cells.pop(_DAY, "")
        try:
            happened = date.fromisoformat(typed) if typed else day
        except ValueError:
            what = f"“{typed[:20]}” is not a day that can be told."
            faults.append(file_fault("RECORD-006", Location(name, row.line, 1), what, "Write it as 2026-11-24."))
            continue
        told = {**for_all, **cells}
        if kind != "fit-test" or any(told.get(name) for name in _TESTED):  # else a row that was prepared, and no test
            events.append(Event(kind, happened, told, row.place))
    if not events and not faults:
        what = "No row tells what came of a test."
        faults.append(file_fault("RECORD-006", Location(name, 1, 1), what, "Fill in `result`, or `factor`."))
    return faults or events


def said_in_turn(told: Mapping[str, Sequence[str]], most: int = 0) -> list[dict[str, str]] | Diagnostic:
    """Return what was said of each of several events; or why it can't be told what belongs to which.

    Parameters
    ----------
    told
        By option what was said of it, in turn. What was said once is said of all.
    most
        How many events there may be; 0: any number.

    >>> said_in_turn({"finding": ["No hooks", "No lamp"], "owner": ["Jo"]})
    [{'finding': 'No hooks', 'owner': 'Jo'}, {'finding': 'No lamp', 'owner': 'Jo'}]
    """
    count = max(map(len, told.values()), default=1)
    uneven = [name for name, values in told.items() if len(values) not in (1, most or count)]
    if uneven:
        what = f"`--{uneven[0]}` is said {len(told[uneven[0]])} times, and the others are not."
        fix = "Say each of them as often as there are events, or once for all; many events fit into a table (`--from`)."
        return file_fault("RECORD-005", Location("what you typed", 0, 0), what, fix)
    return [{name: values[min(i, len(values) - 1)] for name, values in told.items()} for i in range(count)]


def _said_twice(head: Sequence[str], kind: str) -> str:
    """Return what two headings mean, "" where each means another; a name beside an id is of the same person."""
    meant = [_option(heading, kind) for heading in head if heading]
    return next((one for one in meant if one != "who" and meant.count(one) > 1), "")


def _twice(name: str, option: str, line: int) -> Diagnostic:
    what = f"Two columns of the table mean `{option}`: which of them holds cannot be told."
    return file_fault("RECORD-006", Location(name, line, 1), what, "Take one of them out, or head it by what it is.")


def _options(kind: str) -> tuple[str, ...]:
    return (*KINDS[kind][1], *KINDS[kind][2], _DAY)


def _option(heading: str, kind: str) -> str:
    name = _spelt(heading)
    return name if name in _options(kind) else _ALSO_CALLED.get(name, name)


def _spelt(heading: str) -> str:
    return "-".join(heading.lower().replace("_", " ").replace("-", " ").split())


def _unknown_headings(rows: Iterable[Row], name: str, kind: str) -> Iterable[Diagnostic]:
    """Yield each heading over filled cells that is not read: a value left out unseen is a record that is wrong."""
    known = _options(kind)
    for heading in dict.fromkeys(heading for row in rows for heading in row.cells):
        if _option(heading, kind) not in known:
            near = difflib.get_close_matches(_option(heading, kind), known, 1, 0.6)
            # A heading may tell of somebody's health: it is not repeated.
            what = "A heading of the table is not known here."
            fix = f"Did you mean `{near[0]}`?" if near else f"Known are: {', '.join(known)}. Take other columns out."
            yield file_fault("RECORD-006", Location(name, 1, 1), what, fix)
