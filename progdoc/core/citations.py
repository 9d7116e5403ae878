"""Published sources and the places in them."""

from __future__ import annotations

import re

from progdoc.core.late_dataclass import dataclass

__all__ = ["Citation", "Source"]

_CHAPTER = re.compile(r"\d-\d+\Z")  # how the title of a chapter ends whose sections carry on its number


@dataclass(frozen=True, slots=True, order=True)
class Source:
    """A law, a standard or a paper, as `catalogue/sources.yaml` lists it."""

    id: str  # "us-29cfr1910.134"
    short: str  # "29 CFR 1910.134", what a citation prints
    title: str
    publisher: str
    edition: str
    consulted: str  # ISO date on which the text was read, or how far it was read


@dataclass(frozen=True, slots=True, order=True)
class Citation:
    """One place in a source: a paragraph "(f)(2)", or "Table 1", "p. 12"."""

    source: Source
    locator: str = ""

    def __str__(self) -> str:
        """
        >>> str(Citation(Source("wa", "WAC 296-842", "", "", "", ""), "19005(1)"))
        'WAC 296-842-19005(1)'
        """
        glue = "" if self.locator.startswith("(") or not self.locator else ", "
        if self.locator[:1].isdigit() and _CHAPTER.search(self.source.short):
            glue = "-"
        return f"{self.source.short}{glue}{self.locator}"
