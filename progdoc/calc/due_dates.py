"""When a dated record stops counting: month arithmetic, due dates, and which record stands on a day.

The convention, used everywhere: a record done on a day with an interval of n months still counts **on** the
same day of the month n months later, its due date, and is overdue the day after. The law says so of
training, whose latest day is the one twelve months after the last (29 CFR 1910.134(k)(4)), and says only
"annually" elsewhere. Where the later month is too short, its last day is the due date: never a
day into the next month.

This module never asks what day it is, and refuses intervals of no length: "whenever needed" has no due date.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable
from datetime import MAXYEAR, date, timedelta

from progdoc.core.errors import DomainError
from progdoc.core.late_dataclass import dataclass

__all__ = ["Record", "days_until", "due_date", "ended_on", "is_overdue", "months_after", "standing_record"]


@dataclass(frozen=True, slots=True, order=True)
class Record:
    """Something done and passed on a day, and the last day on which it counts."""

    done: date
    due: date


def months_after(day: date, months: int) -> date:
    """Return the same day of the month, some months later.

    Parameters
    ----------
    day
        The day to count from. [date]
    months
        How many months to go on, 0 or more. [months]

    Returns
    -------
    date
        The day of the same number, or the month's last day where it is too short. [date]

    Raises
    ------
    DomainError
        If the months are negative or lead past the last year a calendar here can write.

    Examples
    --------
    >>> months_after(date(2026, 1, 31), 1).isoformat(), months_after(date(2024, 2, 29), 12).isoformat()
    ('2026-02-28', '2025-02-28')

    References
    ----------
    .. [1] 29 CFR 1910.134(f)(2), (h)(3)(i)(B), (k)(4) and (k)(5): intervals in months and years.

    Notes
    -----
    The law does not say what 12 months after 29 February is; the last day of the short month is our
    choice, the stricter one. Adding n months and then m is not always adding n + m: count each due date
    from the record itself.
    """
    if months < 0:
        raise DomainError(f"{months=}: needs 0 or more")
    years, month_index = divmod(day.month - 1 + months, 12)
    year = day.year + years
    if year > MAXYEAR:
        raise DomainError(f"{months=} after {day}: leads past the year {MAXYEAR}")
    month = month_index + 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def due_date(done: date, *, months: int = 0, days: int = 0) -> date:
    """Return the last day on which something done still counts.

    Parameters
    ----------
    done
        The day it was done. [date]
    months
        Length of the interval in calendar months; a year is 12. [months]
    days
        Further days, for an interval that is given in days or weeks. [days]

    Returns
    -------
    date
        The due date: the record counts on this day, and no longer on the next. [date]

    Raises
    ------
    DomainError
        If a part is negative, both are zero, or the due date lies past the end of the calendar.

    Examples
    --------
    >>> due_date(date(2025, 3, 1), months=12).isoformat(), due_date(date(2025, 3, 1), days=7).isoformat()
    ('2026-03-01', '2025-03-08')

    References
    ----------
    .. [1] 29 CFR 1910.134(k)(4): the latest day for training, twelve months after the last.

    Notes
    -----
    That the due date itself still counts is the law's wording for training and our reading of "annually"
    (f)(2), (k)(5) and "monthly" (h)(3)(i)(B).
    """
    if months < 0 or days < 0 or months + days == 0:
        raise DomainError(f"{months=}, {days=}: needs an interval longer than nothing")
    try:
        return months_after(done, months) + timedelta(days=days)
    except OverflowError as error:
        raise DomainError(f"{days=} after {done}: leads past the year {MAXYEAR}") from error


def is_overdue(due: date, as_of: date) -> bool:
    """Return whether the due date has gone by.

    Parameters
    ----------
    due
        The last day on which the record counts. [date]
    as_of
        The day to judge. [date]

    Returns
    -------
    bool
        False up to and on the due date, True from the day after. [–]

    Raises
    ------
    DomainError
        Never: any two dates can be compared.

    Examples
    --------
    >>> is_overdue(date(2026, 3, 1), date(2026, 3, 1)), is_overdue(date(2026, 3, 1), date(2026, 3, 2))
    (False, True)

    References
    ----------
    .. [1] 29 CFR 1910.134(k)(4): the latest day for training, twelve months after the last.

    Notes
    -----
    See the module's convention for the due date itself.
    """
    return as_of > due


def days_until(due: date, as_of: date) -> int:
    """Return how many days are left.

    Parameters
    ----------
    due
        The last day on which the record counts. [date]
    as_of
        The day to count from. [date]

    Returns
    -------
    int
        0 on the due date, negative once it is overdue. [days]

    Raises
    ------
    DomainError
        Never: any two dates have a difference.

    Examples
    --------
    >>> days_until(date(2026, 3, 1), date(2026, 2, 27)), days_until(date(2026, 3, 1), date(2026, 3, 2))
    (2, -1)

    References
    ----------
    .. [1] Common practice, no source: a difference of two calendar dates.

    Notes
    -----
    Calendar days, not working days.
    """
    return (due - as_of).days


def ended_on(done: date, endings: Iterable[date], as_of: date) -> date | None:
    """Return the day on which something ended a record before its time.

    Parameters
    ----------
    done
        The day of the record. [date]
    endings
        Days of events that end an earlier record: a failed test on the same facepiece, a physical change
        of the face, a clearance withdrawn. [date]
    as_of
        The day to judge; later events have not happened yet. [date]

    Returns
    -------
    date or None
        The first such event after the record and up to the day judged, if there is one. [date]

    Raises
    ------
    DomainError
        Never: any dates can be compared.

    Examples
    --------
    >>> ended_on(date(2026, 1, 5), [date(2025, 9, 1), date(2026, 4, 2)], date(2026, 6, 1)).isoformat()
    '2026-04-02'

    References
    ----------
    .. [1] 29 CFR 1910.134(f)(3): a further fit test after a physical change that could affect fit.
    .. [2] 29 CFR 1910.134, Appendix A, Part I.C.2(b)(7): refit and retest after a failure.

    Notes
    -----
    An event of the same day as a pass does not end it: the test that a physical change calls for follows the
    change (our reading; dates carry no time of day). Whether a pass followed a failure of its day is for the
    caller to find out.
    """
    return min((day for day in endings if done < day <= as_of), default=None)


def standing_record(records: Iterable[Record], endings: Iterable[date], as_of: date) -> Record | None:
    """Return the record a person stands on: the one that counts longest and that nothing has ended.

    Parameters
    ----------
    records
        What was done and passed, each with its own due date. [date]
    endings
        Days of events that end every earlier record. [date]
    as_of
        The day to judge; records dated later are plans, not proof. [date]

    Returns
    -------
    Record or None
        The record with the latest due date (of equals, the newer one). It may be overdue: ask `is_overdue`.
        None if there is no record or every one was ended. [date]

    Raises
    ------
    DomainError
        If a record's due date lies before the day it was done.

    Examples
    --------
    >>> passed = [Record(date(2025, 3, 1), date(2026, 3, 1)), Record(date(2026, 1, 9), date(2027, 1, 9))]
    >>> standing_record(passed, [], date(2026, 2, 1)).due.isoformat()
    '2027-01-09'
    >>> standing_record(passed, [date(2026, 1, 20)], date(2026, 2, 1)) is None
    True

    References
    ----------
    .. [1] 29 CFR 1910.134(f)(2) and (f)(3): when a fit test must be done anew.

    Notes
    -----
    A later pass never shortens what an earlier one gave. Where it may, as with a medical review date that
    the health professional brings forward, hand in only the latest record.
    """
    events = tuple(endings)
    standing: Record | None = None
    for record in records:
        if record.due < record.done:
            raise DomainError(f"due {record.due} before done {record.done}: needs a due date after the record")
        if record.done > as_of or ended_on(record.done, events, as_of) is not None:
            continue
        if standing is None or (record.due, record.done) > (standing.due, standing.done):
            standing = record
    return standing
