"""Masks that the firm took out of use: recalled, found faulty, or no longer trusted."""

from __future__ import annotations

from datetime import date

from progdoc.model.description.masks import Mask

__all__ = ["is_withdrawn"]


def is_withdrawn(mask: Mask, day: date) -> bool:
    """Return whether a mask is out of use on a day: from the day of its withdrawal on."""
    return mask.withdrawn is not None and mask.withdrawn.since <= day
