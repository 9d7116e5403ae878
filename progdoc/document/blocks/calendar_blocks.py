"""The firm's own calendar: beside what it is about, and in one table of the year."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from progdoc.core.numbers import long_date
from progdoc.core.said import capital, said, said_join
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.tree.nodes import Block, Column, Row, Table
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.calendar_entries import CalendarEntry, Routine
from progdoc.model.description.words import label_of
from progdoc.rules.judged.result import Judged

__all__ = ["calendar_blocks", "practice_blocks"]

AIR = "breathing-air"
_PLACES: Mapping[Routine, str] = {
    Routine.MEDICAL_REVIEW: "medical",
    Routine.FIT_TEST: "fit-testing",
    Routine.TRAINING: "training",
    Routine.DRILL: "emergencies",
    Routine.CONSULTATION: "evaluation",
    Routine.EVALUATION: "evaluation",
    Routine.INSPECTION: "inspection",
    Routine.CLEANING: "cleaning",
    Routine.STOCK_COUNT: "storage",
    Routine.FLOW_TEST: "inspection",
    Routine.CALIBRATION: "inspection",
    Routine.AIR_TEST: AIR,
    Routine.SORBENT_CHANGE: AIR,
    Routine.FILTER_CHANGE: "filters",
    Routine.AIR_MONITORING: "selection",
    Routine.RECORDS_REVIEW: "records",
}
_CAPTION = said("On our own calendar, by policy or practice")


def calendar_blocks(judged: Judged) -> dict[str, tuple[Block, ...]]:
    """Return "calendar.PLACE" for each section that has entries, and "year", all of them by the day that comes next."""
    by_place: dict[str, list[CalendarEntry]] = {}
    for entry in judged.description.calendar:
        by_place.setdefault(_PLACES[entry.routine], []).append(entry)
    found = {place: _table(judged, f"calendar.{place}", _CAPTION, entries) for place, entries in by_place.items()}
    days = judged.calendar
    ordered = sorted(judged.description.calendar, key=lambda entry: days[entry.id].due or date.max)
    return {
        **{f"calendar.{place}": block for place, block in found.items()},
        f"calendar.{AIR}": found.get(AIR, ()),
        "year": _table(judged, "calendar.year", said("The year, what comes next first"), ordered),
    }


def practice_blocks(*more: Mapping[str, tuple[Block, ...]]) -> dict[str, tuple[Block, ...]]:
    """Return "practice.PLACE" for every section: what stands there of the firm's calendar and of its order of steps."""
    found: dict[str, tuple[Block, ...]] = {f"practice.{place}": () for place in _PLACES.values()}
    for name, blocks in (pair for one in more for pair in one.items()):
        place = f"practice.{name.partition('.')[2]}"
        if place in found:
            found[place] = (*found[place], *blocks)
    return found


def _table(judged: Judged, identity: str, caption: str, entries: Iterable[CalendarEntry]) -> tuple[Block, ...]:
    rows = tuple(_row(judged, identity, entry) for entry in entries)
    columns = (
        Column(said("What"), 4),
        Column(said("When"), 4),
        Column(said("Set by"), 4),
        Column(said("By, for whom"), 3),
        Column(said("Last, next"), 3),
    )
    return (Table(identity, caption, columns, rows),) if rows else ()


def _row(judged: Judged, identity: str, entry: CalendarEntry) -> Row:
    seen, names = judged.calendar[entry.id], {post.id: label_of(post) for post in judged.description.posts}
    groups = {group.id: group.name for group in judged.description.groups}
    about = [label_of(judged.index.masks[one][1]) for one in entry.masks] + [names[one] for one in entry.posts]
    what = capital(seen.what)
    what = said("%(what)s (%(about)s)", what=what, about=said_join(about, ", ")) if about else what
    kept = said("record kept %(kept_for)s", kept_for=entry.kept_for.printed) if entry.kept_for is not None else ""
    last = said("last %(last_done)s", last_done=long_date(entry.last_done)) if entry.last_done is not None else ""
    due = said("next by %(due)s", due=long_date(seen.due)) if seen.due is not None else ""
    cells = (
        what,
        seen.when or said("not said"),
        in_quotes(seen.set_by),
        said_join((part for part in (entry.by, entry.whom, *(groups[one] for one in entry.groups)) if part), "; ")
        or "–",
        said_join((part for part in (last, due, kept) if part), "; ") or "–",
    )
    return Row(f"{identity}.{entry.id}", tuple(map(text_cell, cells)))
