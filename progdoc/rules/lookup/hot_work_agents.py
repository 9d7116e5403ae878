"""What hot work on a metal frees into the air (`hot_work_agents.csv`)."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from progdoc.rules.lookup.table_files import table_rows

__all__ = ["Freed", "freed_by"]


class Freed(NamedTuple):
    """Agents of which one is in the air, and how a finding names it."""

    agents: tuple[str, ...]
    words: str


@cache
def freed_by(metal: str) -> Freed | None:
    """Return what is in the air when a metal is worked hot; nothing is known of other metals.

    >>> freed_by("stainless-steel-cutting").words, freed_by("other")
    ('chromium(VI)', None)
    """
    rows = (row for row in table_rows("hot_work_agents") if row["metal"] == metal)
    return next((Freed(tuple(row["agents"].split(";")), row["words"]) for row in rows), None)
