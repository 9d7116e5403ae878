"""The law's tables as typed rows: protection factors, altitude, filters, silica, lead tasks, substance standards.

Read once, on first use, from `catalogue/tables/*.csv`; where each is from stands in the `*.source.yaml`
beside it. Refuses to fill a blank cell: no assigned protection factor means not usable, never zero.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from io import StringIO
from types import MappingProxyType
from typing import Any, TypeVar

from progdoc.core.errors import ResourceError
from progdoc.core.resources import catalogue_root
from progdoc.model.yaml.yaml_values import plain_of, read_shipped, whole_of
from progdoc.rules.judged.published import FilterClass

__all__ = [
    "AssignedFactor",
    "ButadieneMask",
    "Carcinogen",
    "EnvironmentalRule",
    "LeadTask",
    "OxygenRange",
    "SilicaControl",
    "SilicaRow",
    "SubstanceStandard",
    "apf_column",
    "assigned_factors",
    "assigned_factors_for",
    "butadiene_masks",
    "carcinogen",
    "carcinogens",
    "environmental_rules",
    "filter_class",
    "filter_classes",
    "lead_tasks",
    "oxygen_range_at",
    "oxygen_ranges",
    "silica_controls",
    "silica_row",
    "silica_rows",
    "substance_standard",
    "substance_standards",
    "table_entries",
    "table_rows",
]

Row = MappingProxyType[str, str]
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class AssignedFactor:
    """One cell of Table 1 of 1910.134(d)(3)(i)(A); a hood has two, with and without the maker's evidence."""

    mode: str  # "air-purifying", "powered", "airline-demand" …, as a mask's mode is described
    facepiece: str  # "quarter-mask", "half-mask", "full-facepiece", "helmet-or-hood", "loose-fitting"
    apf: int | None  # None: no factor assigned, so not to be used
    needs_maker_evidence: bool
    condition: str
    notes: tuple[int, ...]
    citation: str


@dataclass(frozen=True, slots=True)
class OxygenRange:
    """A line of Table II: where oxygen between the two figures still allows any atmosphere-supplying mask."""

    above_ft: float
    up_to_ft: float
    oxygen_min_percent: float
    oxygen_max_percent: float
    citation: str


@dataclass(frozen=True, slots=True)
class SilicaControl:
    """One thing that has to be in place, in our words."""

    id: str
    text: str
    citation: str


@dataclass(frozen=True, slots=True)
class SilicaRow:
    """A row of 1926.1153 Table 1 for one control option and one place; 0 means no mask asked for."""

    row: str  # "i" to "xviii"
    task: str
    option: int
    option_name: str
    place: str  # "outdoors" or "indoors" (indoors or in an enclosed area)
    apf_up_to_4_h: int
    apf_over_4_h: int
    controls: tuple[str, ...]  # ids of the row's own controls
    general_controls: tuple[str, ...]  # ids of what (c)(2) adds here
    citation: str


@dataclass(frozen=True, slots=True)
class LeadTask:
    """A task for which 1926.62(d)(2) assumes a level until the air is assessed."""

    id: str
    group: str  # "i" to "iv"
    task: str
    where: str
    assumed_over_ug_m3: float
    assumed_up_to_ug_m3: float | None  # None: no upper bound assumed
    apf_needed: str  # "10", "over 10", "over 50"
    smallest_class_apf: int
    note: str
    citation: str


@dataclass(frozen=True, slots=True)
class SubstanceStandard:
    """What one substance standard asks of masks, above 1910.134."""

    agent: str
    industry: str
    standard: str  # "29 CFR 1926.62"
    respirator_paragraph: str
    medical: str  # "1910.134(e)", the paragraph of its own, or "own paragraph" where that was not read
    calls_in_unknown_is_idlh: bool  # 1910.134(d)(1)(iii)
    calls_in_change_schedule: bool  # 1910.134(d)(3)(iii)(B)(1)-(2), with the rest or by a rule of its own
    filtering_facepiece: str  # "allowed", "forbidden", "up-to-N-times", "only-as-particle-filter"
    filtering_facepiece_times: float | None  # the N: up to so many times the limit
    half_mask: str  # "allowed", "forbidden", "not-if-irritating", "with-gas-proof-goggles" …
    air_purifying: str  # "allowed" or "forbidden"
    particle_filter: str  # "", "HEPA", "HEPA-over-N-times"
    hepa_times: float | None  # the N: from so many times the limit on
    has_shift_change: bool  # cartridges last a shift at most


@dataclass(frozen=True, slots=True)
class Carcinogen:
    """One of the 13 carcinogens of 1910.1003, with the masks for handling it."""

    agent: str
    mixtures_below_percent: float  # with less of it a mixture is outside the standard
    masks: str  # "particle-filter" or "air"


@dataclass(frozen=True, slots=True)
class EnvironmentalRule:
    """A rule of the environmental agency for one agent: it is named, nothing is taken from it."""

    agent: str
    industry: str  # "" for all
    rule: str
    asks: str


@dataclass(frozen=True, slots=True)
class ButadieneMask:
    """A line of 1910.1051 Table 1, which stands in for the protection factors there."""

    up_to_ppm: float | None  # None: any concentration, unknown too
    mode: str
    facepieces: tuple[str, ...]
    change_every_h: float | None
    note: str
    citation: str


@cache
def table_rows(name: str) -> tuple[Row, ...]:
    """Return the rows of `catalogue/tables/NAME.csv` as text."""
    file = catalogue_root() / "tables" / f"{name}.csv"
    try:
        text = file.read_text(encoding="utf-8")
    except OSError as fault:
        raise ResourceError(f"{name}.csv is missing from the catalogue: reinstall progdoc") from fault
    return tuple(MappingProxyType(row) for row in csv.DictReader(StringIO(text)))


# Of the tables that are no grid, the keys that hold whole numbers; all others hold texts.
_WHOLE = dict.fromkeys(
    ("seconds", "about_seconds", "readings", "counted", "over_limit_months", "action_level_months"), whole_of
)


@cache
def table_entries(name: str, key: str) -> tuple[dict[str, Any], ...]:
    """Return the list under a key of `catalogue/tables/NAME.yaml`, for tables that are no grid."""
    file = catalogue_root() / "tables" / f"{name}.yaml"
    return tuple(read_shipped(file, lambda top: plain_of(top[key], _WHOLE)))


def _typed(name: str, read: Callable[[Row], T]) -> tuple[T, ...]:
    return tuple(read(row) for row in table_rows(name))


def _number(text: str) -> float | None:
    return float(text) if text else None


def _times(text: str) -> float | None:
    """Return the number in "up-to-5-times"."""
    return next((float(part) for part in text.split("-") if part.isdecimal()), None) if "-times" in text else None


def _flag(text: str) -> bool | None:
    return None if not text else text == "yes"


def _list(text: str) -> tuple[str, ...]:
    return tuple(part for part in text.split(";") if part)


@cache
def assigned_factors() -> tuple[AssignedFactor, ...]:
    """Return Table 1, cell by cell."""
    return _typed(
        "apf",
        lambda r: AssignedFactor(
            r["mode"],
            r["facepiece"],
            int(r["apf"]) if r["apf"] else None,
            r["needs_maker_evidence"] == "yes",
            r["condition"],
            tuple(int(note) for note in _list(r["notes"])),
            r["citation"],
        ),
    )


@cache
def apf_column(facepiece: str) -> str:
    """Return the column of Table 1 in which a facepiece stands."""
    return next(row["column"] for row in table_rows("facepieces") if row["facepiece"] == facepiece)


def assigned_factors_for(mode: str, facepiece: str) -> tuple[AssignedFactor, ...]:
    """Return the cells for a mask as described; two for a hood that has a factor with the maker's evidence.

    A filtering facepiece has the half mask's factor (note 3), and exists as an air-purifying mask only.

    >>> [cell.apf for cell in assigned_factors_for("air-purifying", "filtering-facepiece")]
    [10]
    >>> [(cell.apf, cell.needs_maker_evidence) for cell in assigned_factors_for("powered", "hood")]
    [(25, False), (1000, True)]
    """
    if facepiece == "filtering-facepiece" and mode != "air-purifying":
        return ()
    column = apf_column(facepiece)
    return tuple(cell for cell in assigned_factors() if (cell.mode, cell.facepiece) == (mode, column))


@cache
def oxygen_ranges() -> tuple[OxygenRange, ...]:
    """Return Table II, lowest altitude first."""
    return _typed(
        "altitude",
        lambda r: OxygenRange(
            float(r["above_ft"]),
            float(r["up_to_ft"]),
            float(r["oxygen_min_percent"]),
            float(r["oxygen_max_percent"]),
            r["citation"],
        ),
    )


def oxygen_range_at(altitude_ft: float) -> OxygenRange | None:
    """Return the line of Table II for an altitude; None above 8,000 ft, where there is no exception.

    Below sea level the first line holds: it has no lower end.

    >>> oxygen_range_at(3000.5).oxygen_min_percent
    16.4
    """
    return next((line for line in oxygen_ranges() if altitude_ft <= line.up_to_ft), None)


@cache
def filter_classes() -> tuple[FilterClass, ...]:
    """Return the nine non-powered classes and HEPA."""
    return _typed(
        "filter_classes",
        lambda r: FilterClass(
            r["class"],
            r["series"],
            float(r["min_efficiency_percent"]),
            _flag(r["oil"]),
            r["time_with_oil"],
            _flag(r["magenta"]),
            r["counts_as_hepa"] == "yes",
            r["powered"] == "yes",
            r["citation"],
        ),
    )


def filter_class(name: str) -> FilterClass | None:
    """Return one filter class by its name."""
    return next((row for row in filter_classes() if row.name == name), None)


@cache
def silica_controls() -> MappingProxyType[str, SilicaControl]:
    """Return the controls of 1926.1153 Table 1 and (c)(2), by id."""
    rows = _typed("silica_controls", lambda r: SilicaControl(r["id"], r["text"], r["citation"]))
    return MappingProxyType({row.id: row for row in rows})


@cache
def silica_rows() -> tuple[SilicaRow, ...]:
    """Return 1926.1153 Table 1, one line for each control option and place."""
    return _typed(
        "silica_table1",
        lambda r: SilicaRow(
            r["row"],
            r["task"],
            int(r["option"]),
            r["option_name"],
            r["place"],
            int(r["apf_up_to_4_h"]),
            int(r["apf_over_4_h"]),
            _list(r["controls"]),
            _list(r["general_controls"]),
            r["citation"],
        ),
    )


def silica_row(row: str, option: int, place: str) -> SilicaRow | None:
    """Return the line for a row, option and place; None where the table has none (outdoors only, say)."""
    return next((r for r in silica_rows() if (r.row, r.option, r.place) == (row, option, place)), None)


@cache
def lead_tasks() -> tuple[LeadTask, ...]:
    """Return the tasks of 1926.62(d)(2)."""
    return _typed(
        "lead_trigger_tasks",
        lambda r: LeadTask(
            r["id"],
            r["group"],
            r["task"],
            r["where"],
            float(r["assumed_over_ug_m3"]),
            _number(r["assumed_up_to_ug_m3"]),
            r["apf_needed"],
            int(r["smallest_class_apf"]),
            r["note"],
            r["citation"],
        ),
    )


@cache
def substance_standards() -> tuple[SubstanceStandard, ...]:
    """Return the mask rules of the substance standards, one line for each industry."""
    return _typed(
        "substance_standards",
        lambda r: SubstanceStandard(
            r["agent"],
            r["industry"],
            r["standard"],
            r["respirator_paragraph"],
            r["medical"],
            r["calls_in_unknown_is_idlh"] == "yes",
            r["calls_in_change_schedule"] != "no",
            r["filtering_facepiece"],
            _times(r["filtering_facepiece"]),
            r["half_mask"],
            r["air_purifying"],
            r["particle_filter"],
            _times(r["particle_filter"]),
            r["shift_change"] == "yes",
        ),
    )


def substance_standard(standard: str, industry: str) -> SubstanceStandard | None:
    """Return the mask rules of a standard ("29 CFR 1926.62") in an industry.

    None also for the carcinogens of 1910.1003, which have a table of their own.
    """
    found = (row for row in substance_standards() if (row.standard, row.industry) == (standard, industry))
    return next(found, None)


@cache
def carcinogens() -> tuple[Carcinogen, ...]:
    """Return the 13 carcinogens of 1910.1003."""
    return _typed("carcinogens", lambda r: Carcinogen(r["agent"], float(r["mixtures_below_percent"]), r["masks"]))


def carcinogen(agent: str) -> Carcinogen | None:
    """Return what 1910.1003 says of an agent, by its id; None of any other agent."""
    return next((row for row in carcinogens() if row.agent == agent), None)


@cache
def environmental_rules() -> tuple[EnvironmentalRule, ...]:
    """Return the rules of the environmental agency that bind the same firms."""
    return _typed("environmental_rules", lambda r: EnvironmentalRule(r["agent"], r["industry"], r["rule"], r["asks"]))


@cache
def butadiene_masks() -> tuple[ButadieneMask, ...]:
    """Return 1910.1051 Table 1."""
    return _typed(
        "butadiene_masks",
        lambda r: ButadieneMask(
            _number(r["up_to_ppm"]),
            r["mode"],
            _list(r["facepieces"]),
            _number(r["change_every_h"]),
            r["note"],
            r["citation"],
        ),
    )
