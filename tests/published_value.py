"""Marks a test with the published source of its expected values, and compares to the printed digits."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

__all__ = ["printed", "published"]


def published(source: str) -> Callable[[Any], Any]:
    """Name who published the expected values of a test: "29 CFR 1910.1000(d)(1)(ii), worked example"."""
    return pytest.mark.published(source)


def printed(text: str) -> Any:
    """Return a value that equals a number when it rounds to the printed digits: "81.25" means ± 0.005."""
    half_a_digit = Decimal(1).scaleb(Decimal(text).as_tuple().exponent) / 2
    return pytest.approx(float(text), abs=float(half_a_digit), rel=0)
