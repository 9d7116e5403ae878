"""The firm's own calendar: beside what it is about, and in one table of the year."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from progdoc.core.numbers import long_date
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.blocks.assignment_blocks import text_cell
from progdoc.document.tree.nodes import Block, Column, Row, Table
from progdoc.model.description.calendar_entries import CalendarEntry, Routine
from progdoc.model.description.program import Place
from progdoc.model.description.words import label_of
from progdoc.rules.judged.result import Judged

__all__ = ["before_own", "calendar_blocks"]

AIR = "breathing-air"
_PLACES: Mapping[Routine, str] = {
    Routine.MEDICAL_REVIEW: Place.MEDICAL,
    Routine.FIT_TEST: Place.FIT_TESTING,
    Routine.TRAINING: Place.TRAINING,
    Routine.DRILL: Place.EMERGENCIES,
    Routine.CONSULTATION: Place.EVALUATION,
    Routine.EVALUATION: Place.EVALUATION,
    Routine.INSPECTION: Place.INSPECTION,
    Routine.CLEANING: Place.CLEANING,
    Routine.STOCK_COUNT: Place.STORAGE,
    Routine.FLOW_TEST: Place.INSPECTION,
    Routine.CALIBRATION: Place.INSPECTION,
    Routine.AIR_TEST: AIR,
    Routine.SORBENT_CHANGE: AIR,
    Routine.FILTER_CHANGE: Place.FILTERS,
    Routine.AIR_MONITORING: Place.SELECTION,
    Routine.RECORDS_REVIEW: Place.RECORDS,
}
_CAPTION = "On our own calendar, by policy or practice"


def calendar_blocks(judged: Judged) -> dict[str, tuple[Block, ...]]:
    """Return "calendar.PLACE" for each section that has entries, and "year", all of them by the day that comes next."""
    by_place: dict[str, list[CalendarEntry]] = {}
    for entry in judged.description.calendar:
        by_place.setdefault(str(_PLACES[entry.routine]), []).append(entry)
    found = {place: _table(judged, f"calendar.{place}", _CAPTION, entries) for place, entries in by_place.items()}
    days = judged.calendar
    ordered = sorted(judged.description.calendar, key=lambda entry: days[entry.id].due or date.max)
    return {
        **{f"calendar.{place}": block for place, block in found.items()},
        f"calendar.{AIR}": found.get(AIR, ()),
        "year": _table(judged, "calendar.year", "The year, what comes next first", ordered),
    }


def before_own(
    own: Mapping[str, tuple[Block, ...]], *more: Mapping[str, tuple[Block, ...]]
) -> dict[str, tuple[Block, ...]]:
    """Return the firm's own text for every place, behind what stands there of its calendar and its policies."""
    by_place: dict[str, tuple[Block, ...]] = {}
    for name, blocks in (pair for one in more for pair in one.items()):
        place = name.partition(".")[2]
        by_place[place] = (*by_place.get(place, ()), *blocks)
    return {name: (*by_place.get(name.partition(".")[2], ()), *blocks) for name, blocks in own.items()}


def _table(judged: Judged, identity: str, caption: str, entries: Iterable[CalendarEntry]) -> tuple[Block, ...]:
    rows = tuple(_row(judged, identity, entry) for entry in entries)
    columns = (
        Column("What", 4),
        Column("When", 4),
        Column("Set by", 4),
        Column("By, for whom", 3),
        Column("Last, next", 3),
    )
    return (Table(identity, caption, columns, rows),) if rows else ()


def _row(judged: Judged, identity: str, entry: CalendarEntry) -> Row:
    seen, names = judged.calendar[entry.id], {post.id: label_of(post) for post in judged.description.posts}
    about = [label_of(judged.index.masks[one][1]) for one in entry.masks] + [names[one] for one in entry.posts]
    what = seen.what[:1].upper() + seen.what[1:]
    what = f"{what} ({', '.join(about)})" if about else what
    kept = f"record kept {entry.kept_for.printed}" if entry.kept_for is not None else ""
    last = f"last {long_date(entry.last_done)}" if entry.last_done is not None else ""
    due = f"next by {long_date(seen.due)}" if seen.due is not None else ""
    cells = (
        what,
        seen.when or "not said",
        in_quotes(seen.set_by),
        "; ".join(part for part in (entry.by, entry.whom) if part) or "–",
        "; ".join(part for part in (last, due, kept) if part) or "–",
    )
    return Row(f"{identity}.{entry.id}", tuple(map(text_cell, cells)))
