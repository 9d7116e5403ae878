"""Masks by class of asbestos work, whatever the level: 29 CFR 1926.1101(h)(1) and (h)(3)(iii)-(iv), 1915.1001(h).

A class that nobody named is taken for the strictest, and an assessment that nobody reported for none.
"""

from __future__ import annotations

from progdoc.model.description.hazards import Hazard
from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.facepieces import is_tight_fitting

__all__ = ["class_asks_for_mask", "is_classed", "mask_serves_class"]

_ASBESTOS = "asbestos"
_WEAK = (Facepiece.FILTERING_FACEPIECE, Facepiece.QUARTER_MASK)


def is_classed(task: Task, substance: Substance | None) -> bool:
    """Return whether masks go by the class of work: asbestos outside general industry."""
    return substance is not None and substance.id == _ASBESTOS and task.industry is not Industry.GENERAL


def _is_unassessed(hazard: Hazard) -> bool:
    work = hazard.asbestos
    if work is None:
        return True
    is_disturbing = work.work_class == "III" and work.disturbs_insulation is not False
    return work.negative_assessment is not True or is_disturbing


def class_asks_for_mask(hazard: Hazard, task: Task, substance: Substance | None) -> bool:
    """Return whether the class of work asks for a mask even under the limits, (h)(1)(i)-(v)."""
    if not is_classed(task, substance) or hazard.asbestos is None:
        return False
    kind = hazard.asbestos.work_class
    return kind == "I" or (kind in ("II", "III") and _is_unassessed(hazard))


def mask_serves_class(
    hazard: Hazard,
    task: Task,
    substance: Substance | None,
    mask: Mask,
    fibres_cc: float | None,
    powered_to_fibres_cc: float,
) -> bool:
    """Return whether a mask is strong enough for the class of work; the level is None where it is not known.

    `powered_to_fibres_cc`: up to here a tight-fitting powered mask serves in class I.
    """
    if not is_classed(task, substance):
        return True
    kind = hazard.asbestos.work_class if hazard.asbestos else "I"
    if kind == "IV" or not _is_unassessed(hazard):
        return True
    if kind in ("II", "III"):
        return mask.facepiece not in _WEAK
    if mask.facepiece is Facepiece.FULL_FACEPIECE and (
        mask.mode is Mode.SCBA_PRESSURE_DEMAND  # not named there, and more than what is: our reading
        or (mask.mode is Mode.AIRLINE_PRESSURE_DEMAND and mask.auxiliary_air)
    ):
        return True
    is_low = fibres_cc is not None and fibres_cc <= powered_to_fibres_cc
    return is_low and mask.mode is Mode.POWERED and is_tight_fitting(mask) is True
