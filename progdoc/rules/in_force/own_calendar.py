"""When an entry of the firm's own calendar comes round again: as a day, and in words."""

from __future__ import annotations

from datetime import date

from progdoc.calc.calendar_days import first_day_in_months, last_weekday_until, weekday_after, window_end_after
from progdoc.model.description.calendar_entries import CalendarEntry, Month, Months, Weekday
from progdoc.model.description.words import as_printed
from progdoc.rules.in_force.intervals import own, shortest

__all__ = ["months_of", "next_day", "what_words", "when_words"]

_MONTHS, _WEEKDAYS = tuple(Month), tuple(Weekday)


def what_words(entry: CalendarEntry) -> str:
    """Return what people call an entry of the calendar."""
    return entry.name or as_printed(entry.routine).replace("-", " ")


def months_of(span: Months) -> tuple[int, int]:
    """Return the first and the last month of a span, 1 for January."""
    return _MONTHS.index(span.first) + 1, _MONTHS.index(span.last) + 1


def next_day(entry: CalendarEntry) -> date | None:
    """Return by when it is done again; None where nobody says when it was done, or it goes by no calendar."""
    done = entry.last_done
    if done is None:
        return None
    days = [_WEEKDAYS.index(day) for day in entry.weekdays]
    found = [window_end_after(done, *months_of(entry.window))] if entry.window is not None else []
    cycle = shortest(done, own(entry.every))
    if cycle is not None:
        due = cycle.from_day(done)
        found.append(last_weekday_until(due, done, days) if days else due)
    elif days and not found:
        found.append(weekday_after(done, days))
    if not found:
        return None
    return min(found) if entry.season is None else _in_season(min(found), entry.season, days)


def _in_season(day: date, season: Months, days: list[int]) -> date:
    begins = first_day_in_months(day, *months_of(season))
    return begins if begins == day or not days or begins.weekday() in days else weekday_after(begins, days)


def when_words(entry: CalendarEntry) -> str:
    """Return when it is done, in words; nothing where nobody says."""
    parts = [f"every {entry.every.printed}"] if entry.every is not None else []
    if entry.window is not None:
        parts.append(f"once a year, {_span_words(entry.window)}")
    if entry.weekdays:
        parts.append(f"on {', '.join(day.value for day in entry.weekdays)}")
    if entry.once_per is not None:
        parts.append(f"once per {entry.once_per.value}")
    if entry.at:
        parts.append(f"at {', '.join(entry.at)}")
    if entry.season is not None:
        parts.append(f"in the season, {_span_words(entry.season)}")
    return "; ".join(parts)


def _span_words(span: Months) -> str:
    return f"in {span.first.value}" if span.first is span.last else f"{span.first.value} to {span.last.value}"
