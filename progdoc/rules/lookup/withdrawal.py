"""Masks, single pieces and cylinders that the firm took out of use: recalled, found faulty, or no longer trusted."""

from __future__ import annotations

from datetime import date

from progdoc.model.description.devices import SpareCylinder, Unit
from progdoc.model.description.masks import Mask

__all__ = ["is_withdrawn", "under_repair"]


def is_withdrawn(thing: Mask | Unit | SpareCylinder, day: date) -> bool:
    """Return whether a thing is out of use on a day: from the day of its withdrawal on."""
    return thing.withdrawn is not None and thing.withdrawn.since <= day


def under_repair(unit: Unit, day: date) -> bool:
    """Return whether a piece is away for a repair on a day, or one that nobody says is done."""
    return any(one.since <= day and (one.done is None or one.done > day) for one in unit.repairs)
