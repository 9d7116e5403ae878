"""What kind of mask it is: whether it seals to the face, at which pressure it works, where its air comes from.

Which facepieces seal is data (`catalogue/tables/facepieces.csv`); what nobody said stays unknown.
"""

from __future__ import annotations

from functools import cache

from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.rules.lookup.table_files import table_rows

__all__ = ["NEGATIVE_PRESSURE", "SCBA", "is_negative_pressure", "is_tight_fitting", "may_seal", "purifies", "seals"]

SCBA = (Mode.SCBA_DEMAND, Mode.SCBA_PRESSURE_DEMAND)
NEGATIVE_PRESSURE = (
    Mode.AIR_PURIFYING,
    Mode.AIRLINE_DEMAND,
    Mode.SCBA_DEMAND,
)  # demand mode counts as such: our choice


@cache
def _sealing() -> frozenset[str]:
    return frozenset(row["facepiece"] for row in table_rows("facepieces") if row["seals"] == "yes")


def seals(facepiece: Facepiece) -> bool:
    """Return whether a kind of facepiece seals to the face.

    >>> [kind.value for kind in Facepiece if not seals(kind)]
    ['hood', 'helmet', 'loose-fitting']
    """
    return facepiece.value in _sealing()


def may_seal(mask: Mask) -> bool:
    """Return whether a mask seals to the face, or may: nobody said what it is."""
    return mask.facepiece is None or seals(mask.facepiece)


def is_tight_fitting(mask: Mask) -> bool | None:
    """Return whether the mask seals to the face; None if the description does not say."""
    return None if mask.facepiece is None else seals(mask.facepiece)


def purifies(mask: Mask) -> bool:
    """Return whether a mask cleans the air around it."""
    return mask.mode in (Mode.AIR_PURIFYING, Mode.POWERED)


def is_negative_pressure(mask: Mask) -> bool:
    """Return whether a mask seals to the face at negative pressure."""
    return may_seal(mask) and mask.mode in NEGATIVE_PRESSURE
