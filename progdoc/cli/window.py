"""How wide the terminal is. By itself, so that the help, which asks for nothing else, imports nothing else."""

from __future__ import annotations

import os

__all__ = ["WIDE", "width"]

WIDE = 100  # columns of a file, and of a window that does not tell


def width() -> int:
    """Return how many columns to fill."""
    try:
        return min(os.get_terminal_size().columns or WIDE, 110)
    except OSError:
        return WIDE
