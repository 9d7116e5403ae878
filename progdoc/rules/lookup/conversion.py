"""Concentrations from one unit to another; between parts and mass an agent's molecular weight is needed."""

from __future__ import annotations

from progdoc.calc.exposure import mg_m3_from_ppm, ppm_from_mg_m3
from progdoc.model.description.quantities import Quantity, in_unit, is_comparable
from progdoc.rules.judged.published import Substance

__all__ = ["in_limit_unit"]


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
