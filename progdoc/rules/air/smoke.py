"""Smoke of wildfires: the steps of a state by its reading, and the factor that a mask in it has to have.

No limit of the tables speaks of smoke as such. Where no state sets a step nobody is made to wear a mask; silence of a
reading that a state goes by counts as its highest step.
"""

from __future__ import annotations

from progdoc.core.said import said
from progdoc.model.description.exposure_evidence import Smoke
from progdoc.model.description.quantities import Quantity, in_unit, is_comparable
from progdoc.rules.air.floors import Floor
from progdoc.rules.judged.figure_results import Law

__all__ = ["STEPS", "is_beyond", "is_brief", "reaches", "smoke_floor"]

STEPS = ("smoke-on-request", "smoke-offered", "smoke-handed-out", "smoke-worn")  # the lowest first
_UNIT = "ug/m3"


def reaches(reading: Smoke, law: Law, step: str) -> bool | None:
    """Return whether smoke is at a step of the law in force; None where what the law goes by is not told."""
    if law[step].value is None:
        return False
    if reading.pm25 is None or not is_comparable(reading.pm25, Quantity(1.0, _UNIT, "")):
        return None
    return in_unit(reading.pm25, _UNIT) >= law.amount(step, _UNIT)


def is_beyond(reading: Smoke, law: Law) -> bool:
    """Return whether smoke passes the last step of which a state's rule was read."""
    if law["smoke-beyond"].value is None or reading.pm25 is None:
        return False
    return is_comparable(reading.pm25, Quantity(1.0, _UNIT, "")) and (
        in_unit(reading.pm25, _UNIT) > law.amount("smoke-beyond", _UNIT)
    )


def is_brief(reading: Smoke, law: Law) -> bool:
    """Return whether somebody is out in it for so short a time that no mask has to be worn."""
    brief = law["smoke-brief"].value
    minutes = reading.minutes_exposed
    return brief is not None and minutes is not None and minutes <= law.amount("smoke-brief", "min")


def smoke_floor(reading: Smoke, law: Law) -> Floor:
    """Return the factor that a mask in smoke has to have; 0 where none has to be worn."""
    if reaches(reading, law, "smoke-worn") is False or is_brief(reading, law):
        return Floor(0.0, said("a reading of smoke"))
    step = law["smoke-worn"]
    told = reading.pm25.printed if reading.pm25 else said("PM2.5 not told")
    return Floor(
        law.number("smoke-factor"),
        said(
            "%(told)s; masks are worn from %(step)s on, %(citation)s",
            told=told,
            step=step.printed,
            citation=step.citation,
        ),
    )
