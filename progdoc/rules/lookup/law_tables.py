"""The law's tables as typed rows: protection factors, altitude, filters, silica, lead tasks.

Refuses to fill a blank cell: no assigned protection factor means not usable, never zero.
"""

from __future__ import annotations

from functools import cache
from types import MappingProxyType

from progdoc.core.late_dataclass import dataclass
from progdoc.rules.judged.published import FilterClass
from progdoc.rules.lookup.table_files import number_or_none, parts_of, table_rows, typed_rows

__all__ = [
    "AssignedFactor",
    "LeadTask",
    "OxygenRange",
    "SilicaControl",
    "SilicaRow",
    "apf_column",
    "assigned_factors",
    "assigned_factors_for",
    "filter_class",
    "filter_classes",
    "lead_tasks",
    "oxygen_range_at",
    "oxygen_ranges",
    "silica_controls",
    "silica_row",
    "silica_rows",
]


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


def _flag(text: str) -> bool | None:
    return None if not text else text == "yes"


@cache
def assigned_factors() -> tuple[AssignedFactor, ...]:
    """Return Table 1, cell by cell."""
    return typed_rows(
        "apf",
        lambda r: AssignedFactor(
            r["mode"],
            r["facepiece"],
            int(r["apf"]) if r["apf"] else None,
            r["needs_maker_evidence"] == "yes",
            r["condition"],
            tuple(int(note) for note in parts_of(r["notes"])),
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
    return typed_rows(
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
    return typed_rows(
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
    rows = typed_rows("silica_controls", lambda r: SilicaControl(r["id"], r["text"], r["citation"]))
    return MappingProxyType({row.id: row for row in rows})


@cache
def silica_rows() -> tuple[SilicaRow, ...]:
    """Return 1926.1153 Table 1, one line for each control option and place."""
    return typed_rows(
        "silica_table1",
        lambda r: SilicaRow(
            r["row"],
            r["task"],
            int(r["option"]),
            r["option_name"],
            r["place"],
            int(r["apf_up_to_4_h"]),
            int(r["apf_over_4_h"]),
            parts_of(r["controls"]),
            parts_of(r["general_controls"]),
            r["citation"],
        ),
    )


def silica_row(row: str, option: int, place: str) -> SilicaRow | None:
    """Return the line for a row, option and place; None where the table has none (outdoors only, say)."""
    return next((r for r in silica_rows() if (r.row, r.option, r.place) == (row, option, place)), None)


@cache
def lead_tasks() -> tuple[LeadTask, ...]:
    """Return the tasks of 1926.62(d)(2)."""
    return typed_rows(
        "lead_trigger_tasks",
        lambda r: LeadTask(
            r["id"],
            r["group"],
            r["task"],
            r["where"],
            float(r["assumed_over_ug_m3"]),
            number_or_none(r["assumed_up_to_ug_m3"]),
            r["apf_needed"],
            int(r["smallest_class_apf"]),
            r["note"],
            r["citation"],
        ),
    )
