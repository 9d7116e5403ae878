"""Single masks with records of their own: whether the last inspection of one left it fit for use.

The closed result says so. Where it is silent, a text counts as sound only if each of its parts is one of few known ones
(`found_sound` of `catalogue/tables/telling_words.yaml`, common practice, no source): a defect has too many words to be
looked for. What counts is the newest inspection up to the day: a later one answers for an earlier defect.
"""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum
from functools import cache

from progdoc.model.description.masks import Inspection, InspectionResult, Mask, Unit
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import found_defect, is_told

__all__ = ["UnitState", "best_state", "newest_inspection", "sound_pieces", "unit_state"]

_PARTS = re.compile(r"[,;.:/]|\band\b", re.IGNORECASE)


class UnitState(StrEnum):
    SOUND = "sound"
    UNSAID = "not said"  # nobody says in closed words whether it may be worn
    SET_ASIDE = "set aside"  # its record says that it is out of service
    DEFECTIVE = "defective"  # a defect was found, and nothing says that it was put right


def newest_inspection(unit: Unit, as_of: date) -> tuple[int, Inspection] | None:
    """Return the newest inspection up to a day, with its place among all of them."""
    past = [(one.date, i) for i, one in enumerate(unit.inspections) if one.date <= as_of]
    return (max(past)[1], unit.inspections[max(past)[1]]) if past else None


def unit_state(unit: Unit, as_of: date) -> UnitState:
    """Return what the newest inspection says of a single mask; one that was never looked at is asked for elsewhere."""
    newest = newest_inspection(unit, as_of)
    if newest is None:
        return UnitState.SOUND
    record = newest[1]
    findings, remedy = record.findings or "", record.remedy or ""
    if record.result is InspectionResult.OUT_OF_SERVICE or any(
        is_told("set_aside", text) and not is_told("remedy_to_come", text) for text in (remedy, findings)
    ):
        return UnitState.SET_ASIDE
    is_mended = _is_done(remedy)
    if (record.result is InspectionResult.REPAIRED or found_defect(findings)) and not is_mended:
        return UnitState.DEFECTIVE
    if record.by is not None and said_by(record.by) is not Said.ANSWER:
        return UnitState.UNSAID
    is_sound = record.result is not None or (_are_all("found_sound", findings) and _are_all("no_remedy", remedy or "-"))
    return UnitState.SOUND if is_sound else UnitState.UNSAID


def best_state(mask: Mask, as_of: date) -> UnitState:
    """Return how the best of the single masks stands, or that there are others than those with records.

    >>> best_state(Mask(id="set", in_stock=2, units=(Unit(id="one"),)), date(2026, 6, 1))
    <UnitState.SOUND: 'sound'>
    """
    if not mask.units or (mask.in_stock is not None and mask.in_stock > len(mask.units)):
        return UnitState.SOUND
    order = tuple(UnitState)
    return min((unit_state(unit, as_of) for unit in mask.units), key=order.index)


def sound_pieces(mask: Mask, as_of: date) -> tuple[int, int] | None:
    """Return how many of a mask may be worn, and of how many more that is not said; None where nobody counts them.

    >>> sound_pieces(Mask(id="set", in_stock=3, units=(Unit(id="one"),)), date(2026, 6, 1))
    (2, 1)
    """
    if mask.in_stock is None and not mask.units:
        return None
    states = [UnitState.UNSAID if newest_inspection(u, as_of) is None else unit_state(u, as_of) for u in mask.units]
    held = len(states) if mask.in_stock is None else int(mask.in_stock)
    sound, unsaid = states.count(UnitState.SOUND), states.count(UnitState.UNSAID)
    others = max(0, held - len(states))
    return min(held, sound + others), min(unsaid, max(0, held - sound - others))


def _is_done(remedy: str) -> bool:
    """Whether a remedy was made: what is only to be done mends nothing."""
    return said_by(remedy) is Said.ANSWER and not is_told("remedy_to_come", remedy)


def _are_all(name: str, text: str) -> bool:
    parts = [kept for part in _PARTS.split(text.casefold()) if (kept := part.strip(" !\t\r\n"))]
    return bool(parts) and all(part in _known(name) for part in parts)


@cache
def _known(name: str) -> frozenset[str]:
    return frozenset(word for group in table_entries("telling_words", name) for word in group["words"])
