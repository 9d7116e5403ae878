"""A figure that travels with its working, so that the page can show how it came about."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from progdoc.core.numbers import text_of

__all__ = ["Input", "Rounding", "Worked"]


class Rounding(StrEnum):
    """Which way a printed figure may move: never towards looking safer than it is."""

    UP = "up"
    DOWN = "down"
    NEAREST = "nearest"


@dataclass(frozen=True, slots=True)
class Input:
    """One number that went into a figure, and where it came from (a description path or a citation)."""

    name: str
    value: float
    unit: str
    origin: str
    rounding: Rounding = Rounding.NEAREST

    @property
    def printed(self) -> str:
        return text_of(self.value, self.unit, self.rounding)


@dataclass(frozen=True, slots=True)
class Worked:
    """A computed figure: name, number, unit, inputs, formula, source."""

    id: str  # stable: "tasks.scrape-paint.lead.hazard-ratio"
    name: str  # "hazard ratio of lead in 'Scraping sashes'"
    value: float
    unit: str  # "" for a pure number
    formula: str  # in words and symbols a reviewer can follow: "concentration ÷ limit = 240 ÷ 50"
    inputs: tuple[Input, ...]
    citation: str
    rounding: Rounding
    notes: tuple[str, ...] = ()

    @property
    def printed(self) -> str:
        return text_of(self.value, self.unit, self.rounding)
