"""Published sources and the places in them."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Citation", "Source"]


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
        glue = "" if self.locator.startswith("(") or not self.locator else ", "
        return f"{self.source.short}{glue}{self.locator}"
