"""The closed list of grounds that a rule may rest on whose reasons the computations find."""

from __future__ import annotations

from progdoc.rules.reading.hazard_grounds import HAZARD_GROUNDS, Ground
from progdoc.rules.reading.mask_grounds import MASK_GROUNDS

__all__ = ["GROUNDS", "Ground"]

GROUNDS: dict[str, Ground] = {**HAZARD_GROUNDS, **MASK_GROUNDS}
