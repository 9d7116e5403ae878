"""Days of a firm's own calendar: months of each year in a row, and days of the week.

Intervals are laid from a day on in `due_dates`; here is what goes by the calendar's own names. Months are counted from
1 for January, days of the week from 0 for Monday.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Collection
from datetime import date, timedelta

from progdoc.core.errors import DomainError

__all__ = ["first_day_in_months", "last_weekday_until", "weekday_after", "window_end_after"]

_MONTHS, _WEEK = 12, 7


def _is_in(month: int, first: int, last: int) -> bool:
    return first <= month <= last if first <= last else month >= first or month <= last


def _checked(first: int, last: int) -> None:
    if not (1 <= first <= _MONTHS and 1 <= last <= _MONTHS):
        raise DomainError(f"{first=}, {last=}: months are counted from 1 to 12")


def window_end_after(done: date, first: int, last: int) -> date:
    """Return by when something is done again that is done once a year, in some months in a row.

    Parameters
    ----------
    done
        The day on which it was last done. [date]
    first
        The first month of the window, 1 for January. [month]
    last
        Its last month; less than `first` where the window goes over the turn of the year. [month]

    Returns
    -------
    date
        The last day of the next window that begins after the day it was done. [date]

    Raises
    ------
    DomainError
        If a month is none of the twelve.

    Examples
    --------
    >>> window_end_after(date(2026, 3, 5), 1, 9).isoformat(), window_end_after(date(2025, 12, 5), 1, 9).isoformat()
    ('2027-09-30', '2026-09-30')

    References
    ----------
    .. [1] Our own convention: a window belongs to the year in which it begins, and is for one time.

    Notes
    -----
    What was done between two windows counts for the one before: the next window is due all the same.
    """
    _checked(first, last)
    begins = date(done.year, first, 1)
    year = done.year if begins > done else done.year + 1
    end = year if first <= last else year + 1
    return date(end, last, monthrange(end, last)[1])


def first_day_in_months(day: date, first: int, last: int) -> date:
    """Return a day itself where it lies in some months in a row, or the first day of the next of them.

    Parameters
    ----------
    day
        The day to begin with. [date]
    first
        The first month of the season, 1 for January. [month]
    last
        Its last month; less than `first` where it goes over the turn of the year. [month]

    Returns
    -------
    date
        The first day from that one on that lies in the season. [date]

    Raises
    ------
    DomainError
        If a month is none of the twelve.

    Examples
    --------
    >>> first_day_in_months(date(2026, 5, 20), 10, 3).isoformat()
    '2026-10-01'

    References
    ----------
    .. [1] Our own convention: what falls due out of season is due when the season begins.
    """
    _checked(first, last)
    if _is_in(day.month, first, last):
        return day
    begins = date(day.year, first, 1)
    return begins if begins > day else date(day.year + 1, first, 1)


def weekday_after(day: date, weekdays: Collection[int]) -> date:
    """Return the next day after a day that is one of some days of the week.

    Parameters
    ----------
    day
        The day after which to look. [date]
    weekdays
        Days of the week, 0 for Monday. [day of the week]

    Returns
    -------
    date
        The first such day after it, a week later at most. [date]

    Raises
    ------
    DomainError
        If no day of the week is given.

    Examples
    --------
    >>> weekday_after(date(2026, 6, 1), [0]).isoformat(), weekday_after(date(2026, 6, 1), [0, 3]).isoformat()
    ('2026-06-08', '2026-06-04')

    References
    ----------
    .. [1] ISO 8601, 4.3: the week begins on Monday.
    """
    if not set(weekdays) & set(range(_WEEK)):
        raise DomainError(f"{weekdays=}: needs a day of the week, 0 to 6")
    return next(later for n in range(1, _WEEK + 1) if (later := day + timedelta(days=n)).weekday() in weekdays)


def last_weekday_until(due: date, after: date, weekdays: Collection[int]) -> date:
    """Return the last of some days of the week up to a due date; the first after it was done, where there is none.

    Parameters
    ----------
    due
        The last day on which it counts. [date]
    after
        The day on which it was done. [date]
    weekdays
        Days of the week, 0 for Monday. [day of the week]

    Returns
    -------
    date
        Such a day on or before the due date and after the day it was done. [date]

    Raises
    ------
    DomainError
        If no day of the week is given.

    Examples
    --------
    >>> last_weekday_until(date(2026, 7, 1), date(2026, 6, 1), [0]).isoformat()
    '2026-06-29'

    References
    ----------
    .. [1] ISO 8601, 4.3: the week begins on Monday.
    """
    found = weekday_after(after, weekdays)
    return max(
        (d for n in range(_WEEK) if (d := due - timedelta(days=n)) > after and d.weekday() in weekdays), default=found
    )
