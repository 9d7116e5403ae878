"""A figure that is not law, on which something in the program rests, and how well it is supported."""

from __future__ import annotations

from progdoc.core.late_dataclass import dataclass

__all__ = ["Borrowed", "Confirmed"]


@dataclass(frozen=True, slots=True)
class Borrowed:
    """A figure to confirm: what it is, who publishes it, and where in the program it is used."""

    id: str  # "idlh-toluene", "bed-area"
    what: str
    value: str  # with its unit, as a pack confirms it
    source: str
    support: str  # "two-sources", "one-source", "from-memory"
    used_in: tuple[str, ...]  # names of tasks


@dataclass(frozen=True, slots=True)
class Confirmed:
    """A figure that somebody has looked up, by a pack."""

    id: str
    value: str
    source: str
    date: str
    by: str
