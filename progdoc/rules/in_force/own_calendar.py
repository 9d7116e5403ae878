"""When an entry of the firm's own calendar comes round again: as a day, and in words."""

from __future__ import annotations

from datetime import date

from progdoc.calc.calendar_days import first_day_in_months, last_weekday_until, weekday_after, window_end_after
from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.calendar_entries import CalendarEntry, Month, Months, Weekday
from progdoc.rules.in_force.intervals import own, shortest

__all__ = ["months_of", "next_day", "what_words", "when_words"]

_MONTHS, _WEEKDAYS = tuple(Month), tuple(Weekday)


def what_words(entry: CalendarEntry) -> str:
    """Return what people call an entry of the calendar."""
    return entry.name or said_choice(entry.routine)


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
    parts = [said("every %(every)s", every=entry.every.printed)] if entry.every is not None else []
    if entry.window is not None:
        parts.append(said("once a year, %(span_words)s", span_words=_span_words(entry.window)))
    if entry.weekdays:
        parts.append(said("on %(weekdays)s", weekdays=said_join((said_choice(day) for day in entry.weekdays), ", ")))
    if entry.once_per is not None:
        parts.append(said("once per %(once_per)s", once_per=said_choice(entry.once_per)))
    if entry.at:
        parts.append(said("at %(at)s", at=said_join(entry.at, ", ")))
    if entry.season is not None:
        parts.append(said("in the season, %(span_words)s", span_words=_span_words(entry.season)))
    return said_join(parts, "; ")


def _span_words(span: Months) -> str:
    return (
        said("in %(first)s", first=said_choice(span.first))
        if span.first is span.last
        else said("%(first)s to %(last)s", first=said_choice(span.first), last=said_choice(span.last))
    )
