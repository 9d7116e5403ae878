"""How a firm's documents look where it is not left to us: colours, mark, running lines, its own styles and templates.

A value that every writer understands. It was checked before it was made (`progdoc.app.firm_look`), and holds nothing
that leads out of a document.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from progdoc.core.late_dataclass import dataclass

__all__ = ["PLAIN", "TALLEST_LOGO_MM", "WIDEST_LOGO_MM", "Logo", "Look"]

WIDEST_LOGO_MM, TALLEST_LOGO_MM = 60.0, 25.0


@dataclass(frozen=True, slots=True)
class Logo:
    """The firm's mark as a drawing, or as a picture; Word gets a picture of either."""

    width_mm: float
    height_mm: float
    svg: str = ""
    png: bytes = b""


@dataclass(frozen=True, slots=True)
class Look:
    colours: Mapping[str, str] = field(default_factory=dict, hash=False)  # by name, "#1f3a4d"; ours where not named
    header: str = ""  # in place of the firm's name at the head of each sheet
    footer: str = ""  # a line below ours at the foot of each sheet
    paper: str = ""  # where the description names none
    logo: Logo | None = None
    stylesheet: str = ""  # laid after ours
    reference: bytes = b""  # the package that Word documents start from
    templates: Mapping[str, str] = field(default_factory=dict, hash=False)  # "sections/training.md.j2" → its text


PLAIN = Look()
