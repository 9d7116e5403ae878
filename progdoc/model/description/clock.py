"""A time of day as people write it: hours and minutes of a day of 24 hours, kept as text that sorts.

Refused: a time without minutes, am and pm, and anything that could be a length of time instead.
"""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import PlainValidator, WithJsonSchema

from progdoc.core.said import said
from progdoc.model.description.typed_text import as_text

__all__ = ["ClockTime", "as_clock_time", "minutes_of_day"]

_CLOCK = re.compile(r"([01]?[0-9]|2[0-3]):([0-5][0-9])")
_HALF_DAY = re.compile(r"(1[0-2]|0?[1-9])(?::([0-5][0-9]))? ?([ap])\.?m\.?", re.IGNORECASE)


def as_clock_time(value: object) -> str:
    """Return a time of day as HH:MM, or say what to type.

    >>> as_clock_time("7:30"), as_clock_time("12:00")
    ('07:30', '12:00')
    """
    text = as_text(value)
    match = _CLOCK.fullmatch(text)
    if match:
        return f"{int(match[1]):02d}:{match[2]}"
    half = _HALF_DAY.fullmatch(text)
    if half:
        hour = int(half[1]) % 12 + (12 if half[3].lower() == "p" else 0)
        raise ValueError(
            said(
                "%(shown)s is written with am or pm. Write %(better)s, on the 24-hour clock.",
                shown=f"`{text}`",
                better=f"`{hour:02d}:{half[2] or '00'}`",
            )
        )
    raise ValueError(
        said(
            "%(shown)s is no time of day. Write hours and minutes on the 24-hour clock, such as `12:00`.",
            shown=f"`{text[:40]}`",
        )
    )


def minutes_of_day(clock: str) -> int:
    """Return the minutes since midnight of a time that was read.

    >>> minutes_of_day("07:30")
    450
    """
    hours, minutes = clock.split(":")
    return 60 * int(hours) + int(minutes)


ClockTime = Annotated[
    str,
    PlainValidator(as_clock_time),
    WithJsonSchema({"type": "string", "examples": ["12:00"], "pattern": "^([01]?[0-9]|2[0-3]):[0-5][0-9]$"}),
]
