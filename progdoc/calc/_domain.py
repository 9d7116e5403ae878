"""Which numbers a calculation takes: nothing infinite, nothing that is not a number, nothing below its floor.

A missing value is the caller's problem: it never arrives as zero, infinity or NaN.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import fsum, isfinite

from progdoc.core.errors import DomainError

__all__ = ["above_zero", "finite", "not_negative", "total"]


def finite(name: str, value: float) -> float:
    """Return the value, or refuse one that is infinite (an overflow, too) or not a number."""
    if not isfinite(value):
        raise DomainError(f"{name} = {value}: needs a finite number")
    return value


def total(name: str, values: Iterable[float]) -> float:
    """Return the sum, the same in any order of the values, or refuse one that is too large for a number."""
    try:
        return finite(name, fsum(values))
    except OverflowError as error:
        raise DomainError(f"{name}: too large to be true") from error


def not_negative(name: str, value: float) -> float:
    """Return the value, or refuse one that is not finite or is below zero."""
    if finite(name, value) < 0.0:
        raise DomainError(f"{name} = {value}: needs a number of 0 or more")
    return value


def above_zero(name: str, value: float) -> float:
    """Return the value, or refuse one that is not finite or is not above zero."""
    if finite(name, value) <= 0.0:
        raise DomainError(f"{name} = {value}: needs a number above 0")
    return value
