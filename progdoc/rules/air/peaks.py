"""Times over an acceptable ceiling of Table Z-2: allowed to some height and for some minutes, 1910.1000(b)(2).

Within both the ceiling counts as kept; beyond either it is passed, and a mask has to bring the air down to the ceiling.
What passes a ceiling and is described by no peak is passed, too: nobody knows for how long.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import ceil, inf

from progdoc.core.numbers import counted, text_of
from progdoc.core.said import said, said_join
from progdoc.model.description.exposure_evidence import Averaging, Samples
from progdoc.model.description.hazards import Hazard, Peak
from progdoc.model.description.quantities import Quantity, in_unit, unit_symbol
from progdoc.rules.air.fractions import Measured
from progdoc.rules.air.no_level import NoLevel
from progdoc.rules.air.working_levels import WorkingLevel
from progdoc.rules.judged.air_results import Level
from progdoc.rules.judged.published import Limit, LimitKind, Substance
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.limits import FULL_SHIFT_MIN
from progdoc.rules.reasons import Reason

__all__ = ["Found", "highest_with_peaks", "peaks_known", "with_peaks"]

Found = tuple[Limit, Level | NoLevel]

_HAIR = 1.0 + 1e-9
_SHIFT_H = FULL_SHIFT_MIN / 60.0  # for which the peaks of the table are printed, where it names no hours
_ALONE = said("no other measurable exposure")  # of hydrogen sulfide, in the note of its row


def peaks_known(hazard: Hazard, as_of: date) -> tuple[Peak, ...]:
    """Return the peaks that were measured by a day."""
    return tuple(peak for peak in hazard.peaks if peak.date is None or peak.date <= as_of)


def highest_with_peaks(
    working: WorkingLevel | None, peaks: Sequence[Peak], substance: Substance | None, unit: str
) -> WorkingLevel | None:
    """Return the highest level while the task is done, its peaks counted."""
    known = [value for peak in peaks if (value := in_limit_unit(peak.concentration, unit, substance)) is not None]
    if working is None or not known or max(known) <= working.value:
        return working
    return WorkingLevel(max(known))


def with_peaks(
    found: Sequence[Found],
    hazard: Hazard,
    evidence: Measured,
    peaks: Sequence[Peak],
    path: str,
    substance: Substance | None,
) -> tuple[list[Found], list[Reason]]:
    """Return the levels with the peaks set against their own limit, and what is open or wrong about them."""
    changed = dict(enumerate(found))
    reasons: list[Reason] = []
    for i, (limit, level) in enumerate(found):
        ceiling_at = next((j for j, (other, _) in enumerate(found) if _is_its_ceiling(other, limit)), None)
        if ceiling_at is None:
            continue
        ceiling, at_ceiling = found[ceiling_at]
        top = max((_value(peak, limit, substance) for peak in peaks), default=0.0)
        if top == inf:
            changed[i] = (limit, NoLevel("EXP-013", {"unit": peaks[0].concentration.unit, "wanted": limit.unit}))
            continue
        shown = at_ceiling if isinstance(at_ceiling, Level) else at_ceiling.at_least
        sampled = shown.value if shown else 0.0
        over = ceiling.value or 0.0
        words = {"agent": hazard.agent, "ceiling": ceiling.in_words, "allowed": _allowed_words(limit)}
        words["open"] = (
            said("the peaks described do not account for the samples") if peaks else said("nobody says for how long")
        )
        if not peaks or sampled > top * _HAIR or not _account_for(evidence, peaks, limit, over, substance):
            if sampled > over * _HAIR:
                reasons.append(Reason("EXP-037", f"{path}.peaks", words))
            continue
        told = said_join((_peak_words(peak) for peak in peaks), "; ")
        if isinstance(level, NoLevel) or level.value < top:
            changed[i] = (
                limit,
                Level(top, limit.value or 0.0, limit.unit, said("the highest peak: %(told)s", told=told)),
            )
        beyond = [peak for peak in peaks if not _is_allowed(peak, limit, substance)]
        if beyond and top > over * _HAIR:
            reasons.append(Reason("EXP-035", f"{path}.peaks", {**words, "found": _peak_words(beyond[0])}))
            basis = said("peaks beyond Table Z-2: %(told)s", told=told)
            changed[ceiling_at] = (ceiling, Level(max(sampled, top), over, limit.unit, basis))
        else:
            basis = said("over the ceiling only in peaks that Table Z-2 allows: %(told)s", told=told)
            allowed = told if max(sampled, top) > over * _HAIR else ""
            level = Level(min(max(sampled, top), over), over, limit.unit, basis, allowed_peaks=allowed)
            changed[ceiling_at] = (ceiling, level)
    return [changed[i] for i in range(len(found))], reasons


def _account_for(
    evidence: Measured, peaks: Sequence[Peak], limit: Limit, ceiling: float, substance: Substance | None
) -> bool:
    """Whether no sample averages more than all peaks can, with the air at the ceiling for the rest of its time."""
    over = sum(max(_value(peak, limit, substance) - ceiling, 0.0) * _minutes_in_span(peak, limit) for peak in peaks)
    averages = [
        (in_limit_unit(sample.concentration, limit.unit, substance) or 0.0, in_unit(sample.duration, "min"))
        for sample in (evidence.results if isinstance(evidence, Samples) else ())
        if sample.averaging is not Averaging.CEILING
    ]
    return all(value <= (ceiling + over / minutes) * _HAIR for value, minutes in averages if minutes > 0.0)


def _is_its_ceiling(other: Limit, peak: Limit) -> bool:
    is_peak = peak.kind is LimitKind.PEAK and other.kind is LimitKind.CEILING
    return is_peak and (other.citation, other.unit, other.industry) == (peak.citation, peak.unit, peak.industry)


def _value(peak: Peak, limit: Limit, substance: Substance | None) -> float:
    """Return a peak in the unit of its limit; one that can't be compared is over every limit."""
    value = in_limit_unit(peak.concentration, limit.unit, substance)
    return inf if value is None else value


def _is_allowed(peak: Peak, limit: Limit, substance: Substance | None) -> bool:
    is_low = _value(peak, limit, substance) <= (limit.value or 0.0) * _HAIR
    is_alone = _ALONE not in limit.note or bool(peak.otherwise_none)
    return is_low and is_alone and _minutes_in_span(peak, limit) <= limit.minutes * _HAIR


def _minutes_in_span(peak: Peak, limit: Limit) -> float:
    """Return how long it was over the ceiling in the hours of the table; a shorter span is taken to come again."""
    span_min, table_min = in_unit(peak.span, "min"), (limit.per_hours or _SHIFT_H) * 60.0
    times = ceil(table_min / span_min / _HAIR) if 0.0 < span_min < table_min else 1
    return in_unit(peak.duration, "min") * times


def _peak_words(peak: Peak) -> str:
    return said(
        "%(concentration)s, %(duration)s over the ceiling within %(span)s",
        concentration=peak.concentration.printed,
        duration=peak.duration.printed,
        span=peak.span.printed,
    )


def _allowed_words(limit: Limit) -> str:
    amount = text_of(limit.value or 0.0, unit_symbol(limit.unit))
    hours = Quantity(limit.per_hours or _SHIFT_H, "h", "").printed
    alone = said(", with %(alone)s in the shift", alone=_ALONE) if _ALONE in limit.note else ""
    return said(
        "%(amount)s for %(minutes)s within %(hours)s%(alone)s",
        amount=amount,
        minutes=counted(limit.minutes, "minute"),
        hours=hours,
        alone=alone,
    )
