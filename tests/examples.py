"""How many examples a property is tried with: few on each change, many at night.

`PROGDOC_EXAMPLES=20` tries each property with twenty times the number that stands beside it, drawn anew on every run.
Without it they are a sixth of that number and always the same, so that a change fails by its own fault only.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import Any, TypeVar

from hypothesis import HealthCheck, settings

__all__ = ["TIMES", "examples", "load_profile", "some"]

TIMES = int(os.environ.get("PROGDOC_EXAMPLES", "1"))
_USUAL = 50
_One = TypeVar("_One")


def load_profile() -> None:
    """Set what holds for every property: no limit of time, no folder of old examples."""
    settings.register_profile(
        "progdoc",
        max_examples=_number(_USUAL),
        derandomize=TIMES == 1,
        deadline=None,
        database=None,
        print_blob=True,
        suppress_health_check=[HealthCheck.too_slow],
    )
    settings.load_profile("progdoc")


def examples(count: int, **more: Any) -> settings:
    """Return the settings of a property that needs more examples than usual, or whose examples are dear."""
    return settings(max_examples=_number(count), **more)


def some(cases: Iterable[_One], every: int) -> list[_One]:
    """Return all of them at night and every so manieth on each change: always the same ones."""
    return list(cases)[:: 1 if TIMES > 1 else every]


def _number(count: int) -> int:
    return count * TIMES if TIMES > 1 else (count + 5) // 6
