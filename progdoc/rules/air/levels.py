"""What the evidence says of the air: the level to set against a limit, or why there is none.

Nothing is assumed. Time that nobody sampled counts as stated, or is marked as the worse reading; a short-term limit
needs its own samples, a detection limit over the limit proves nothing, and samples that may or may not be of one shift
are not averaged.
"""

from __future__ import annotations

from dataclasses import replace

from progdoc.core.said import said, said_choice
from progdoc.model.description.exposure_evidence import Estimate, Fraction, ObjectiveData, Sample
from progdoc.model.description.workplace import Task
from progdoc.rules.air.fractions import Measured, fractions_in_words, holding_fraction, of_fraction, whole_dust_note
from progdoc.rules.air.no_level import HAIR, REACHED, SHORT, NoLevel, covers, sample_to_add
from progdoc.rules.air.shift_levels import limit_over_day, shift_level
from progdoc.rules.air.short_levels import short_level
from progdoc.rules.judged.air_results import Level
from progdoc.rules.judged.published import Limit, Substance
from progdoc.rules.lookup.conversion import in_limit_unit

__all__ = ["level_against"]


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
    if isinstance(most, Level) and most.value <= most.limit_value * HAIR:
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
    if limit.kind not in SHORT:
        return shift_level(limit, measured, task, window)
    return short_level(limit, measured, task, window)


def _stated_level(
    limit: Limit, evidence: ObjectiveData | Estimate, task: Task, substance: Substance | None, window: float
) -> Level | NoLevel:
    value = in_limit_unit(evidence.concentration, limit.unit, substance)
    if value is None:
        return NoLevel("EXP-013", {"unit": evidence.concentration.unit, "wanted": limit.unit})
    kind = said("objective data") if isinstance(evidence, ObjectiveData) else said("an estimate")
    limit_value, notes = limit_over_day(limit, task)
    level = Level(
        value,
        limit_value,
        limit.unit,
        said("%(kind)s: %(concentration)s", kind=kind, concentration=evidence.concentration.printed),
        notes,
    )
    if covers(evidence.averaging, limit):
        return level
    is_passed = limit.kind in SHORT and value > limit_value * HAIR
    reached = replace(
        level,
        basis=said(
            "%(basis)s %(averaging)s, %(reached)s",
            basis=level.basis,
            averaging=said_choice(evidence.averaging),
            reached=REACHED,
        ),
    )
    return NoLevel("EXP-006", sample_to_add(limit, window), reached if is_passed else None)
