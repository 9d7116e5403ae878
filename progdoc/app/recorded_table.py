"""A table of events, one a row, such as a day of fit tests: rows to events, and what in it can't be read.

Columns are headed as the options are called. What a row leaves empty is taken from what was said for all of them.
Whoever reads another kind of table (a workbook) hands its rows over as `Row`s and needs no more.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from progdoc.app.event_kinds import KINDS
from progdoc.app.file_faults import file_fault
from progdoc.app.record_events import Event
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.model.people_table.csv_text import TableError, decoded_table, rows_of, separator_of

__all__ = ["Row", "events_of", "rows_in", "said_in_turn"]

_DAY = "date"
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
    """Return the rows of a table kept as CSV; or why it can't be read."""
    known = {spelt for option in (*_options(kind), *_ALSO_CALLED) for spelt in (option, option.replace("-", " "))}
    try:
        text = decoded_table(data)
        rows = rows_of(text, *separator_of(text, {*known, *(word.replace("-", "_") for word in known)}))
    except TableError as trouble:
        place = Location(name, trouble.line, trouble.column)
        return [file_fault("RECORD-006", place, f"{trouble}.", "In the spreadsheet, save it as “CSV UTF-8”.")]
    head = [cell.text for cell in rows[0]] if rows else []
    found = []
    for row in rows[1:]:
        cells = {head[i]: cell.text for i, cell in enumerate(row) if cell.text and i < len(head)}
        found.append(Row(cells, f"line {row[0].line} of {name}", row[0].line))
        if any(cell.text for cell in row[len(head) :]):
            what = "A cell of this row stands under no heading."
            return [file_fault("RECORD-006", Location(name, row[0].line, 1), what, "Give its column a heading.")]
    return found


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
    events = []
    for row in rows:
        cells = {_option(heading): text for heading, text in row.cells.items()}
        typed = cells.pop(_DAY, "")
        try:
            happened = date.fromisoformat(typed) if typed else day
        except ValueError:
            what = f"“{typed[:20]}” is not a day that can be told."
            faults.append(file_fault("RECORD-006", Location(name, row.line, 1), what, "Write it as 2026-11-24."))
            continue
        events.append(Event(kind, happened, {**for_all, **cells}, row.place))
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


def _options(kind: str) -> tuple[str, ...]:
    return (*KINDS[kind][1], *KINDS[kind][2], _DAY)


def _option(heading: str) -> str:
    name = "-".join(heading.lower().replace("_", " ").replace("-", " ").split())
    return _ALSO_CALLED.get(name, name)


def _unknown_headings(rows: Iterable[Row], name: str, kind: str) -> Iterable[Diagnostic]:
    """Yield each heading over filled cells that is not read: a value left out unseen is a record that is wrong."""
    known = _options(kind)
    for heading in dict.fromkeys(heading for row in rows for heading in row.cells):
        if _option(heading) not in known:
            near = difflib.get_close_matches(_option(heading), known, 1, 0.6)
            # A heading may tell of somebody's health: it is not repeated.
            what = "A heading of the table is not known here."
            fix = f"Did you mean `{near[0]}`?" if near else f"Known are: {', '.join(known)}. Take other columns out."
            yield file_fault("RECORD-006", Location(name, 1, 1), what, fix)
