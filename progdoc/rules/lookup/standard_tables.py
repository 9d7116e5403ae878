"""What the substance standards ask beside the choice of a mask (`standard_duties.csv`), as typed rows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from progdoc.rules.lookup.law_tables import table_rows

__all__ = ["DutyRow", "duty_rows"]


@dataclass(frozen=True, slots=True)
class DutyRow:
    """One thing that a standard asks or grants, in our words."""

    when: str  # "" always, or "air-purifying", "negative-pressure", "unknown-level"
    text: str
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
