"""Single masks with records of their own: whether the last inspection of one left it fit for use.

The words are data (`catalogue/tables/telling_words.yaml`): common practice, no source. What counts is the newest
inspection up to the day: a later one that found nothing answers for an earlier defect.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from progdoc.model.description.masks import Inspection, Mask, Unit
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.telling_words import found_defect, is_told

__all__ = ["UnitState", "has_sound_piece", "newest_inspection", "unit_state"]


class UnitState(StrEnum):
    SOUND = "sound"
    SET_ASIDE = "set aside"  # its record says that it is out of service
    DEFECTIVE = "defective"  # a defect was found, and nothing says that it was put right


def newest_inspection(unit: Unit, as_of: date) -> tuple[int, Inspection] | None:
    """Return the newest inspection up to a day, with its place among all of them."""
    past = [(one.date, i) for i, one in enumerate(unit.inspections) if one.date <= as_of]
    return (max(past)[1], unit.inspections[max(past)[1]]) if past else None


def unit_state(unit: Unit, as_of: date) -> UnitState:
    """Return what the newest inspection says of a single mask."""
    newest = newest_inspection(unit, as_of)
    if newest is None:
        return UnitState.SOUND
    findings, remedy = newest[1].findings or "", newest[1].remedy or ""
    if any(is_told("set_aside", text) and not is_told("remedy_to_come", text) for text in (remedy, findings)):
        return UnitState.SET_ASIDE
    return UnitState.DEFECTIVE if found_defect(findings) and not _is_done(remedy) else UnitState.SOUND


def has_sound_piece(mask: Mask, as_of: date) -> bool:
    """Return whether one of the single masks may be worn, or there are others than those with records."""
    if not mask.units or (mask.in_stock is not None and mask.in_stock > len(mask.units)):
        return True
    return any(unit_state(unit, as_of) is UnitState.SOUND for unit in mask.units)


def _is_done(remedy: str) -> bool:
    """Whether a remedy was made: what is only to be done mends nothing."""
    return said_by(remedy) is Said.ANSWER and not is_told("remedy_to_come", remedy)
