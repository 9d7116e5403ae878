"""A picture that goes with a program, as every writer prints it."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["Picture"]


class Picture(NamedTuple):
    """An attached picture: where it lies in the package, and what is printed of it, a PNG."""

    file: str
    png: bytes
