"""What stands in the place of a file's bytes where they could not be had."""

from __future__ import annotations

from progdoc.core.late_dataclass import dataclass

__all__ = ["Unread"]


@dataclass(frozen=True, slots=True)
class Unread:
    """Why a file that should be there could not be read; said where the file is asked for, not where it failed."""

    why: str  # goes on after the file's name: "is a folder, not a file"
    is_too_large: bool = False
