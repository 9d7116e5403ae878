"""What substance standards ask of cartridges and beside the mask: typed rows, each with the paragraph that says so.

From `standard_cartridges.csv` and `standard_duties.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from progdoc.rules.lookup.law_tables import table_rows

__all__ = ["CartridgeRow", "DutyRow", "cartridge_rows", "duty_rows"]


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


def _list(text: str) -> tuple[str, ...]:
    return tuple(part for part in text.split(";") if part)
