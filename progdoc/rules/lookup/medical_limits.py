"""Which mask, worn for what, goes beyond a limit of a medical recommendation.

The professional sets the limit, 29 CFR 1910.134(e)(6)(i)(A); how far its words reach is our reading, taken strictly:
a cylinder on the back is an SCBA's load whatever the mask is called, and getting out is a use in an emergency.
"""

from __future__ import annotations

from enum import Enum

from progdoc.model.description.masks import Mask, Mode
from progdoc.model.description.people import MedicalLimit
from progdoc.rules.lookup.facepieces import NEGATIVE_PRESSURE, SCBA

__all__ = ["Purpose", "bars"]


class Purpose(Enum):
    """What a mask is put on for."""

    WORK = "work"
    ESCAPE = "escape"
    EMERGENCY = "emergency"


_BARRED_MODES = {
    MedicalLimit.POWERED_ONLY: frozenset(Mode) - {Mode.POWERED},
    MedicalLimit.NO_NEGATIVE_PRESSURE: frozenset(NEGATIVE_PRESSURE),
    MedicalLimit.NO_SCBA: frozenset(SCBA),
}


def bars(limit: MedicalLimit, mask: Mask, purpose: Purpose) -> bool:
    """Return whether a limit bars a mask for a purpose; effort, heat and time are held against the work instead.

    >>> bars(MedicalLimit.POWERED_ONLY, Mask(id="set", mode=Mode.SCBA_PRESSURE_DEMAND), Purpose.ESCAPE)
    True
    >>> bars(MedicalLimit.NO_EMERGENCY, Mask(id="set", mode=Mode.SCBA_PRESSURE_DEMAND), Purpose.WORK)
    False
    """
    if limit is MedicalLimit.NO_EMERGENCY:
        return purpose is not Purpose.WORK
    if limit is MedicalLimit.NO_SCBA and mask.auxiliary_air:
        return True
    return mask.mode in _BARRED_MODES.get(limit, ())
