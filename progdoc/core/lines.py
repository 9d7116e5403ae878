"""Words in lines that nobody has broken yet: whoever knows how wide the window or the page is does it."""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.core.late_dataclass import dataclass

__all__ = ["Blocks", "Line"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of words: what stands before it, and before what runs over onto further lines."""

    text: str
    first: str = ""
    rest: str = ""
    is_typed: bool = False  # to be typed or jumped to as it stands, so it is never broken
    kind: str = ""  # of an answer: good, bad or open; why, of a reason for the answer before it


Blocks = Iterable[Iterable[Line]]  # with an empty line between them
