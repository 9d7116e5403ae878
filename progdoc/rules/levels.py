"""What the evidence says of the air: the level to set against a limit, or why there is none.

Nothing is assumed. Time that nobody sampled counts as stated, a short-term limit needs its own samples, a
detection limit over the limit proves nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from progdoc.calc.exposure import Unsampled, mg_m3_from_ppm, ppm_from_mg_m3, shift_average, time_weighted_average
from progdoc.calc.shift_length import lead_limit
from progdoc.calc.statistics import Basis, Decision, decision_concentration
from progdoc.calc.statistics import Sample as ShiftAverage
from progdoc.core.numbers import number_text
from progdoc.model.exposure import Averaging, Estimate, Hazard, ObjectiveData, RestOfShift, Sample, Samples
from progdoc.model.quantities import Quantity, in_unit, is_comparable
from progdoc.model.workplace import Task
from progdoc.rules.substances import Limit, LimitKind, Substance

__all__ = [
    "FULL_SHIFT_MIN",
    "Level",
    "NoLevel",
    "in_limit_unit",
    "level_against",
    "level_during_task",
    "worked_minutes",
]

FULL_SHIFT_MIN = 480.0
_SHORT = (LimitKind.STEL, LimitKind.EXCURSION, LimitKind.CEILING, LimitKind.PEAK)


@dataclass(frozen=True, slots=True)
class Level:
    """A concentration in the unit of its limit, the limit it is set against, and in words where it is from."""

    value: float
    limit_value: float  # lowered where the law lowers it for long shifts
    unit: str
    basis: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NoLevel:
    """Why there is no level: the code of the requirement, and words for its text."""

    code: str
    words: dict[str, str]


def worked_minutes(task: Task) -> float:
    """Return the length of the working day, 8 hours where nothing else is said."""
    return in_unit(task.shift, "min") if task.shift is not None else FULL_SHIFT_MIN


def in_limit_unit(quantity: Quantity, unit: str, substance: Substance | None) -> float | None:
    """Return a concentration in the unit of a limit; None where that takes more than the agent's weight."""
    if is_comparable(quantity, Quantity(1.0, unit, "")):
        return in_unit(quantity, unit)
    weight = substance.molecular_weight if substance else None
    if weight is None:
        return None
    if is_comparable(quantity, Quantity(1.0, "mg/m3", "")) and unit in ("ppm", "ppb"):
        parts = ppm_from_mg_m3(in_unit(quantity, "mg/m3"), weight)
        return in_unit(Quantity(parts, "ppm", ""), unit)
    if is_comparable(quantity, Quantity(1.0, "ppm", "")) and unit in ("mg/m3", "ug/m3"):
        mass = mg_m3_from_ppm(in_unit(quantity, "ppm"), weight)
        return in_unit(Quantity(mass, "mg/m3", ""), unit)
    return None


def level_against(limit: Limit, hazard: Hazard, task: Task, substance: Substance | None) -> Level | NoLevel:
    """Return the level to set against one limit that has a number."""
    evidence = hazard.exposure
    words = {"limit": limit.kind.value}
    if isinstance(evidence, ObjectiveData | Estimate):
        if not _covers(evidence.averaging, limit.kind):
            return NoLevel("EXP-006", words)
        value = in_limit_unit(evidence.concentration, limit.unit, substance)
        if value is None:
            return NoLevel("EXP-013", {"unit": evidence.concentration.unit, "wanted": limit.unit})
        kind = "objective data" if isinstance(evidence, ObjectiveData) else "an estimate"
        return Level(value, limit.value or 0.0, limit.unit, f"{kind}: {evidence.concentration.text}")
    if not isinstance(evidence, Samples):
        return NoLevel("EXP-001", {})
    values = [in_limit_unit(s.concentration, limit.unit, substance) for s in evidence.results]
    for sample, value in zip(evidence.results, values, strict=True):
        if value is None:
            return NoLevel("EXP-013", {"unit": sample.concentration.unit, "wanted": limit.unit})
    measured = [(s, v) for s, v in zip(evidence.results, values, strict=True) if v is not None]
    if limit.kind in _SHORT:
        return _short_term(limit, measured)
    return _shift_level(limit, measured, task)


def _covers(averaging: Averaging, kind: LimitKind) -> bool:
    """A level over a short time is never less than one over a longer time, so it may stand for it."""
    if averaging is Averaging.CEILING:
        return True
    if averaging is Averaging.STEL:
        return kind not in (LimitKind.CEILING, LimitKind.PEAK)
    return kind in (LimitKind.TWA, LimitKind.ACTION_LEVEL)


def _short_term(limit: Limit, measured: Sequence[tuple[Sample, float]]) -> Level | NoLevel:
    fitting = [(s, v) for s, v in measured if s.averaging is not Averaging.TWA and _covers(s.averaging, limit.kind)]
    if not fitting:
        return NoLevel("EXP-006", {"limit": limit.kind.value})
    sample, value = max(fitting, key=lambda pair: pair[1])
    if sample.below_detection and value > (limit.value or 0.0):
        return NoLevel("EXP-007", {"limit": limit.kind.value})
    word = "below detection, counted in full" if sample.below_detection else "the highest sample"
    return Level(value, limit.value or 0.0, limit.unit, f"{word}: {sample.concentration.text}")


def _shift_level(limit: Limit, measured: Sequence[tuple[Sample, float]], task: Task) -> Level | NoLevel:
    shifts: dict[str, list[tuple[Sample, float]]] = {}
    for index, (sample, value) in enumerate(measured):
        if sample.averaging is Averaging.TWA:
            key = sample.shift or (sample.date.isoformat() if sample.date else f"sample {index + 1}")
            shifts.setdefault(key, []).append((sample, value))
    if not shifts:
        return NoLevel("EXP-006", {"limit": limit.kind.value})
    by_hours = limit.agent == "lead" and limit.kind is LimitKind.TWA and worked_minutes(task) > FULL_SHIFT_MIN
    limit_value = lead_limit(limit.value or 0.0, worked_minutes(task) / 60.0) if by_hours else limit.value or 0.0
    averages: list[ShiftAverage] = []
    for samples in shifts.values():
        average = _average(samples, task, by_hours)
        if average is None:
            return NoLevel("EXP-005", {})
        averages.append(ShiftAverage(average, all(s.below_detection for s, _ in samples)))
    if any(average.concentration <= 0.0 for average in averages):
        return NoLevel("EXP-018", {})
    decision = decision_concentration(averages, limit_value)
    if decision.concentration is None:
        return NoLevel("EXP-007", {"limit": limit.kind.value})
    return Level(
        decision.concentration, limit_value, limit.unit, _basis(decision.basis, averages, shifts), _notes(decision)
    )


def _average(samples: Sequence[tuple[Sample, float]], task: Task, by_hours: bool) -> float | None:
    periods = [(value, in_unit(sample.duration, "min")) for sample, value in samples]
    sampled = sum(minutes for _, minutes in periods)
    worked = max(worked_minutes(task), sampled)
    said = next((s.rest_of_shift for s, _ in samples if s.rest_of_shift is not None), None)
    if said is None and worked - sampled > 1e-9 * worked:
        return None
    unsampled = {RestOfShift.ZERO: Unsampled.ZERO, RestOfShift.SAME: Unsampled.AS_SAMPLED, None: None}[said]
    average = shift_average if by_hours else time_weighted_average
    return average(periods, worked, unsampled)


def _basis(basis: Basis, averages: Sequence[ShiftAverage], shifts: dict[str, list[tuple[Sample, float]]]) -> str:
    names = ", ".join(shifts)
    if len(averages) == 1:
        sampled = " + ".join(f"{s.concentration.text} for {s.duration.text}" for s, _ in next(iter(shifts.values())))
        return f"one sampled shift ({names}): {sampled}"
    if basis is Basis.UPPER_LIMIT:
        return f"the upper confidence limit of {len(averages)} sampled shifts ({names})"
    return f"the highest of {len(averages)} sampled shifts ({names})"


def _notes(decision: Decision) -> tuple[str, ...]:
    """Return the statistics of a group of shifts, in words."""
    found = decision.statistics
    if found is None:
        return ()
    return (
        f"geometric mean {number_text(found.geometric_mean)}, geometric standard deviation"
        f" {number_text(found.geometric_standard_deviation)}, 95th percentile"
        f" {number_text(found.percentile_95, 'up')}, its one-sided 70 % upper confidence limit"
        f" {number_text(found.upper_limit, 'up')} ({found.samples} shifts; EN 689)",
    )


def level_during_task(hazard: Hazard, substance: Substance | None, unit: str) -> float | None:
    """Return the highest level while the task is done: what IDLH, cartridges and service life are judged by."""
    evidence = hazard.exposure
    quantities: list[Quantity] = []
    if isinstance(evidence, Samples):
        quantities = [sample.concentration for sample in evidence.results]
    elif isinstance(evidence, ObjectiveData | Estimate):
        quantities = [evidence.concentration]
    values = [in_limit_unit(quantity, unit, substance) for quantity in quantities]
    known = [value for value in values if value is not None]
    return max(known) if known and len(known) == len(values) else None
