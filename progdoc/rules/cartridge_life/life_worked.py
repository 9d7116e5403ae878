"""The service life estimate as a worked figure: every step that a reviewer needs to do it again by hand."""

from __future__ import annotations

from math import log

from progdoc.calc.cartridge import Case
from progdoc.calc.service_life import Estimate
from progdoc.core.worked import Input, Rounding, Worked
from progdoc.rules.lookup.cited import cited

__all__ = ["life_worked"]

_PAPERS = "Wood (1994); Wood and Stampfer (1993); Lodewyckx, Wood and Ryu (2004)"
_FORMULA = (
    "service life = (capacity term − rate term) × humidity factor ÷ safety factor\n"
    "capacity term = We·W ÷ (C₀·Q)\n"
    "rate term = We·ρ ÷ (kv·C₀) · ln((1 − x) ÷ x)"
)


def life_worked(
    identity: str, name: str, case: Case, found: Estimate, origins: tuple[str, str], notes: tuple[str, ...]
) -> Worked:
    """Return an estimate with its inputs, both terms and factors; `origins` are those of flow and carbon."""
    flow_from, carbon_from = origins
    x = found.breakthrough_fraction
    law = f"{cited('change-schedule')}; {_PAPERS}"
    computed = "computed, equations in the sources"
    inputs = (
        Input("vapour in the air, all agents", case.challenge_ppm, "ppm", "levels while the task is done", Rounding.UP),
        Input("C₀, the same as mass", found.challenge_g_cm3 * 1e6, "g/m³", computed, Rounding.UP),
        Input("air temperature", case.temperature_c, "°C", "the task; the one that gives the shorter life"),
        Input("relative humidity", case.relative_humidity_percent, "%", "the task"),
        Input("Q, air flow", case.flow_l_min, "L/min", flow_from, Rounding.UP),
        Input("W, carbon of all cartridges", case.bed.carbon_mass_g, "g", carbon_from, Rounding.DOWN),
        Input("bed area of all cartridges", case.bed.area_cm2, "cm²", carbon_from),
        Input("ρ, bed density", case.bed.density_g_cm3, "g/cm³", carbon_from),
        Input("micropore volume", case.bed.micropore_volume_cm3_g, "cm³/g", carbon_from),
        Input("saturation pressure", found.saturation_pressure_mmhg, "mmHg", computed),
        Input("We, capacity", found.capacity_g_g, "g/g", computed, Rounding.DOWN),
        Input("kv, rate coefficient", found.rate_per_min, "1/min", computed, Rounding.DOWN),
        Input("x, share that counts as breakthrough", x, "", f"{found.criterion.value.replace('-', ' ')}"),
        Input("ln((1 − x) ÷ x)", log((1.0 - x) / x), "", computed),
        Input("capacity term", found.capacity_term_min, "min", "formula", Rounding.DOWN),
        Input("rate term", found.kinetic_term_min, "min", "formula", Rounding.UP),
        Input(
            "humidity factor",
            found.humidity_factor,
            "",
            "1 to 50 %, a half from 85 %, straight between (ours)",
            Rounding.DOWN,
        ),
        Input("safety factor", found.safety_factor, "", "our choice: 1.5, or 2 where an input is assumed"),
    )
    return Worked(identity, name, found.service_life_min, "min", _FORMULA, inputs, law, Rounding.DOWN, notes)
