"""A pocket calculator of twelve digits: it reads a printed line and works it out, knowing nothing of progdoc."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Context, Decimal, localcontext

__all__ = ["number", "rounded", "worked_out"]

_MODES = {"up": ROUND_CEILING, "down": ROUND_FLOOR, "": ROUND_HALF_EVEN}
_DISPLAY = Context(prec=12, rounding=ROUND_HALF_EVEN)
_NUMBER = re.compile(r"−?[0-9][0-9,]*(?:\.[0-9]+)?|−?\.[0-9]+")


def number(text: str) -> Decimal:
    """Return the number at the start of a printed figure, whatever its unit."""
    found = _NUMBER.match(text.strip().replace("-", "−"))
    assert found is not None, f"no number: {text!r}"
    return Decimal(found[0].replace(",", "").replace("−", "-"))


def rounded(value: Decimal, way: str, digits: int = 3) -> Decimal:
    """Return what a display of twelve digits shows, rounded to the digits of a printed figure."""
    return Context(prec=digits, rounding=_MODES[way]).plus(_DISPLAY.plus(value))


def worked_out(expression: str, known: Mapping[str, Decimal]) -> Decimal:
    """Return the value of + − × ÷, brackets and ln over numbers and the names of other figures."""
    with localcontext(Context(prec=40)):
        reader = _Reader(expression, known)
        value = reader.total()
        assert reader.rest == "", f"not read: {reader.rest!r} of {expression!r}"
        return value


class _Reader:
    def __init__(self, text: str, known: Mapping[str, Decimal]) -> None:
        self.rest = text.strip()
        self.known = sorted(known.items(), key=lambda pair: -len(pair[0]))

    def _take(self, *signs: str) -> str:
        sign = next((sign for sign in signs if self.rest.startswith(sign)), "")
        self.rest = self.rest[len(sign) :].lstrip()
        return sign

    def total(self) -> Decimal:
        value = self._product()
        while sign := self._take("+", "−"):
            value = value + self._product() if sign == "+" else value - self._product()
        return value

    def _product(self) -> Decimal:
        value = self._factor()
        while sign := self._take("×", "÷", "/"):
            value = value * self._factor() if sign == "×" else value / self._factor()
        return value

    def _factor(self) -> Decimal:
        if bracket := self._take("ln(", "("):
            value = self.total()
            assert self._take(")"), f"no end of the bracket: {self.rest!r}"
            return value.ln() if bracket == "ln(" else value
        for name, value in self.known:
            if self.rest.startswith(name):
                self._take(name)
                return value
        found = _NUMBER.match(self.rest)
        assert found is not None, f"neither a number nor a known name: {self.rest!r}"
        self._take(found[0])
        return Decimal(found[0].replace(",", ""))
