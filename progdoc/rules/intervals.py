"""Intervals as people write them, laid from a day on: "12 months", "14 days"."""

from __future__ import annotations

from datetime import date

from progdoc.calc.due import due_date
from progdoc.model.quantities import Quantity

__all__ = ["after", "earlier_of"]

_DAYS = {"day": 1, "week": 7}
_MONTHS = {"month": 1, "year": 12}


def after(day: date, interval: Quantity) -> date:
    """Return the due date of something done on a day and to be done again after an interval."""
    count = int(interval.value)
    if interval.unit in _DAYS:
        return due_date(day, days=count * _DAYS[interval.unit])
    return due_date(day, months=count * _MONTHS[interval.unit])


def earlier_of(day: date, months: int, own: Quantity | None) -> date:
    """Return the due date by the law's interval, or by the firm's own where that is shorter."""
    due = due_date(day, months=months)
    return due if own is None else min(due, after(day, own))
