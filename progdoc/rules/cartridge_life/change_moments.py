"""A change interval as moments of the day that a crew can keep: a pause, the end of the shift, or an hour.

The clock runs from the opening of a cartridge, worn or not: vapours wander on in a cartridge that lies still.
"""

from __future__ import annotations

from collections.abc import Sequence

from progdoc.core.numbers import interval_words
from progdoc.core.said import said, said_join
from progdoc.model.description.clock import minutes_of_day
from progdoc.model.description.upkeep import FilterChanges
from progdoc.rules.judged.cartridge_results import Moment

__all__ = ["change_moments", "moments_words"]

_STEP_MIN = 15
_WORTHWHILE = 0.5  # our choice: a pause serves if at least half of the interval has passed


def change_moments(interval_min: float, shift_min: float, day: FilterChanges) -> tuple[Moment, ...]:
    """Return the changes within a shift: at the last pause that is early enough, else by the clock."""
    if day.shift_starts is None:
        return ()
    begins = minutes_of_day(day.shift_starts)
    pauses = sorted(((minutes_of_day(p.at) - begins) % 1440, p.name) for p in day.breaks)
    found: list[Moment] = []
    opened = 0.0
    while shift_min - opened > interval_min:
        earliest, latest = opened + _WORTHWHILE * interval_min, opened + interval_min
        fitting = [(at, name) for at, name in pauses if earliest <= at <= latest]
        at, name = fitting[-1] if fitting else ((opened + interval_min) // _STEP_MIN * _STEP_MIN, "")
        if at <= opened:
            break
        found.append(Moment(at, name, _clock(begins + at)))
        opened = at
    return tuple(found)


def _clock(minutes: float) -> str:
    whole = int(minutes) % 1440
    return f"{whole // 60:02d}:{whole % 60:02d}"


def moments_words(moments: Sequence[Moment], interval_min: float, shift_min: float, task_min: float | None) -> str:
    """Return the schedule in a line: "at the lunch break, 12:00; and at the end of every shift"."""
    if interval_min >= shift_min:
        return said("at the end of every shift")
    if task_min is not None and task_min <= interval_min:
        latest = interval_words(interval_min)
        return said(
            "a new one whenever the task begins; %(latest)s after opening at the latest; at the end of every shift",
            latest=latest,
        )
    if not moments:
        return said(
            "%(interval_min)s after opening at the latest, and at the end of every shift",
            interval_min=interval_words(interval_min),
        )
    parts = [
        said("at the %(m)s, %(clock)s", m=m.name, clock=m.clock) if m.name else said("at %(clock)s", clock=m.clock)
        for m in moments
    ]
    return said("%(parts)s; and at the end of every shift", parts=said_join(parts, "; "))
