"""The level over a short time: of samples as short, or what a whole shift proves of any part of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, fsum

from progdoc.core.numbers import counted
from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.exposure_evidence import Averaging, Sample
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.workplace import Task
from progdoc.rules.air.group_notes import most_in_short_note
from progdoc.rules.air.no_level import HAIR, REACHED, NoLevel, covers, sample_to_add
from progdoc.rules.air.shift_levels import sampled_day, shifts_of
from progdoc.rules.judged.air_results import Level
from progdoc.rules.judged.published import Limit, LimitKind

__all__ = ["short_level"]


def short_level(limit: Limit, measured: Sequence[tuple[Sample, float]], task: Task, window: float) -> Level | NoLevel:
    """Return the level over a short time; a short sample under what a longer average proves has missed the worst."""
    found = _short_term(limit, measured, window)
    least = _reached_for_certain(limit, measured, window)
    if isinstance(found, Level) and (least is None or least.value <= found.value * HAIR):
        return found
    is_passed = least is not None and least.value > (limit.value or 0.0) * HAIR
    if isinstance(found, NoLevel):
        return replace(found, at_least=least if is_passed else None)
    most = _never_exceeded(limit, measured, task, window)
    if isinstance(most, NoLevel) and found is None:
        return replace(most, at_least=least if is_passed else None)
    if isinstance(most, Level) and (least is None or least.value <= most.value * HAIR):
        return most
    told = said_join((level.basis for level in (found, least) if level is not None), "; ")
    missing = said("its samples missed what a longer one proves (%(told)s)", told=told)
    return NoLevel("EXP-006", {**sample_to_add(limit, window), "missing": missing}, least)


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
        times = 1.0 if is_momentary else minutes / (ceil(minutes / window / HAIR) * window)
        told = said(
            "%(concentration)s over %(duration)s, %(reached)s",
            concentration=sample.concentration.printed,
            duration=sample.duration.printed,
            reached=REACHED,
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
        and covers(sample.averaging, limit)
        and in_unit(sample.duration, "min") <= window * HAIR
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
    none = NoLevel("EXP-006", sample_to_add(limit, window))
    shifts = shifts_of([pair for pair in measured if pair[0].averaging is Averaging.TWA], task)
    if isinstance(shifts, NoLevel) or not shifts:
        return none
    worst: list[tuple[float, str]] = []
    days = {name: sampled_day(group, task) for name, group in shifts.items()}
    if any(day.is_guessed for day in days.values()):
        return none
    for name, day in days.items():
        periods = day.with_rest()
        dose = fsum(value * minutes for value, minutes in periods)
        peak = dose / window
        worst.append((peak, most_in_short_note(name, periods, window, peak, limit.unit)))
    level, note = max(worst)
    if level > (limit.value or 0.0) * HAIR:
        return none
    return Level(
        level,
        limit.value or 0.0,
        limit.unit,
        said("the most that %(window)s can have held", window=counted(window, "minute")),
        (note,),
    )
