"""Every number that cannot be is refused by its own name: no calculation goes on with it. No source is needed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields
from math import inf, nan
from typing import Any

import pytest

from progdoc.calc import adsorption, bed, cartridge, change_schedule, exposure, fit, oxygen, protection, shift_length
from progdoc.core.errors import DomainError

VAPOUR = cartridge.Vapour("toluene", 92.1384, 110.6, 0.86391, 31.054, 28.459, 4603.7)
BED = cartridge.Bed(70.0, 86.0, 0.44, 0.454)
CASE = cartridge.Case(VAPOUR, BED, 400.0, 200.0, 40.0, 22.0, 50.0)

# Calls that are answered; each argument is above zero, but for those named in MAY_BE_ZERO.
CALLS: list[tuple[Callable[..., Any], dict[str, Any]]] = [
    (adsorption.molar_polarisation_cm3_mol, {"refractive_index": 1.5, "density_g_cm3": 0.9, "molecular_weight": 92.0}),
    (adsorption.saturation_pressure_mmhg, {"pressure_25c_mmhg": 28.0, "slope_k": 4600.0, "temperature_k": 300.0}),
    (adsorption.liquid_density_g_cm3, {"density_25c_g_cm3": 0.9, "temperature_k": 300.0}),
    (
        adsorption.vapour_density_g_cm3,
        {"concentration_ppm": 400.0, "molecular_weight": 92.0, "temperature_k": 300.0, "pressure_pa": 101325.0},
    ),
    (
        adsorption.adsorption_capacity_g_g,
        {
            "micropore_volume_cm3_g": 0.45, "liquid_density": 0.9, "polarisation_cm3_mol": 31.0,
            "temperature_k": 300.0, "relative_pressure": 0.01,
        },
    ),
    (
        adsorption.capacity_slope,
        {
            "micropore_volume_cm3_g": 0.45, "polarisation_cm3_mol": 31.0, "temperature_k": 300.0,
            "relative_pressure": 0.01,
        },
    ),
    (
        bed.rate_coefficient_per_min,
        {"linear_velocity_cm_s": 10.0, "log_ratio": 2.0, "polarisation_cm3_mol": 31.0},
    ),
    (bed.turning_log_ratio, {"polarisation_cm3_mol": 31.0}),
    (
        bed.breakthrough_terms_min,
        {
            "capacity_g_g": 0.3, "carbon_mass_g": 70.0, "challenge_g_cm3": 1e-6, "flow_cm3_min": 40000.0,
            "bed_density_g_cm3": 0.44, "rate_per_min": 5000.0, "log_ratio": 2.0,
        },
    ),
    (cartridge.breakthrough_fraction, {"challenge_ppm": 400.0, "limit_ppm": 200.0, "fraction": 0.1}),
    (
        change_schedule.scaled_service_life_min,
        {
            "known_life_min": 100.0, "known_ppm": 400.0, "known_flow_l_min": 40.0, "challenge_ppm": 200.0,
            "flow_l_min": 40.0,
        },
    ),
    (change_schedule.keepable_interval_min, {"service_life_min": 100.0}),
    (exposure.mg_m3_from_ppm, {"concentration_ppm": 10.0, "molar_mass_g_mol": 92.0}),
    (exposure.ppm_from_mg_m3, {"concentration_mg_m3": 10.0, "molar_mass_g_mol": 92.0}),
    (exposure.hazard_ratio, {"concentration": 10.0, "limit": 20.0}),
    (fit.fit_test_is_passed, {"overall_factor": 120.0, "pass_level": 100.0}),
    (oxygen.is_oxygen_deficient, {"oxygen_percent": 20.9, "minimum_percent": 19.5}),
    (oxygen.needs_oxygen_enriched_air, {"altitude_ft": 8000.0, "enriched_above_ft": 14000.0}),
    (protection.protection_margin, {"maximum_use": 500.0, "concentration": 100.0}),
    (shift_length.lead_limit, {"limit_8h": 50.0, "worked_h": 10.0}),
    (shift_length.brief_scala_factor, {"worked_h": 10.0}),
    (cartridge.Vapour, {field.name: getattr(VAPOUR, field.name) for field in fields(VAPOUR)}),
    (cartridge.Bed, {field.name: getattr(BED, field.name) for field in fields(BED)}),
    (cartridge.Case, {field.name: getattr(CASE, field.name) for field in fields(CASE)}),
]  # fmt: skip
MAY_BE_ZERO = {
    "concentration_ppm of mg_m3_from_ppm", "concentration_mg_m3", "concentration of hazard_ratio", "boiling_point_c",
    "oxygen_percent", "minimum_percent", "altitude_ft", "enriched_above_ft", "temperature_c",
    "relative_humidity_percent",
}  # fmt: skip
MAY_BE_BELOW = {"altitude_ft", "boiling_point_c"}
PRINTED = {
    "overall_factor": "overall fit factor", "pass_level": "pass level", "temperature_c": "temperature in kelvin",
}  # fmt: skip


def refused(function: Callable[..., Any], given: dict[str, Any]) -> Iterator[tuple[str, float]]:
    """Yield every number of a call with each that it cannot be."""
    for name, value in given.items():
        if not isinstance(value, float):
            continue
        bad = [nan, inf, -inf]
        bad += [] if name in MAY_BE_BELOW else [-300.0]
        bad += [] if {name, f"{name} of {function.__name__}"} & MAY_BE_ZERO else [0.0]
        yield from ((name, one) for one in bad)


@pytest.mark.parametrize(("function", "given"), CALLS, ids=[function.__name__ for function, _ in CALLS])
def test_a_number_that_cannot_be_is_refused_by_its_name(function: Callable[..., Any], given: dict[str, Any]) -> None:
    function(**given)
    taken = []
    for name, bad in refused(function, given):
        try:
            function(**{**given, name: bad})
        except DomainError as error:
            if PRINTED.get(name, name) not in str(error):
                taken.append((name, bad, str(error)))
        else:
            taken.append((name, bad, "not refused"))
    assert taken == []
