"""Counts the calls that a piece of work makes: how it grows, the same on a busy machine and on a quiet one."""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import FrameType

__all__ = ["calls_in"]


def calls_in(work: Callable[[], object]) -> int:
    """Return how many functions, Python's and C's, were called. Blind to a loop inside one C function."""
    count = 0

    def note(_frame: FrameType, event: str, _what: object) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(note)
    try:
        work()
    finally:
        sys.setprofile(before)
    return count
