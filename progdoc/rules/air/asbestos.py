"""Masks by class of asbestos work, whatever the level: 29 CFR 1926.1101(h)(1) and (h)(3)(iii)-(iv), 1915.1001(h).

A class that nobody named is taken for the strictest, and an assessment that nobody reported for none.
"""

from __future__ import annotations

from progdoc.model.description.hazards import AsbestosWork, Hazard
from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.facepieces import is_tight_fitting

__all__ = ["class_asks_for_mask", "is_classed", "mask_serves_class", "unsaid_of_class"]

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
    """Return whether the class of work asks for a mask even under the limits, (h)(1)(i)-(vi)."""
    if not is_classed(task, substance):
        return False
    work = hazard.asbestos
    if work is None or work.work_class == "I":
        return True
    if work.work_class == "IV":
        return work.among_masks is not False
    is_broken = work.work_class == "II" and work.intact is not True
    return _is_unassessed(hazard) or is_broken or not (work.wet or _is_intact_roof(work))


def _is_intact_roof(work: AsbestosWork) -> bool:
    """A sloped roof whose material comes off intact, after a negative assessment, may be dry, (h)(1)(iii)."""
    return bool(work.sloped_roof and work.intact and work.negative_assessment)


def unsaid_of_class(hazard: Hazard) -> tuple[str, ...]:
    """Return which facts that decide on masks nobody stated about classed work, by the names of their fields."""
    work = hazard.asbestos
    if work is None:
        return ("",)
    asked = {
        "I": ("negative_assessment",),
        "II": ("negative_assessment", "wet", "intact"),
        "III": ("negative_assessment", "wet", "disturbs_insulation"),
        "IV": ("among_masks",),
    }
    return tuple(name for name in asked[work.work_class] if getattr(work, name) is None)


def mask_serves_class(
    hazard: Hazard,
    task: Task,
    substance: Substance | None,
    mask: Mask,
    fibres_cc: float | None,
    powered_to_fibres_cc: float,
) -> bool:
    """Return whether a mask is strong enough for the class of work; the level is None where it is not known.

    `powered_to_fibres_cc`: up to here a tight-fitting powered mask serves in class I, and HEPA egress cartridges do.
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
    if fibres_cc is None or fibres_cc > powered_to_fibres_cc:
        return False
    if mask.facepiece is Facepiece.FULL_FACEPIECE and mask.mode is Mode.AIRLINE_PRESSURE_DEMAND and mask.hepa_egress:
        return True
    return mask.mode is Mode.POWERED and is_tight_fitting(mask) is True
