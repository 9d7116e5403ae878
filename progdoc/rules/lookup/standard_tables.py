"""What substance standards ask of masks, of cartridges and beside the mask: typed rows, each with its paragraph.

Beside them the 13 carcinogens of 1910.1003 and the rules of the environmental agency, which is named only.
"""

from __future__ import annotations

from functools import cache

from progdoc.core.late_dataclass import dataclass
from progdoc.rules.lookup.table_files import number_or_none, parts_of, table_rows, typed_rows

__all__ = [
    "ButadieneMask",
    "Carcinogen",
    "CartridgeRow",
    "DutyRow",
    "EnvironmentalRule",
    "SubstanceStandard",
    "butadiene_masks",
    "carcinogen",
    "carcinogens",
    "cartridge_rows",
    "duty_rows",
    "environmental_rules",
    "has_cartridges_of_its_own",
    "substance_standard",
    "substance_standards",
]


@dataclass(frozen=True, slots=True)
class SubstanceStandard:
    """What one substance standard asks of masks, above 1910.134."""

    agent: str
    industry: str
    standard: str  # "29 CFR 1926.62"
    respirator_paragraph: str
    medical: str  # "29 CFR 1910.134(e)", the paragraph of its own, or "own paragraph" where that was not read
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


@dataclass(frozen=True, slots=True)
class DutyRow:
    """One thing that a standard asks or grants, in our words."""

    when: str  # "" always, or "air-purifying", "negative-pressure", "unknown-level"
    text: str
    citation: str


@dataclass(frozen=True, slots=True)
class CartridgeRow:
    """One kind of cartridge or canister that a standard names, with the masks and the air it is for; empty is any."""

    modes: tuple[str, ...]
    facepieces: tuple[str, ...]
    forms: tuple[str, ...]
    mounts: tuple[str, ...]
    gases: tuple[str, ...]
    particulate: str  # "HEPA", or "" where the row asks for no particle filter
    up_to_ppm: float | None
    words: str
    citation: str


def _times(text: str) -> float | None:
    """Return the number in "up-to-5-times"."""
    return next((float(part) for part in text.split("-") if part.isdecimal()), None) if "-times" in text else None


@cache
def substance_standards() -> tuple[SubstanceStandard, ...]:
    """Return the mask rules of the substance standards, one line for each industry."""
    return typed_rows(
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
    return typed_rows("carcinogens", lambda r: Carcinogen(r["agent"], float(r["mixtures_below_percent"]), r["masks"]))


def carcinogen(agent: str) -> Carcinogen | None:
    """Return what 1910.1003 says of an agent, by its id; None of any other agent."""
    return next((row for row in carcinogens() if row.agent == agent), None)


@cache
def environmental_rules() -> tuple[EnvironmentalRule, ...]:
    """Return the rules of the environmental agency that bind the same firms."""
    return typed_rows(
        "environmental_rules", lambda r: EnvironmentalRule(r["agent"], r["industry"], r["rule"], r["asks"])
    )


@cache
def butadiene_masks() -> tuple[ButadieneMask, ...]:
    """Return 1910.1051 Table 1."""
    return typed_rows(
        "butadiene_masks",
        lambda r: ButadieneMask(
            number_or_none(r["up_to_ppm"]),
            r["mode"],
            parts_of(r["facepieces"]),
            number_or_none(r["change_every_h"]),
            r["note"],
            r["citation"],
        ),
    )


@cache
def duty_rows(agent: str, industry: str) -> tuple[DutyRow, ...]:
    """Return what the standard of an agent asks in an industry, in the order of the table.

    >>> [row.citation for row in duty_rows("cotton-dust", "general")][1]
    '29 CFR 1910.1043(f)(1)(v)'
    """
    return tuple(
        DutyRow(row["when"], row["text"], row["citation"])
        for row in table_rows("standard_duties")
        if row["agent"] == agent and industry in row["industries"].split(";")
    )


@cache
def cartridge_rows(agent: str, industry: str) -> tuple[CartridgeRow, ...]:
    """Return the kinds of cartridge that the standard of an agent names in an industry; none where it names none.

    >>> [row.up_to_ppm for row in cartridge_rows("vinyl-chloride", "general")]
    [10.0, 25.0, 25.0]
    """
    return tuple(
        CartridgeRow(
            _list(row["modes"]),
            _list(row["facepieces"]),
            _list(row["forms"]),
            _list(row["mounts"]),
            _list(row["gases"]),
            row["particulate"],
            float(row["up_to_ppm"]) if row["up_to_ppm"] else None,
            row["words"],
            row["citation"],
        )
        for row in table_rows("standard_cartridges")
        if row["agent"] == agent and industry in row["industries"].split(";")
    )


@cache
def has_cartridges_of_its_own(agent: str) -> bool:
    """Whether the standard of an agent says by its state which filters and cartridges are for it.

    >>> has_cartridges_of_its_own("mda"), has_cartridges_of_its_own("toluene")
    (True, False)
    """
    return any(row["agent"] == agent for row in table_rows("standard_cartridges"))


def _list(text: str) -> tuple[str, ...]:
    return tuple(part for part in text.split(";") if part)
