"""The service life estimate as a worked figure: every step that a reviewer needs to do it again by hand.

The inputs carry as many digits as a pocket calculator needs to come to each printed term and to the printed life.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import log

from progdoc.calc.cartridge import Case
from progdoc.calc.service_life import Estimate
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_choice
from progdoc.core.worked import Input, Rounding, Step, Worked, with_digits_to_follow
from progdoc.rules.cartridge_life.vapours import CarbonOrigins
from progdoc.rules.judged.cartridge_results import (
    CAPACITY_TERM,
    COMPUTED,
    FORMULA,
    HUMIDITY_FACTOR,
    RATE_TERM,
    SAFETY_FACTOR,
)
from progdoc.rules.lookup.cited import cited

__all__ = ["Origins", "life_worked"]

_PAPERS = said("Wood (1994); Wood and Stampfer (1993); Lodewyckx, Wood and Ryu (2004)")
_FORMULA = said(
    "service life = (capacity term − rate term) × humidity factor ÷ safety factor\n"
    "capacity term = 1000 × We × W ÷ (C₀ × Q)\n"
    "rate term = 1000000 × We × ρ ÷ (kv × C₀) × ln((1 − x) ÷ x)\n"
    "C₀ = C × M × P ÷ (8314.462618 × (T + 273.15))"
)


@dataclass(frozen=True, slots=True)
class Origins:
    """Where flow, carbon and pressure are from."""

    flow: str
    carbon: CarbonOrigins
    pressure: str


def life_worked(
    identity: str, name: str, case: Case, found: Estimate, origins: Origins, notes: tuple[str, ...]
) -> Worked:
    """Return an estimate with its inputs, both terms and factors."""
    terms: tuple[Input, ...] = (
        Input(CAPACITY_TERM, found.capacity_term_min, "min", FORMULA, Rounding.DOWN),
        Input(RATE_TERM, found.kinetic_term_min, "min", FORMULA, Rounding.UP),
        Input(
            HUMIDITY_FACTOR,
            found.humidity_factor,
            "",
            said("1 to 50 %, a half from 85 %, straight between (ours)"),
            Rounding.DOWN,
        ),
        Input(SAFETY_FACTOR, found.safety_factor, "", said("our choice: 1.5, or 2 where an input is assumed")),
    )
    law = said("%(cited)s; %(papers)s", cited=cited("change-schedule"), papers=_PAPERS)
    worked = Worked(identity, name, found.service_life_min, "min", _FORMULA, (), law, Rounding.DOWN, notes)
    terms = with_digits_to_follow(terms, [Step(worked.result, _life)])
    return replace(worked, inputs=(*_told(case, found, origins, terms), *terms))


def _life(terms: Sequence[float]) -> float:
    held, lost, moist, safety = terms
    return (held - lost) * moist / safety


def _told(case: Case, found: Estimate, origins: Origins, terms: Sequence[Input]) -> tuple[Input, ...]:
    """Return what both terms and the mass of vapour are made of."""
    x = found.breakthrough_fraction
    mass = Input(said("C₀, the same as mass"), found.challenge_g_cm3 * 1e6, "g/m³", FORMULA, Rounding.UP)
    of_terms: tuple[Input, ...] = (
        mass,
        Input(said("We, capacity"), found.capacity_g_g, "g/g", COMPUTED, Rounding.DOWN),
        Input(said("W, carbon of all cartridges"), case.bed.carbon_mass_g, "g", origins.carbon.mass, Rounding.DOWN),
        Input(said("Q, air flow"), case.flow_l_min, "L/min", origins.flow, Rounding.UP),
        Input(said("ρ, bed density"), case.bed.density_g_cm3, "g/cm³", origins.carbon.density),
        Input(said("kv, rate coefficient"), found.rate_per_min, "1/min", COMPUTED, Rounding.DOWN),
        Input(said("x, share that counts as breakthrough"), x, "", said_choice(found.criterion)),
    )
    of_terms = with_digits_to_follow(of_terms, [Step(terms[0], _capacity_term), Step(terms[1], _rate_term)])
    of_mass: tuple[Input, ...] = (
        Input(
            said("C, vapour in the air, all agents"), case.challenge_ppm, "ppm", said("average while the task is done")
        ),
        Input(said("M, molar mass"), case.vapour.molecular_weight, "g/mol", said("table of organic vapours")),
        Input(said("P, air pressure"), case.pressure_kpa, "kPa", origins.pressure),
        Input(
            said("T, air temperature"), case.temperature_c, "°C", said("the task; the one that gives the shorter life")
        ),
    )
    of_mass = with_digits_to_follow(of_mass, [Step(of_terms[0], _vapour_mass)])
    others = (
        Input(said("relative humidity"), case.relative_humidity_percent, "%", said("the task")),
        Input(said("bed area of all cartridges"), case.bed.area_cm2, "cm²", origins.carbon.bed_area),
        Input(said("micropore volume"), case.bed.micropore_volume_cm3_g, "cm³/g", origins.carbon.micropore_volume),
        Input(said("saturation pressure"), found.saturation_pressure_mmhg, "mmHg", COMPUTED),
    )
    return (*of_mass, *of_terms, *others)


def _capacity_term(numbers: Sequence[float]) -> float:
    mass, capacity, carbon, flow, _, _, _ = numbers
    return 1000.0 * capacity * carbon / (mass * flow)


def _rate_term(numbers: Sequence[float]) -> float:
    mass, capacity, _, _, density, rate, share = numbers
    return 1000000.0 * capacity * density / (rate * mass) * log((1.0 - share) / share)


def _vapour_mass(numbers: Sequence[float]) -> float:
    ppm, molar_mass, pressure_kpa, celsius = numbers
    return ppm * molar_mass * pressure_kpa / (8314.462618 * (celsius + 273.15))
