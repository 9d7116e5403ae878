"""A figure that travels with its working, so that the page can show how it came about."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from enum import StrEnum

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import number_shown, text_of

__all__ = ["Input", "Rounding", "Step", "Worked", "followed", "with_digits_to_follow"]

FEWEST_DIGITS, MOST_DIGITS = 3, 12  # beyond these a binary number is noise


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
    digits: int = FEWEST_DIGITS

    @property
    def printed(self) -> str:
        return text_of(self.value, self.unit, self.rounding, self.digits)

    @property
    def shown(self) -> float:
        """The number that a reader sees, and goes on with."""
        return number_shown(self.value, self.rounding, self.digits)


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a calculation: what comes out, and how from the numbers of the inputs in their order."""

    result: Input
    formula: Callable[[Sequence[float]], float]

    def follows_from(self, inputs: Sequence[Input]) -> bool:
        """Return whether the printed inputs lead to the printed result."""
        found = replace(self.result, value=self.formula([each.shown for each in inputs]))
        return found.printed == self.result.printed


def with_digits_to_follow(inputs: Sequence[Input], steps: Sequence[Step]) -> tuple[Input, ...]:
    """Return the inputs with as many digits as it takes to come to each printed result with a pocket calculator.

    >>> share = Input("a third", 1.0 / 3.0, "", "", Rounding.DOWN)
    >>> product = Input("four of them", 4.0 / 3.0, "", "", Rounding.NEAREST)
    >>> with_digits_to_follow([share], [Step(product, lambda numbers: numbers[0] * 30 * 4 / 30)])[0].printed
    '0.333'
    >>> many = Input("a thousand of them", 1000.0 / 3.0, "", "", digits=5)
    >>> with_digits_to_follow([share], [Step(many, lambda numbers: numbers[0] * 1000)])[0].printed
    '0.33333'
    """
    shown = tuple(inputs)
    for digits in range(FEWEST_DIGITS, MOST_DIGITS + 1):
        shown = tuple(replace(each, digits=digits) for each in inputs)
        if all(step.follows_from(shown) for step in steps):
            break
    return shown


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

    @property
    def result(self) -> Input:
        """The figure as the outcome of a step."""
        return Input(self.name, self.value, self.unit, "", self.rounding)

    def printed_input(self, name: str) -> str:
        """Return an input as it stands among the inputs, wherever else it is printed."""
        return next(each.printed for each in self.inputs if each.name == name)


def followed(worked: Worked, formula: Callable[[Sequence[float]], float]) -> Worked:
    """Return a figure whose inputs are printed with the digits it takes to come to it by hand."""
    return replace(worked, inputs=with_digits_to_follow(worked.inputs, [Step(worked.result, formula)]))
