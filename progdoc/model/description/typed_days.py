"""Days as they are typed, or a sentence that says why one is none."""

from __future__ import annotations

import re
from datetime import date

from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join
from progdoc.model.description.typed_text import one_text, short_text

__all__ = ["as_date"]

_EARLIEST, _LATEST = 1950, 2100
_A_DATE = said("a date such as `2026-03-04`")


def as_date(value: object) -> date:
    """Return a day written as year, month and day.

    >>> as_date("2026-03-04")
    datetime.date(2026, 3, 4)
    """
    if isinstance(value, date):
        value = value.isoformat()
    text = one_text(value, _A_DATE)
    match = re.fullmatch(r"([0-9]{4})-([0-9]{2})-([0-9]{2})", text)
    if not match:
        raise ValueError(_date_trouble(text))
    year, month, day = (int(part) for part in match.groups())
    written = _day(year, month, day)
    if written is None:
        raise ValueError(
            said(
                "%(shown)s is not a day of the calendar. Check month and day: year-month-day, `2026-03-04`.",
                shown=f"`{text}`",
            )
        )
    if not _EARLIEST <= year <= _LATEST:
        raise ValueError(
            said(
                "The year of %(shown)s is not between %(first)s and %(last)s. Check it for a slip.",
                shown=f"`{text}`",
                first=_EARLIEST,
                last=_LATEST,
            )
        )
    return written


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _date_trouble(text: str) -> str:
    """Say what to type for a date in another form; offer both readings where there are two."""
    shown = f"`{short_text(text)}`"
    slashed = re.fullmatch(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-]([0-9]{4}|[0-9]{2})", text)
    if slashed:
        one, two, year = (int(part) for part in slashed.groups())
        year += 2000 if year < 100 else 0
        readings = sorted({day for day in (_day(year, one, two), _day(year, two, one)) if day})
        if len(readings) == 2:
            offers = said_join(map(_offered, readings), said(" or "))
            return said("%(shown)s can be read as two different days. Write %(offers)s.", shown=shown, offers=offers)
        if readings:
            return said("%(shown)s is not written year first. Write %(day)s.", shown=shown, day=_offered(readings[0]))
        return said(
            "%(shown)s is not a day of the calendar. Write year-month-day, for example `2026-03-04`.", shown=shown
        )
    year_first = re.fullmatch(r"([0-9]{4})[-/. ]?([0-9]{1,2})[-/. ]?([0-9]{1,2})(?:[T ].*)?", text)
    day_read = _day(*(int(part) for part in year_first.groups())) if year_first else None
    if day_read:
        return said(
            "%(shown)s is not written year-month-day with hyphens. Write %(better)s.",
            shown=shown,
            better=f"`{day_read.isoformat()}`",
        )
    if re.fullmatch(r"[0-9]{4}(?:-[0-9]{1,2})?", text):
        return said("%(shown)s names no day. Write year, month and day, for example `2026-03-04`.", shown=shown)
    return said(
        "%(shown)s is no date. Write year-month-day, for example %(day)s.",
        shown=shown,
        day=_offered(date(2026, 3, 4)),
    )


def _offered(day: date) -> str:
    return said("`%(typed)s` for %(day)s", typed=day.isoformat(), day=long_date(day))
