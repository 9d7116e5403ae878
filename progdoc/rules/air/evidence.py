"""What evidence may be used at all: not from the future, not impossible in itself, and not too old unseen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from progdoc.calc.due_dates import due_date, is_overdue
from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_choice, said_join, same
from progdoc.model.description.exposure_evidence import (
    Averaging,
    Estimate,
    Judgment,
    LeadTask,
    ObjectiveData,
    Samples,
    SilicaTable1,
    Smoke,
    Unknown,
)
from progdoc.model.description.hazards import Form, Hazard
from progdoc.model.description.quantities import Quantity, in_unit, is_comparable
from progdoc.model.description.workplace import Task
from progdoc.rules.air.fractions import is_of_fraction
from progdoc.rules.in_force.figures import evidence_cycles
from progdoc.rules.in_force.intervals import Cycle
from progdoc.rules.in_force.rule_set import RuleSet
from progdoc.rules.judged.published import Limit, LimitKind
from progdoc.rules.lookup.telling_words import is_told
from progdoc.rules.reasons import Reason

__all__ = [
    "OLD_MONTHS",
    "Evidence",
    "aged",
    "evidence_known",
    "groundless",
    "nonsense",
    "oldest_kind",
    "own_unit",
]

Evidence = Samples | ObjectiveData | SilicaTable1 | LeadTask | Estimate | Judgment | Smoke | Unknown

OLD_MONTHS = 12  # our choice: evidence older than a year is looked at again
_DAY_MIN = 1440.0
_PURE_GAS_PPM = 1_000_000.0
_SOLIDS = (Form.DUST, Form.FUME, Form.FIBRES)


def _days(evidence: Evidence | None) -> list[date]:
    given: Iterable[date | None] = ()
    match evidence:
        case Samples(results=results):
            given = [sample.date for sample in results]
        case (
            ObjectiveData(date=day) | Estimate(date=day) | Judgment(date=day) | SilicaTable1(date=day) | Smoke(date=day)
        ):
            given = [day]
    return [day for day in given if day is not None]


def evidence_known(hazard: Hazard, path: str, as_of: date) -> tuple[Evidence | None, list[Reason]]:
    """Return the evidence that exists on a day; what is dated later is left out and asked about."""
    evidence = hazard.exposure
    late = [day for day in _days(evidence) if day > as_of]
    if not late:
        return evidence, []
    if isinstance(evidence, Samples):
        kept = tuple(sample for sample in evidence.results if sample.date is None or sample.date <= as_of)
        if kept:
            return evidence.model_copy(update={"results": kept}), []
    return evidence, [Reason("EXP-026", f"{path}.exposure", {"date": long_date(min(late))})]


def own_unit(evidence: Evidence | None) -> str:
    """Return the unit the evidence is written in, "" where it has none."""
    match evidence:
        case Samples(results=results):
            return results[0].concentration.unit
        case ObjectiveData(concentration=level) | Estimate(concentration=level):
            return level.unit
        case _:
            return ""


def nonsense(evidence: Evidence | None, hazard: Hazard, task: Task, path: str) -> list[Reason]:
    """Return the figures that cannot be: no time, more than a day, a measured zero, more than pure gas, solid ppm."""
    place = f"{path}.exposure"
    found = [Reason("EXP-022", place, {"found": text}) for text in _impossible(evidence, task)]
    found += [
        Reason(
            "EXP-022",
            f"{path}.peaks",
            {"found": said("%(duration)s within %(span)s", duration=peak.duration.printed, span=peak.span.printed)},
        )
        for peak in hazard.peaks
        if not 0.0 < in_unit(peak.duration, "min") <= min(in_unit(peak.span, "min"), _DAY_MIN)
    ]
    levels = _levels(evidence)
    zeros = [level for level in levels if level.value <= 0.0][:1]
    if isinstance(evidence, Samples):
        found += [Reason("EXP-018", place) for _ in zeros]
    else:  # no laboratory stands behind it that could name a detection limit
        found += [Reason("EXP-022", place, {"found": level.printed}) for level in zeros]
    for level in levels:
        if not is_comparable(level, Quantity(1.0, "ppm", "")):
            continue
        if in_unit(level, "ppm") > _PURE_GAS_PPM:
            found.append(Reason("EXP-022", place, {"found": level.printed}))
        elif hazard.form in _SOLIDS:  # parts per million of air are parts of gas, Table Z-1, note (a)
            found.append(
                Reason(
                    "EXP-022",
                    place,
                    {"found": said("%(level)s of %(form)s", level=level.printed, form=said_choice(hazard.form))},
                )
            )
    return found


def _levels(evidence: Evidence | None) -> list[Quantity]:
    match evidence:
        case Samples(results=results):
            return [sample.concentration for sample in results]
        case ObjectiveData(concentration=level) | Estimate(concentration=level):
            return [level]
        case _:
            return []


def _impossible(evidence: Evidence | None, task: Task) -> Iterator[str]:
    times = {"shift": task.shift, "duration": task.duration}
    for name, time in times.items():
        if time is not None and not 0.0 < in_unit(time, "min") <= _DAY_MIN:
            yield said("%(name)s: %(time)s", name=name, time=time.printed)
    if not isinstance(evidence, Samples):
        return
    shifts: dict[str, float] = {}
    for index, sample in enumerate(evidence.results):
        minutes = in_unit(sample.duration, "min")
        if not 0.0 < minutes <= _DAY_MIN:
            yield said("duration: %(duration)s", duration=sample.duration.printed)
        if sample.averaging is Averaging.TWA:
            name = sample.shift or said("sample %(index)s", index=index + 1)
            shifts[name] = shifts.get(name, 0.0) + minutes
    yield from (
        said("shift: %(name)s, %(minutes)s h of samples", name=name, minutes=same(f"{minutes / 60:g}"))
        for name, minutes in sorted(shifts.items())
        if minutes > _DAY_MIN * (1 + 1e-9)
    )


def groundless(evidence: Evidence | None, path: str) -> Iterator[Reason]:
    """Ask about a judgment that names nothing published and nobody who learned it, or that a layman made."""
    if not isinstance(evidence, Judgment):
        return
    text, who = evidence.guidance, evidence.by
    if not (is_told("published", text) or is_told("qualified", text) or any(sign.isdigit() for sign in text)):
        yield Reason(
            "EXP-038", f"{path}.exposure.guidance", {"text": text, "wanting": said("a document or a qualification")}
        )
    if is_told("unqualified", who) and not is_told("qualified", who):
        yield Reason("EXP-038", f"{path}.exposure.by", {"text": who, "wanting": said("a competent person")})


_SHORT = (LimitKind.STEL, LimitKind.EXCURSION, LimitKind.CEILING, LimitKind.PEAK)
# What a newer sample of one kind takes the place of: the highest at any moment is no less than that of a quarter hour.
_STANDS_FOR = {
    Averaging.TWA: (Averaging.TWA,),
    Averaging.STEL: (Averaging.STEL, Averaging.CEILING),
    Averaging.CEILING: (Averaging.CEILING,),
}


def oldest_kind(evidence: Evidence | None, limits: Sequence[Limit], as_of: date) -> tuple[date, str] | None:
    """Return the day of the newest evidence, and of what; of several kinds of sample, of that which is oldest.

    A new average over the shift says nothing of the worst quarter hour, and respirable dust nothing of the total. A
    kind of which no limit speaks is not looked at.
    """
    known = [day for day in _days(evidence) if day <= as_of]
    if not known:
        return None
    results = evidence.results if isinstance(evidence, Samples) else ()
    dated = [(one, one.date) for one in results if one.date is not None and one.date <= as_of]
    newest = {
        (kind, fraction): max(day for one, day in dated if one.averaging in others and one.fraction in (None, fraction))
        for kind, others in _STANDS_FOR.items()
        for fraction in {one.fraction for one, _ in dated if one.averaging is kind}
        if any(
            (limit.kind in _SHORT) is (kind is not Averaging.TWA) and is_of_fraction(fraction, limit.fraction)
            for limit in limits
        )
    }
    if not newest:
        return max(known), ""
    (kind, fraction), day = min(newest.items(), key=lambda item: item[1])
    told = said_join((said_choice(one) for one in (kind, fraction) if one is not None), " ")
    return day, said(" for %(told)s", told=told) if len(newest) > 1 else ""


def aged(
    rules: RuleSet,
    hazard: Hazard,
    task: Task,
    evidence: Evidence | None,
    limits: Sequence[Limit],
    path: str,
    as_of: date,
) -> Iterator[Reason]:
    """Ask about evidence that is undated or old; older than a policy allows is a breach of it."""
    if evidence is None or isinstance(evidence, Unknown | LeadTask):
        return
    known = oldest_kind(evidence, limits, as_of)
    asked_for = evidence_cycles(rules, task, hazard)
    if known is None:
        if not any(day > as_of for day in _days(evidence)):  # a day still to come is told as such
            yield Reason("EXP-020", f"{path}.exposure")
        for cycle in asked_for:
            yield Reason("POL-005", f"{path}.exposure", {"last_date": said("no stated day"), **_asked(cycle)})
        return
    newest, of = known
    words = {"last_date": long_date(newest), "of": of}
    if is_overdue(due_date(newest, months=OLD_MONTHS), as_of):
        yield Reason("EXP-012", f"{path}.exposure", words)
    later = [
        change for change in hazard.changes if newest <= change.date <= as_of
    ]  # of one day nobody knows which first
    if later:
        told = said_join(
            (said("%(what)s (%(date)s)", what=change.what, date=long_date(change.date)) for change in later), "; "
        )
        yield Reason("EXP-027", f"{path}.changes", {**words, "changes": told})
    for cycle in asked_for:
        if is_overdue(cycle.from_day(newest), as_of):
            yield Reason("POL-005", f"{path}.exposure", {**words, **_asked(cycle)})


def _asked(cycle: Cycle) -> dict[str, str]:
    return {"policy": cycle.basis, "most": cycle.text, "citation": cycle.basis}
