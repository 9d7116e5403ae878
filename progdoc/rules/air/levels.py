"""What the evidence says of the air: the level to set against a limit, or why there is none.

Nothing is assumed. Time that nobody sampled counts as stated, or is marked as the worse reading; a short-term limit
needs its own samples, a detection limit over the limit proves nothing, and samples that may or may not be of one shift
are not averaged.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace
from math import ceil, fsum
from typing import NamedTuple

from progdoc.calc.exposure import Unsampled, shift_average, time_weighted_average
from progdoc.calc.shift_length import brief_scala_factor, lead_limit
from progdoc.calc.statistics import Basis, decision_concentration
from progdoc.calc.statistics import Sample as ShiftAverage
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import counted, number_text
from progdoc.core.said import said, said_choice, said_join, same
from progdoc.model.description.hazards import (
    Averaging,
    Estimate,
    Fraction,
    ObjectiveData,
    RestOfShift,
    Sample,
)
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.workplace import Task
from progdoc.rules.air.fractions import (
    Measured,
    fractions_in_words,
    holding_fraction,
    of_fraction,
    whole_dust_note,
)
from progdoc.rules.air.group_notes import average_note, group_notes, most_in_short_note
from progdoc.rules.judged.air_results import Level
from progdoc.rules.judged.published import Limit, LimitKind, Substance
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.limits import FULL_SHIFT_MIN, STEL_MIN

__all__ = [
    "Measured",
    "NoLevel",
    "level_against",
    "shifts_of",
    "worked_minutes",
]

_HAIR = 1.0 + 1e-9  # minutes come from hours times 60
_SHORT = (LimitKind.STEL, LimitKind.EXCURSION, LimitKind.CEILING, LimitKind.PEAK)
_DAY_MIN = 1440.0
_NOTHING_SHORT = said("no sample or estimate over its averaging time")
_REACHED = said("an average, which some part of that time reaches or passes")
_WORSE_READING = said(
    "Nobody says what the air was like in the rest of a shift: it counts as sampled, the worse reading."
)


@dataclass(frozen=True, slots=True)
class NoLevel:
    """Why there is no level: the code of the requirement, words for its text, and what the air reached for certain."""

    code: str
    words: dict[str, str] = field(default_factory=dict)
    at_least: Level | None = None


def worked_minutes(task: Task) -> float:
    """Return the length of the working day, 8 hours where nothing else is said; no task is longer than its day."""
    stated = in_unit(task.shift, "min") if task.shift is not None else FULL_SHIFT_MIN
    return max(stated, min(_task_minutes(task), _DAY_MIN))


def _task_minutes(task: Task) -> float:
    return in_unit(task.duration, "min") if task.duration is not None else 0.0


def level_against(
    limit: Limit, evidence: Measured, task: Task, substance: Substance | None, ceiling_min: float
) -> Level | NoLevel:
    """Return the level to set against one limit that has a number above zero.

    `ceiling_min`: over what time a ceiling is averaged that cannot be read at once.
    """
    kept = of_fraction(evidence, limit)
    if kept is not None:
        return _level(limit, kept, task, substance, ceiling_min)
    wanted = limit.fraction or Fraction.TOTAL.value
    words = {"measured": fractions_in_words(evidence), "limit": limit.in_words, "wanted": wanted}
    holding = holding_fraction(evidence, limit)
    most = _level(limit, holding, task, substance, ceiling_min) if holding is not None else None
    # What holds the limited grains among others and still keeps their limit shows that they keep it; over, nothing.
    if isinstance(most, Level) and most.value <= most.limit_value * _HAIR:
        return replace(most, notes=(*most.notes, whole_dust_note(words["measured"], wanted)))
    return NoLevel("EXP-033", words)


def _level(
    limit: Limit, evidence: Measured, task: Task, substance: Substance | None, ceiling_min: float
) -> Level | NoLevel:
    window = limit.minutes or ceiling_min
    if isinstance(evidence, ObjectiveData | Estimate):
        return _stated_level(limit, evidence, task, substance, window)
    measured: list[tuple[Sample, float]] = []
    for sample in evidence.results:
        value = in_limit_unit(sample.concentration, limit.unit, substance)
        if value is None:
            return NoLevel("EXP-013", {"unit": sample.concentration.unit, "wanted": limit.unit})
        measured.append((sample, value))
    if limit.kind not in _SHORT:
        return _shift_level(limit, measured, task, window)
    return _short_level(limit, measured, task, window)


def _stated_level(
    limit: Limit, evidence: ObjectiveData | Estimate, task: Task, substance: Substance | None, window: float
) -> Level | NoLevel:
    value = in_limit_unit(evidence.concentration, limit.unit, substance)
    if value is None:
        return NoLevel("EXP-013", {"unit": evidence.concentration.unit, "wanted": limit.unit})
    kind = said("objective data") if isinstance(evidence, ObjectiveData) else said("an estimate")
    limit_value, notes = _long_shift(limit, task)
    level = Level(
        value,
        limit_value,
        limit.unit,
        said("%(kind)s: %(concentration)s", kind=kind, concentration=evidence.concentration.printed),
        notes,
    )
    if _covers(evidence.averaging, limit):
        return level
    is_passed = limit.kind in _SHORT and value > limit_value * _HAIR
    reached = replace(
        level,
        basis=said(
            "%(basis)s %(averaging)s, %(reached)s",
            basis=level.basis,
            averaging=said_choice(evidence.averaging),
            reached=_REACHED,
        ),
    )
    return NoLevel("EXP-006", _sample_to_add(limit, window), reached if is_passed else None)


def _covers(averaging: Averaging, limit: Limit) -> bool:
    """The highest level over a short time is never less than one over a longer time, so it may stand for it."""
    if averaging is Averaging.CEILING:
        return True
    if averaging is Averaging.STEL:
        quarter_hour = limit.kind is LimitKind.CEILING and limit.minutes == STEL_MIN
        return limit.kind not in (LimitKind.CEILING, LimitKind.PEAK) or quarter_hour
    return limit.kind in (LimitKind.TWA, LimitKind.ACTION_LEVEL)


def _sample_to_add(limit: Limit, window: float) -> dict[str, str]:
    """Return the words of the finding that a limit has no level of its own, with the sample that would be one."""
    is_long = limit.kind not in _SHORT
    minutes = FULL_SHIFT_MIN if is_long else window
    at_any_moment = limit.kind in (LimitKind.CEILING, LimitKind.PEAK)
    averaging = Averaging.TWA if is_long else Averaging.CEILING if at_any_moment else Averaging.STEL
    fields = said(
        "`concentration: … %(unit)s`, `duration: %(minutes)s min`, `averaging: %(averaging)s`",
        unit=same(limit.unit),
        minutes=same(f"{minutes:g}"),
        averaging=same(averaging.value),
    )
    return {"limit": said_choice(limit.kind), "missing": _NOTHING_SHORT, "fields_to_write": fields}


# ---- short-term limits --------------------------------------------------------------------------------


def _short_level(limit: Limit, measured: Sequence[tuple[Sample, float]], task: Task, window: float) -> Level | NoLevel:
    """Return the level over a short time; a short sample under what a longer average proves has missed the worst."""
    found = _short_term(limit, measured, window)
    least = _reached_for_certain(limit, measured, window)
    if isinstance(found, Level) and (least is None or least.value <= found.value * _HAIR):
        return found
    is_passed = least is not None and least.value > (limit.value or 0.0) * _HAIR
    if isinstance(found, NoLevel):
        return replace(found, at_least=least if is_passed else None)
    most = _never_exceeded(limit, measured, task, window)
    if isinstance(most, NoLevel) and found is None:
        return replace(most, at_least=least if is_passed else None)
    if isinstance(most, Level) and (least is None or least.value <= most.value * _HAIR):
        return most
    told = said_join((level.basis for level in (found, least) if level is not None), "; ")
    missing = said("its samples missed what a longer one proves (%(told)s)", told=told)
    return NoLevel("EXP-006", {**_sample_to_add(limit, window), "missing": missing}, least)


def _reached_for_certain(limit: Limit, measured: Sequence[tuple[Sample, float]], window: float) -> Level | None:
    """Return what the air reached over the time of a limit, as the sample that proves most of it shows.

    At some moment it is as high as any average. Over a time of its own it is so only where the averaged time divides
    into such times; otherwise into one more of them, of which the last is partly outside.
    """
    is_momentary = limit.kind in (LimitKind.CEILING, LimitKind.PEAK) and not (
        limit.kind is LimitKind.CEILING and limit.minutes
    )
    proven: list[tuple[float, str]] = []
    for sample, value in measured:
        minutes = in_unit(sample.duration, "min")
        is_reading = sample.averaging is Averaging.CEILING  # the highest of a time, and no average over it
        if sample.below_detection or minutes <= 0.0 or (is_reading and not is_momentary):
            continue
        times = 1.0 if is_momentary else minutes / (ceil(minutes / window / _HAIR) * window)
        told = said(
            "%(concentration)s over %(duration)s, %(reached)s",
            concentration=sample.concentration.printed,
            duration=sample.duration.printed,
            reached=_REACHED,
        )
        proven.append((value * min(times, 1.0), told))
    if not proven:
        return None
    value, basis = max(proven)
    return Level(value, limit.value or 0.0, limit.unit, basis)


def _short_term(limit: Limit, measured: Sequence[tuple[Sample, float]], window: float) -> Level | NoLevel | None:
    fitting = [
        (sample, value)
        for sample, value in measured
        if sample.averaging is not Averaging.TWA
        and _covers(sample.averaging, limit)
        and in_unit(sample.duration, "min") <= window * _HAIR
    ]
    if not fitting:
        return None
    sample, value = max(fitting, key=lambda pair: (pair[1], not pair[0].below_detection))
    if sample.below_detection and value > (limit.value or 0.0):
        return NoLevel("EXP-007", {"limit": said_choice(limit.kind)})
    word = said("below detection, counted in full") if sample.below_detection else said("the highest sample")
    return Level(
        value,
        limit.value or 0.0,
        limit.unit,
        said("%(word)s: %(concentration)s", word=word, concentration=sample.concentration.printed),
    )


def _never_exceeded(
    limit: Limit, measured: Sequence[tuple[Sample, float]], task: Task, window: float
) -> Level | NoLevel:
    """Return the most that any short period can have held if all of a sampled shift had come in that one.

    Still at or under the limit, it cannot have been exceeded; over the limit it proves nothing either way.
    """
    none = NoLevel("EXP-006", _sample_to_add(limit, window))
    shifts = shifts_of([pair for pair in measured if pair[0].averaging is Averaging.TWA], task)
    if isinstance(shifts, NoLevel) or not shifts:
        return none
    worst: list[tuple[float, str]] = []
    days = {name: _day(group, task) for name, group in shifts.items()}
    if any(day.is_guessed for day in days.values()):
        return none
    for name, day in days.items():
        periods = day.with_rest()
        dose = fsum(value * minutes for value, minutes in periods)
        peak = dose / window
        worst.append((peak, most_in_short_note(name, periods, window, peak, limit.unit)))
    level, note = max(worst)
    if level > (limit.value or 0.0) * _HAIR:
        return none
    return Level(
        level,
        limit.value or 0.0,
        limit.unit,
        said("the most that %(window)s can have held", window=counted(window, "minute")),
        (note,),
    )


# ---- the average over a shift -------------------------------------------------------------------------


def _long_shift(limit: Limit, task: Task) -> tuple[float, tuple[str, ...]]:
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
        if in_unit(sample.duration, "min") * _HAIR < worked_minutes(task):
            unnamed[day] = unnamed.get(day, 0) + 1
    for name, group in shifts.items():
        days = [sample.date for sample, _ in group if sample.date is not None]
        if days and (max(days) - min(days)).days > 1:
            return NoLevel("EXP-021", {"shift": name})
    unclear = [day for day, count in unnamed.items() if count > 1]
    return NoLevel("EXP-021", {"shift": min(unclear)}) if unclear else shifts


def _shift_level(limit: Limit, measured: Sequence[tuple[Sample, float]], task: Task, window: float) -> Level | NoLevel:
    samples = [pair for pair in measured if pair[0].averaging is Averaging.TWA]
    if not samples:
        return NoLevel("EXP-006", _sample_to_add(limit, window))
    shifts = shifts_of(samples, task)
    if isinstance(shifts, NoLevel):
        return shifts
    limit_value, notes = _long_shift(limit, task)
    is_over_hours_worked = limit_value != limit.value
    averages: list[ShiftAverage] = []
    sums: list[str] = []
    days = {name: _day(group, task) for name, group in shifts.items()}
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


class _Day(NamedTuple):
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


def _day(samples: Sequence[tuple[Sample, float]], task: Task) -> _Day:
    periods = [(value, in_unit(sample.duration, "min")) for sample, value in samples]
    sampled = sum(minutes for _, minutes in periods)
    worked = max(worked_minutes(task), sampled)
    stated = {sample.rest_of_shift for sample, _ in samples}
    is_guessed = stated == {None} and worked > sampled * _HAIR
    # "same" asks for more than "zero": where samples of one shift disagree, or say nothing, it holds.
    unsampled = Unsampled.AS_SAMPLED if RestOfShift.SAME in stated or is_guessed else Unsampled.ZERO
    if unsampled is Unsampled.ZERO and _is_short_of_task(sampled, task):
        # Nothing outside the task is no word about the task itself: a short sample stands for all of it.
        mean = sum(value * minutes for value, minutes in periods) / sampled
        periods.append((mean, _task_minutes(task) - sampled))
    return _Day(periods, worked, unsampled, is_guessed)


def _is_short_of_task(sampled_min: float, task: Task) -> bool:
    return _task_minutes(task) > sampled_min * _HAIR


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
