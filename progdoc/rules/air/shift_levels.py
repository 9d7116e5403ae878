"""The average over a shift: which samples are of one, how long its day is, what its unsampled rest counts as."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from progdoc.calc.exposure import Unsampled, shift_average, time_weighted_average
from progdoc.calc.shift_length import brief_scala_factor, lead_limit
from progdoc.calc.statistics import Basis, decision_concentration
from progdoc.calc.statistics import Sample as ShiftAverage
from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_choice, said_join, same
from progdoc.model.description.exposure_evidence import Averaging, RestOfShift, Sample
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.workplace import Task
from progdoc.rules.air.group_notes import average_note, group_notes
from progdoc.rules.air.no_level import HAIR, NoLevel, sample_to_add
from progdoc.rules.judged.air_results import Level
from progdoc.rules.judged.published import Limit, LimitKind
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.limits import FULL_SHIFT_MIN

__all__ = ["SampledDay", "limit_over_day", "sampled_day", "shift_level", "shifts_of", "worked_minutes"]

_DAY_MIN = 1440.0
_WORSE_READING = said(
    "Nobody says what the air was like in the rest of a shift: it counts as sampled, the worse reading."
)


def worked_minutes(task: Task) -> float:
    """Return the length of the working day, 8 hours where nothing else is said; no task is longer than its day."""
    stated = in_unit(task.shift, "min") if task.shift is not None else FULL_SHIFT_MIN
    return max(stated, min(_task_minutes(task), _DAY_MIN))


def _task_minutes(task: Task) -> float:
    return in_unit(task.duration, "min") if task.duration is not None else 0.0


def shifts_of(samples: Sequence[tuple[Sample, float]], task: Task) -> dict[str, list[tuple[Sample, float]]] | NoLevel:
    """Group samples by shift. Samples that may belong together, and do not say so, can't be averaged."""
    shifts: dict[str, list[tuple[Sample, float]]] = {}
    unnamed: dict[str, int] = {}
    for index, (sample, value) in enumerate(samples):
        day = same(sample.date.isoformat()) if sample.date else said("undated")
        if sample.shift:
            shifts.setdefault(sample.shift, []).append((sample, value))
            continue
        shifts[said("sample %(n)s, %(day)s", n=index + 1, day=day)] = [(sample, value)]
        if in_unit(sample.duration, "min") * HAIR < worked_minutes(task):
            unnamed[day] = unnamed.get(day, 0) + 1
    for name, group in shifts.items():
        days = [sample.date for sample, _ in group if sample.date is not None]
        if days and (max(days) - min(days)).days > 1:
            return NoLevel("EXP-021", {"shift": name})
    unclear = [day for day, count in unnamed.items() if count > 1]
    return NoLevel("EXP-021", {"shift": min(unclear)}) if unclear else shifts


class SampledDay(NamedTuple):
    """What a shift's average is made of: levels with their minutes, and what the rest of the time counts as."""

    periods: list[tuple[float, float]]
    worked_min: float
    unsampled: Unsampled
    is_guessed: bool  # nobody says what the rest was like

    def with_rest(self) -> list[tuple[float, float]]:
        """Return the periods, and the time without a sample as one more where it counts as sampled."""
        sampled = sum(minutes for _, minutes in self.periods)
        rest = self.worked_min - sampled
        if self.unsampled is Unsampled.ZERO or rest <= 0.0:
            return self.periods
        return [*self.periods, (sum(value * minutes for value, minutes in self.periods) / sampled, rest)]


def sampled_day(samples: Sequence[tuple[Sample, float]], task: Task) -> SampledDay:
    """Return what the average of one shift is made of; a day is no shorter than its samples together."""
    periods = [(value, in_unit(sample.duration, "min")) for sample, value in samples]
    sampled = sum(minutes for _, minutes in periods)
    worked = max(worked_minutes(task), sampled)
    stated = {sample.rest_of_shift for sample, _ in samples}
    is_guessed = stated == {None} and worked > sampled * HAIR
    # "same" asks for more than "zero": where samples of one shift disagree, or say nothing, it holds.
    unsampled = Unsampled.AS_SAMPLED if RestOfShift.SAME in stated or is_guessed else Unsampled.ZERO
    if unsampled is Unsampled.ZERO and _is_short_of_task(sampled, task):
        # Nothing outside the task is no word about the task itself: a short sample stands for all of it.
        mean = sum(value * minutes for value, minutes in periods) / sampled
        periods.append((mean, _task_minutes(task) - sampled))
    return SampledDay(periods, worked, unsampled, is_guessed)


def _is_short_of_task(sampled_min: float, task: Task) -> bool:
    return _task_minutes(task) > sampled_min * HAIR


def limit_over_day(limit: Limit, task: Task) -> tuple[float, tuple[str, ...]]:
    """Return the limit for this day's hours; only lead's is lowered by law, for others there is advice."""
    worked_h = worked_minutes(task) / 60.0
    value = limit.value or 0.0
    if limit.kind is not LimitKind.TWA or worked_h <= FULL_SHIFT_MIN / 60.0:
        return value, ()
    if limit.agent == "lead":
        law = cited("lead-long-day")
        note = said(
            "Limit lowered for a day of %(worked_h)s hours: 8-hour limit × 8 ÷ hours, %(law)s.",
            worked_h=same(f"{worked_h:g}"),
            law=law,
        )
        return lead_limit(value, worked_h), (note,)
    if worked_h >= _DAY_MIN / 60.0:
        return value, ()
    factor = number_text(brief_scala_factor(worked_h), "down")
    return value, (
        said(
            "Advice, not law: for a day of %(worked_h)s hours Brief and Scala lower a limit to %(factor)s of it.",
            worked_h=same(f"{worked_h:g}"),
            factor=factor,
        ),
    )


def shift_level(limit: Limit, measured: Sequence[tuple[Sample, float]], task: Task, window: float) -> Level | NoLevel:
    """Return what stands for the sampled shifts: the average of the only one or the highest, or their upper limit."""
    samples = [pair for pair in measured if pair[0].averaging is Averaging.TWA]
    if not samples:
        return NoLevel("EXP-006", sample_to_add(limit, window))
    shifts = shifts_of(samples, task)
    if isinstance(shifts, NoLevel):
        return shifts
    limit_value, notes = limit_over_day(limit, task)
    is_over_hours_worked = limit_value != limit.value
    averages: list[ShiftAverage] = []
    sums: list[str] = []
    days = {name: sampled_day(group, task) for name, group in shifts.items()}
    for name, day in days.items():
        mean = shift_average if is_over_hours_worked else time_weighted_average
        average = mean(day.periods, day.worked_min, day.unsampled)
        averages.append(ShiftAverage(average, all(sample.below_detection for sample, _ in shifts[name])))
        over_min = day.worked_min if is_over_hours_worked else FULL_SHIFT_MIN
        sums.append(average_note(name, day.with_rest(), over_min, average, limit.unit))
    is_guessed = any(day.is_guessed for day in days.values())
    decision = decision_concentration(averages, limit_value)
    if decision.concentration is None:
        return NoLevel("EXP-007", {"limit": said_choice(limit.kind)})
    found, summed = _basis(decision.basis, averages, shifts)
    return Level(
        decision.concentration,
        limit_value,
        limit.unit,
        said("%(found)s (%(shifts)s)%(summed)s", found=found, shifts=said_join(sorted(shifts), ", "), summed=summed),
        (
            max(zip(averages, sums, strict=True), key=lambda pair: pair[0].concentration)[1],
            *group_notes(averages, decision, limit_value, limit.unit),
            *_task_notes(shifts, task),
            *([_WORSE_READING] if is_guessed else []),
            *notes,
        ),
        in_short=found,
        is_of_group=decision.statistics is not None,
        is_worst_reading=is_guessed,
    )


def _task_notes(shifts: dict[str, list[tuple[Sample, float]]], task: Task) -> tuple[str, ...]:
    """Say so where part of the task had no sample and nothing was said to be in the air outside it."""
    short = [
        name
        for name, group in sorted(shifts.items())
        if RestOfShift.ZERO in (stated := {sample.rest_of_shift for sample, _ in group})
        and RestOfShift.SAME not in stated
        and _is_short_of_task(sum(in_unit(sample.duration, "min") for sample, _ in group), task)
    ]
    if not short or task.duration is None:
        return ()
    return (
        said(
            "The task lasts %(duration)s; what had no sample of it counts as sampled (%(short)s).",
            duration=task.duration.printed,
            short=said_join(short, ", "),
        ),
    )


def _basis(
    basis: Basis, averages: Sequence[ShiftAverage], shifts: dict[str, list[tuple[Sample, float]]]
) -> tuple[str, str]:
    """Return what stands for the air, and of a single shift the samples in it."""
    if len(averages) == 1:
        group = sorted(next(iter(shifts.values())), key=lambda pair: (-pair[1], pair[0].duration.printed))
        sampled = said_join(
            (said("%(level)s for %(time)s", level=s.concentration.printed, time=s.duration.printed) for s, _ in group),
            " + ",
        )
        return said("one sampled shift"), said(": %(sampled)s", sampled=sampled)
    if basis is Basis.UPPER_LIMIT:
        return said("the upper confidence limit of %(n)s sampled shifts", n=len(averages)), ""
    return said("the highest of %(n)s sampled shifts", n=len(averages)), ""
