"""Reads the tables of figures and ids that others published, taken from their print apart from the catalogue's tables.

`NAME.source.yaml` beside each says whose it is, which edition was read and how. It holds the hash of the table, so that
no figure here follows the catalogue by accident: who corrects one corrects both, and says from what.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

__all__ = ["FOLDER", "Entry", "entries", "table"]

FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Entry:
    """A printed row that has a number: what it is for and its cells, a ceiling's "(C)" included."""

    name: str
    part: str  # "Total dust", "Fume (as Cu)", …
    cells: tuple[str, ...]  # numbers, "—" and "X", in the order printed
    standard: str  # "1926.62" where the row names a substance standard


def table(name: str) -> list[dict[str, str]]:
    """Return the rows of a table."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def entries(name: str) -> list[Entry]:
    """Return the rows of a table of exposure limits that have a number."""
    rows = [row for row in table(name) if row["cells"]]
    return [Entry(row["name"], row["part"], tuple(row["cells"].split()), row["standard"]) for row in rows]
