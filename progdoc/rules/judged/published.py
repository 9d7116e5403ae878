"""Values that others publish, as they travel with a judgment: agents, limits, IDLH values, filter classes."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import text_of
from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.quantities import unit_symbol

__all__ = [
    "EscapeKind",
    "FilterClass",
    "FitExercise",
    "FitProtocol",
    "Idlh",
    "Limit",
    "LimitKind",
    "LocalLimit",
    "Substance",
]


class LimitKind(StrEnum):
    """Over which time a limit is averaged, or what it is for."""

    TWA = "TWA"
    STEL = "STEL"
    EXCURSION = "excursion"
    CEILING = "ceiling"
    PEAK = "peak"  # the highest and longest passing of an acceptable ceiling, Table Z-2
    ACTION_LEVEL = "action-level"


@dataclass(frozen=True, slots=True)
class Limit:
    """One published limit of one agent in one industry."""

    agent: str
    industry: str
    kind: LimitKind
    value: float | None  # None: a formula
    formula: str  # "10/(%SiO2 + 2)", else ""
    unit: str  # "ppm", "mg/m3", "ug/m3", "f/cc", "mppcf"
    minutes: float  # the averaging time; 0: at any time
    per_hours: float | None  # of a peak: so many minutes in so many hours
    fraction: str  # "respirable", "total", "inhalable" or ""
    form: str  # "fume", "dust;mist", "soluble" or ""
    mg_m3_as_printed: str  # beside a limit in ppm, approximate
    is_skin: bool
    condition: str  # "" or when alone it holds
    citation: str
    note: str

    @property
    def in_words(self) -> str:
        """The limit with its kind and source."""
        amount = self.formula or text_of(self.value or 0.0, unit_symbol(self.unit))
        return said("%(amount)s %(kind)s (%(by)s)", amount=amount, kind=self.kind_in_words, by=self.citation)

    @property
    def kind_in_words(self) -> str:
        """Over which time it is averaged, and for which fraction of a dust it is."""
        kind = said_choice(self.kind)
        return said_join((kind, said(self.fraction)), ", ") if self.fraction else kind


@dataclass(frozen=True, slots=True)
class LocalLimit:
    """A limit of a pack laid over the federal rules, and where and when it binds."""

    names: frozenset[str]  # of its agent, in small letters; its id where the federal tables know it
    limit: Limit  # its industry is "" where it binds all
    state: str  # "" wherever the pack is laid over
    in_force_from: date
    in_force_until: date | None

    def holds_on(self, day: date) -> bool:
        return self.in_force_from <= day and (self.in_force_until is None or day <= self.in_force_until)


@dataclass(frozen=True, slots=True)
class Idlh:
    """The published concentration immediately dangerous to life or health, and how well it is supported."""

    value: float | None  # None: none set
    unit: str  # "ppm" or "mg/m3"
    support: str  # "two-sources", "one-source", "from-memory"
    sources: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True)
class Substance:
    """An agent of the tables."""

    id: str
    name: str
    cas: tuple[str, ...]
    synonyms: tuple[str, ...]
    molecular_weight: float | None
    molecular_weight_source: str
    boiling_point_c: float | None
    vapour_pressure_mmhg_20c: float | None
    state: str  # at 20 °C: "gas", "liquid", "solid" or "" where not known
    is_simple_asphyxiant: bool
    irritates_eyes: str  # "yes", "depends" or "" where no source at hand says so
    irritates_eyes_source: str
    air_purifying_barred_by: str  # the paragraph that bars every air-purifying mask, or ""
    standards: tuple[tuple[str, str], ...]  # (industry, "29 CFR 1926.62")
    idlh: Idlh | None  # None: no published value at hand

    def standard_in(self, industry: str) -> str:
        """Return the substance standard that governs it there, "" for none."""
        return dict(self.standards).get(industry, "")


@dataclass(frozen=True, slots=True)
class FilterClass:
    """A particle filter class, with what oil does to it."""

    name: str  # "N95" … "P100"; "HEPA" for powered masks
    series: str  # "N", "R", "P", "" for HEPA
    min_efficiency_percent: float
    stands_oil: bool | None  # None: this class has no oil rating
    time_with_oil: str
    is_magenta: bool | None  # None: not read in a source
    counts_as_hepa: bool
    is_for_powered: bool
    citation: str


@dataclass(frozen=True, slots=True)
class FitExercise:
    """One exercise of a fit test."""

    name: str
    seconds: int | None  # None: no time is set
    is_about: bool  # the time is one to go by
    readings: int
    counted: int  # how many of them go into the overall fit factor


@dataclass(frozen=True, slots=True)
class FitProtocol:
    """An accepted way of testing the fit, as far as a record prints it."""

    id: str
    name: str
    is_quantitative: bool
    facepieces: tuple[str, ...]  # kinds it may test
    locator: str  # where its steps stand, in 29 CFR 1910.134
    steps: str  # the same with the standard in front
    fitted_with: str
    exercises: tuple[FitExercise, ...]
    screening: str
    is_by_taste: bool
    stop_when: str
    averaging_basis: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EscapeKind:
    """A kind of mask in which a standard lets people escape."""

    modes: tuple[str, ...]
    facepieces: tuple[str, ...]  # empty: any
    canister: str  # a class of cartridge, "label" where its label has to name the agent, or ""
    words: str
    citation: str
