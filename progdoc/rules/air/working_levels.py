"""What is in the air while a task is done: the highest level, and the average that loads a cartridge.

An average over longer than the task may hide the task: all of it then counts into the task's own time. The two are
not the same thing: danger and a maker's upper bound are judged by the highest, a cartridge is spent by the average.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum
from typing import NamedTuple

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import text_of
from progdoc.core.said import said, same
from progdoc.model.description.exposure_evidence import Averaging, Estimate, ObjectiveData, Sample, Samples
from progdoc.model.description.quantities import Quantity, in_unit, unit_symbol
from progdoc.model.description.workplace import Task
from progdoc.rules.air.group_notes import total_words
from progdoc.rules.air.no_level import NoLevel
from progdoc.rules.air.shift_levels import shifts_of, worked_minutes
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.limits import FULL_SHIFT_MIN

__all__ = ["WorkingLevel", "average_level", "highest_level"]

_HAIR = 1.0 + 1e-9  # minutes come from hours times 60


@dataclass(frozen=True, slots=True)
class WorkingLevel:
    """A level while the task is done, and in words how it follows from what was found."""

    value: float
    derived: str = ""


def highest_level(evidence: object, task: Task, substance: Substance | None, unit: str) -> WorkingLevel | None:
    """Return the highest level while the task is done: what IDLH and the bounds of cartridges are judged by."""
    given: list[tuple[Quantity, str, float]] = []
    if isinstance(evidence, Samples):
        given = [(s.concentration, s.duration.printed, _minutes(s)) for s in evidence.results]
    elif isinstance(evidence, ObjectiveData | Estimate):
        given = [_stated(evidence)]
    levels = [_within_task(quantity, time, minutes, task, substance, unit) for quantity, time, minutes in given]
    known = [level for level in levels if level is not None]
    if len(known) < len(levels):
        return None
    known += [_average([shift], unit) for shift in _sampled_shifts(evidence, task, substance, unit)]
    return max(known, key=lambda level: level.value, default=None)


def average_level(evidence: object, task: Task, substance: Substance | None, unit: str) -> WorkingLevel | None:
    """Return the time-weighted average while the task is done, over all shifts that were sampled for it.

    A short-term sample is taken at a bad moment: it counts only where nobody sampled for longer.
    """
    highest = highest_level(evidence, task, substance, unit)
    shifts = _sampled_shifts(evidence, task, substance, unit)
    return _average(shifts, unit) if highest is not None and shifts else highest


class _Shift(NamedTuple):
    """A sampled shift: levels with their minutes, and how much of that time is work."""

    periods: list[tuple[float, float]]
    work_min: float


def _sampled_shifts(evidence: object, task: Task, substance: Substance | None, unit: str) -> list[_Shift]:
    """Return the shifts that were sampled for longer than a short-term sample takes."""
    taken = evidence.results if isinstance(evidence, Samples) else ()
    measured = [
        (sample, value)
        for sample in taken
        if sample.averaging is Averaging.TWA
        and (value := in_limit_unit(sample.concentration, unit, substance)) is not None
    ]
    shifts = shifts_of(measured, task)
    if isinstance(shifts, NoLevel):  # nobody knows what belongs together: each sample stands alone
        shifts = {str(i): [pair] for i, pair in enumerate(measured)}
    groups = [[(value, _minutes(sample)) for sample, value in group] for group in shifts.values()]
    sampled = [fsum(minutes for _, minutes in group) for group in groups]
    return [
        _Shift(group, min(minutes, _task_min(task)))
        for group, minutes in zip(groups, sampled, strict=True)
        if min(minutes, _task_min(task)) > 0.0
    ]


def _average(shifts: Sequence[_Shift], unit: str) -> WorkingLevel:
    """Return the average with its sum, to be followed from the sample sheets; one sample as it is needs none."""
    periods = [period for shift in shifts for period in shift.periods]
    work_min = fsum(shift.work_min for shift in shifts)
    average = fsum(value * minutes for value, minutes in periods) / work_min
    if len(periods) == 1 and periods[0][1] <= work_min * _HAIR:
        return WorkingLevel(average)
    result = text_of(average, unit_symbol(unit), "up")
    return WorkingLevel(
        average,
        said(
            "%(total_words)s of work = %(result)s, rounded up",
            total_words=total_words(periods, work_min, average),
            result=result,
        ),
    )


def _minutes(sample: Sample) -> float:
    return in_unit(sample.duration, "min")


def _task_min(task: Task) -> float:
    return in_unit(task.duration, "min") if task.duration is not None else worked_minutes(task)


def _stated(evidence: ObjectiveData | Estimate) -> tuple[Quantity, str, float]:
    minutes = FULL_SHIFT_MIN if evidence.averaging is Averaging.TWA else 0.0
    return evidence.concentration, said("%(minutes)s h", minutes=same(f"{minutes / 60.0:g}")), minutes


def _within_task(
    quantity: Quantity, time: str, minutes: float, task: Task, substance: Substance | None, unit: str
) -> WorkingLevel | None:
    value = in_limit_unit(quantity, unit, substance)
    if value is None:
        return None
    task_min = _task_min(task)
    work = (
        task.duration.printed
        if task.duration is not None
        else said("%(task_min)s h", task_min=same(f"{task_min / 60.0:g}"))
    )
    times = max(1.0, minutes / task_min) if task_min > 0 else 1.0
    means = text_of(quantity.value * times, unit_symbol(quantity.unit), "up")
    derived = said(
        "%(quantity)s over %(time)s, all of it in %(work)s of work, means %(means)s",
        quantity=quantity.printed,
        time=time,
        work=work,
        means=means,
    )
    return WorkingLevel(value * times, derived if times > _HAIR else "")
