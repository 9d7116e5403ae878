"""Whether there can be so much of a vapour at all: air holds no more of it than its saturation."""

from __future__ import annotations

from progdoc.calc.exposure import saturation_ppm
from progdoc.core.numbers import text_of
from progdoc.model.description.hazards import Form, Hazard
from progdoc.model.description.quantities import Quantity
from progdoc.rules.air.working_levels import WorkingLevel
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.reasons import Reason

__all__ = ["VAPOURS", "over_saturation", "saturation_of"]

VAPOURS = (Form.GAS, Form.VAPOUR)  # without a mist, which comes on top of what air can hold


def saturation_of(hazard: Hazard, substance: Substance | None) -> float | None:
    """Return the most ppm that air at 20 °C holds of what is described as vapour alone; None where nobody can tell."""
    pressure = substance.vapour_pressure_mmhg_20c if substance else None
    return saturation_ppm(pressure) if pressure and hazard.form in VAPOURS else None


def over_saturation(
    hazard: Hazard, path: str, substance: Substance | None, working: WorkingLevel | None, unit: str
) -> tuple[Reason, ...]:
    """Ask about a level of vapour that air at 20 °C cannot hold: it is a mist as well, or hotter, or a slip."""
    most = saturation_of(hazard, substance)
    level = in_limit_unit(Quantity(working.value, unit, ""), "ppm", substance) if working and unit else None
    if most is None or level is None or level <= most:
        return ()
    words = {"agent": hazard.agent, "level": text_of(level, "ppm", "down"), "most": text_of(most, "ppm", "up")}
    return (Reason("EXP-036", f"{path}.form", words),)
