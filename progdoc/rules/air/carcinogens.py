"""Masks against the 13 carcinogens of 29 CFR 1910.1003, by what is done with them, whatever the level.

Work that nobody named is taken for handling; a mixture whose content nobody gave, for one inside the standard.
"""

from __future__ import annotations

from progdoc.core.said import said
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.masks import Facepiece, Filter, Mask, Mode
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.law_tables import assigned_factors_for
from progdoc.rules.lookup.standard_tables import Carcinogen, carcinogen

__all__ = ["asks_for_mask", "citation_of", "is_governed", "serves", "wanted_masks"]

_WITHOUT_MASK = ("isolated", "closed")
_PURIFYING = (Mode.AIR_PURIFYING, Mode.POWERED)
_POSITIVE_AIRLINES = (Mode.AIRLINE_PRESSURE_DEMAND, Mode.AIRLINE_CONTINUOUS_FLOW)


def is_governed(hazard: Hazard, substance: Substance | None) -> bool:
    """Return whether the standard covers an agent here: one of the 13, and not too little of it, (a)(1)-(2)."""
    rule = carcinogen(substance.id) if substance else None
    content = hazard.carcinogen.content if hazard.carcinogen else None
    return rule is not None and (content is None or in_unit(content, "%") >= rule.mixtures_below_percent)


def asks_for_mask(hazard: Hazard, substance: Substance | None) -> bool:
    """Return whether the work asks for a mask whatever the level, (c)(4)(iv) and (c)(5)(i)."""
    return is_governed(hazard, substance) and _operation(hazard) not in _WITHOUT_MASK


def serves(hazard: Hazard, substance: Substance, mask: Mask, fitted: list[Filter], apf: float | None) -> bool:
    """Return whether a mask is one of those for the work, or protects more."""
    operation = _operation(hazard)
    if operation in _WITHOUT_MASK:
        return True
    if operation == "maintenance":
        return mask.facepiece is Facepiece.HOOD and mask.mode is Mode.AIRLINE_CONTINUOUS_FLOW
    if _rule(substance).masks == "air":
        is_supplied = mask.mode is Mode.SCBA_PRESSURE_DEMAND or (mask.mode in _POSITIVE_AIRLINES and mask.auxiliary_air)
        return mask.facepiece is Facepiece.FULL_FACEPIECE and bool(is_supplied)
    if mask.mode in _PURIFYING and not _has_particle_filter(mask, fitted):
        return False
    return mask.facepiece is not Facepiece.QUARTER_MASK and (apf or 0.0) >= _half_mask_factor()


def wanted_masks(hazard: Hazard, substance: Substance) -> str:
    """Return in words which masks the work asks for."""
    if _operation(hazard) == "maintenance":
        return said("a hood with a continuous supply of air")
    if _rule(substance).masks == "air":
        return said(
            "a full facepiece with positive pressure, self-contained or airline with auxiliary self-contained air"
        )
    return said("a half mask with particle filters, or a mask that protects more")


def citation_of(hazard: Hazard, task: Task) -> str:
    """Return the paragraph that names the masks for the work."""
    section = cited(f"carcinogens-{task.industry or Industry.GENERAL}")
    return section + cited(f"carcinogens-{'maintenance' if _operation(hazard) == 'maintenance' else 'handling'}")


def _half_mask_factor() -> float:
    (half,) = assigned_factors_for(Mode.AIR_PURIFYING.value, Facepiece.HALF_MASK.value)
    return float(half.apf or 0)


def _operation(hazard: Hazard) -> str:
    return (hazard.carcinogen.operation if hazard.carcinogen else None) or "handling"


def _rule(substance: Substance) -> Carcinogen:
    rule = carcinogen(substance.id)
    if rule is None:
        raise LookupError(f"{substance.name} is none of the 13 carcinogens")
    return rule


def _has_particle_filter(mask: Mask, fitted: list[Filter]) -> bool:
    return mask.built_in_filter is not None or any(part.particulate is not None for part in fitted)
