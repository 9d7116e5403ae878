"""Agents as vapours that the service life model knows, the air through the cartridges, and the carbon in them.

Nothing is filled in silently: a flow or a carbon bed that is assumed says so. Refused, with what to do
instead: an agent whose properties are not known, and powered or multi-gas cartridges without carbon data.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from progdoc.calc.atmosphere import SEA_LEVEL_KPA, standard_pressure_kpa
from progdoc.calc.cartridge import (
    ASSUMED_BED_AREA_CM2,
    ASSUMED_BED_DENSITY_G_CM3,
    ASSUMED_CARBON_MASS_G,
    ASSUMED_MICROPORE_VOLUME_CM3_G,
    Bed,
    Reason,
    Vapour,
    side_by_side,
)
from progdoc.core.errors import DomainError
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import text_of
from progdoc.core.said import said, said_choice, same
from progdoc.model.description.cartridge_data import Carbon
from progdoc.model.description.exposure_evidence import Estimate, ObjectiveData, Samples
from progdoc.model.description.masks import Filter, Gas, Mask, Mode
from progdoc.model.description.quantities import Quantity, in_unit, is_comparable
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Breathing, Effort, Task
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.cartridge_results import NotKnown
from progdoc.rules.judged.figure_results import Law
from progdoc.rules.lookup.facepieces import may_seal
from progdoc.rules.lookup.likely_figures import carbon_trouble
from progdoc.rules.lookup.table_files import Row, table_rows

__all__ = [
    "AirFlow",
    "AirPressure",
    "CarbonBed",
    "CarbonOrigins",
    "air_flow",
    "air_pressure",
    "boiling_point_c",
    "breathes_by_effort",
    "carbon_bed",
    "heavier",
    "may_be_vapour",
    "vapours_of",
]

_HAIR = 1.0 + 1e-9  # cubic feet come to litres with a tail
_NUMBERS = (
    "molecular_weight",
    "boiling_point_c",
    "liquid_density_25c_g_cm3",
    "molar_polarisation_cm3_mol",
    "vapour_pressure_25c_mmhg",
    "vapour_pressure_slope_k",
)


@dataclass(frozen=True, slots=True)
class AirFlow:
    """Air through the cartridges, all together."""

    l_min: float
    origin: str
    is_assumed: bool = False


class CarbonOrigins(NamedTuple):
    """Where each figure of the carbon is from."""

    mass: str
    bed_area: str
    density: str
    micropore_volume: str


@dataclass(frozen=True, slots=True)
class CarbonBed:
    """The carbon of all cartridges of a mask, and what of it is assumed."""

    bed: Bed
    origins: CarbonOrigins
    assumed: tuple[str, ...]


# ---- vapours ------------------------------------------------------------------------------------------


@cache
def _rows() -> dict[str, Row]:
    return {key: row for row in table_rows("organics") for key in (row["cas"], row["name"].casefold())}


def _rows_of(agent: Assessment) -> tuple[Row, ...]:
    """Return the rows of an agent; several for one sold as a mixture of isomers."""
    numbers = agent.substance.cas if agent.substance else ()
    found = {row["cas"]: row for key in (*numbers, agent.hazard.agent.casefold()) if (row := _rows().get(key))}
    return tuple(found.values())


def boiling_point_c(agent: Assessment) -> float | None:
    """Return the lowest boiling point that is known of an agent."""
    known = [float(row["boiling_point_c"]) for row in _rows_of(agent) if row["boiling_point_c"]]
    if agent.substance is not None and agent.substance.boiling_point_c is not None:
        known.append(agent.substance.boiling_point_c)
    return min(known, default=None)


def may_be_vapour(agent: Assessment) -> bool:
    """Return whether an agent is in the air as gas or vapour, or may be since nobody says in what form it is."""
    return agent.is_gas or (agent.hazard.form is None and bool(_rows_of(agent)))


def vapours_of(agent: Assessment) -> tuple[Vapour, ...] | NotKnown:
    """Return an agent as the model sees it, isomer by isomer."""
    rows = _rows_of(agent)
    name = agent.hazard.agent
    if not rows:
        instead = said("Use the maker's service data for it, or a test.")
        return NotKnown(said("the properties of %(name)s are not in the table of organic vapours", name=name), instead)
    for row in rows:
        if not all(row[column] for column in _NUMBERS):
            return NotKnown(
                said("%(name)s: %(barred_because)s", name=name, barred_because=row["barred_because"]),
                said("Use what that rule, the label and the maker say."),
            )
    return tuple(_vapour(row, name) for row in rows)


def _vapour(row: Row, name: str) -> Vapour:
    weight, boiling, density, polarisation, pressure, slope = (float(row[column]) for column in _NUMBERS)
    barred = row["barred"].split()
    return Vapour(
        name,
        weight,
        boiling,
        density,
        polarisation,
        pressure,
        slope,
        needs_impregnated_carbon=Reason.IMPREGNATED_CARBON in barred,
        standard_decides=Reason.STANDARD_DECIDES in barred,
        is_unreliable=Reason.UNRELIABLE_DATA in barred,
    )


# ---- flow ---------------------------------------------------------------------------------------------


@cache
def _flows() -> dict[str, float]:
    return {row["effort"]: float(row["flow_l_min"]) for row in table_rows("work_rates")}


def heavier(effort: Effort) -> Effort | None:
    """Return the next class of effort; None above heavy."""
    classes = list(Effort)
    place = classes.index(effort) + 1
    return classes[place] if place < len(classes) else None


def air_flow(law: Law, mask: Mask, task: Task) -> AirFlow | NotKnown:
    """Return the blower's flow through a powered mask, else the wearer's breathing by effort."""
    if mask.mode is Mode.POWERED:
        least = law["blower-tight-fitting" if may_seal(mask) else "blower-loose-fitting"]
        least_l_min = law.amount(least.id, "L/min")
        stated = mask.blower_flow
        if stated is not None and in_unit(stated, "L/min") * _HAIR >= least_l_min:
            return AirFlow(in_unit(stated, "L/min"), said("blower, as described: %(stated)s", stated=stated.printed))
        # So little air would flatter the cartridge, and what the blower does not give the wearer draws in.
        less = (
            said(", more than the %(stated)s described", stated=stated.printed)
            if stated is not None and stated.value > 0.0
            else ""
        )
        return AirFlow(
            least_l_min,
            said("blower, least flow in %(citation)s%(less)s", citation=least.citation, less=less),
            is_assumed=True,
        )
    told = "" if task.breathing is None else _not_counted(task.breathing, task.effort)
    if task.breathing is not None and not told:
        return AirFlow(
            in_unit(task.breathing.rate, "L/min"),
            said("breathing, as described: %(source)s", source=task.breathing.source),
        )
    if task.effort is None and task.breathing is not None:
        return NotKnown(
            said("the breathing rate of the task %(told)s", told=told),
            said("Mend `breathing:` in the task, or write `effort:`."),
        )
    if task.effort is None:
        return NotKnown(said("nobody says how hard the work is"), said("Write `effort:` in the task."))
    instead = (
        said(", in place of the %(rate)s described, which %(told)s", rate=task.breathing.rate.printed, told=told)
        if task.breathing
        else ""
    )
    origin = said(
        "breathing at %(effort)s effort, EPA/600/R-09/052F, Table 6-2%(instead)s",
        effort=said_choice(task.effort),
        instead=instead,
    )
    return AirFlow(_flows()[task.effort.value], origin)


def breathes_by_effort(task: Task) -> bool:
    """Return whether the published rate of the class of effort counts, and not one that the task gives itself."""
    return task.breathing is None or _not_counted(task.breathing, task.effort) != ""


def _not_counted(breathing: Breathing, effort: Effort | None) -> str:
    """Return why a rate does not count; "" if it does. So little air would flatter the cartridge."""
    rate = in_unit(breathing.rate, "L/min")
    if rate <= 0.0:
        return said("is zero")
    if breathing.source is None:
        return said("has no source")
    classes = list(Effort)
    lighter = classes[max(classes.index(effort) - 1, 0)] if effort else classes[0]
    if rate * _HAIR < _flows()[lighter.value]:
        return said("is less than is breathed at %(lighter)s effort", lighter=said_choice(lighter))
    return ""


@dataclass(frozen=True, slots=True)
class AirPressure:
    """The pressure of the air at the site."""

    kpa: float
    origin: str


def air_pressure(air: TaskAir) -> AirPressure:
    """Return the pressure at the lowest site of a task, the one with the shortest life; sea level where nobody tells.

    Thin air holds less vapour at the same ppm. A level that was found as a mass stays the mass it is.
    """
    if air.lowest_altitude_ft is None:
        return AirPressure(SEA_LEVEL_KPA, said("at sea level, since nobody states the altitude of every site"))
    if not all(_is_in_parts(agent) for agent in air.agents if may_be_vapour(agent)):
        return AirPressure(SEA_LEVEL_KPA, said("at sea level, since a level was found as a mass of vapour"))
    altitude = Quantity(air.lowest_altitude_ft, "ft", "")
    try:
        kpa = standard_pressure_kpa(in_unit(altitude, "m"))
    except DomainError:
        return AirPressure(SEA_LEVEL_KPA, said("at sea level, since nobody works at the altitude stated"))
    return AirPressure(
        kpa, said("standard atmosphere of 1976 at %(altitude)s", altitude=text_of(altitude.value, altitude.unit))
    )


def _is_in_parts(agent: Assessment) -> bool:
    evidence = agent.hazard.exposure
    match evidence:
        case Samples(results=results):
            found = [sample.concentration for sample in results]
        case ObjectiveData(concentration=level) | Estimate(concentration=level):
            found = [level]
        case _:
            found = []
    return all(is_comparable(level, Quantity(1.0, "ppm", "")) for level in found)


# ---- carbon -------------------------------------------------------------------------------------------


def carbon_bed(part: Filter, mask: Mask) -> CarbonBed | NotKnown:
    """Return the carbon as described; where the maker says nothing, the published range's low end."""
    label = label_of(part)
    carbon = part.carbon or Carbon()
    stated = (carbon.mass, carbon.bed_area, carbon.density, carbon.micropore_volume)
    if any(quantity is not None and quantity.value <= 0.0 for quantity in stated):
        return NotKnown(
            said("the carbon data of %(label)s hold a zero", label=label),
            said("Write the maker's figures, or leave them out."),
        )
    if odd := carbon_trouble(carbon):
        instead = said("Copy the maker's figures for one cartridge, and their units.")
        return NotKnown(said("%(label)s can hardly be so: %(odd)s", label=label, odd=odd), instead, is_unlikely=True)
    if not {Gas.ORGANIC_VAPOUR, Gas.MULTI_GAS} & set(part.gases):
        return NotKnown(
            said(
                "%(label)s is not approved for organic vapours; there is no model for reactive or impregnated media",
                label=label,
            ),
            said("Use the maker's service data, or an indicator approved for the agent."),
        )
    if carbon.mass is None and (mask.mode is Mode.POWERED or Gas.ORGANIC_VAPOUR not in part.gases):
        return NotKnown(
            said("nothing is published on the carbon of a cartridge such as %(label)s", label=label),
            said("Ask the maker for mass and area of the carbon, or for service data."),
        )
    assumed = []
    if carbon.mass is None:
        assumed.append(
            said(
                "carbon %(assumed_carbon_mass_g)s g a cartridge (25–40 g is documented for twin cartridges)",
                assumed_carbon_mass_g=same(f"{ASSUMED_CARBON_MASS_G:g}"),
            )
        )
    if carbon.bed_area is None:
        assumed.append(
            said(
                "bed area %(assumed_bed_area_cm2)s cm² a cartridge",
                assumed_bed_area_cm2=same(f"{ASSUMED_BED_AREA_CM2:g}"),
            )
        )
    if carbon.cartridges is None:
        assumed.append(said("one cartridge, since nobody says how many share the air"))
    if carbon.density is None:
        assumed.append(
            said(
                "bed density %(assumed_bed_density_g_cm3)s g/cm³ (0.40–0.48)",
                assumed_bed_density_g_cm3=same(f"{ASSUMED_BED_DENSITY_G_CM3:g}"),
            )
        )
    if carbon.micropore_volume is None:
        assumed.append(
            said(
                "micropore volume %(assumed_micropore_volume_cm3_g)s cm³/g (0.40–0.60)",
                assumed_micropore_volume_cm3_g=same(f"{ASSUMED_MICROPORE_VOLUME_CM3_G:g}"),
            )
        )
    one = Bed(
        in_unit(carbon.mass, "g") if carbon.mass else ASSUMED_CARBON_MASS_G,
        in_unit(carbon.bed_area, "cm2") if carbon.bed_area else ASSUMED_BED_AREA_CM2,
        in_unit(carbon.density, "g/cm3") if carbon.density else ASSUMED_BED_DENSITY_G_CM3,
        in_unit(carbon.micropore_volume, "cm3/g") if carbon.micropore_volume else ASSUMED_MICROPORE_VOLUME_CM3_G,
    )
    told, untold = carbon.source or said("the description"), said("assumed, since nobody stated it")
    origins = CarbonOrigins(*(told if quantity else untold for quantity in stated))
    return CarbonBed(side_by_side(one, carbon.cartridges or 1), origins, tuple(assumed))
