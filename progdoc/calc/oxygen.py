"""When air holds too little oxygen, and where the law excuses it by altitude.

The percentages and altitudes are law and arrive from the catalogue's tables. Refuses to treat a single
reading as proof: the exception needs the lowest percentage that can be foreseen.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from itertools import pairwise
from typing import NamedTuple

from progdoc.calc._domain import finite, not_negative
from progdoc.core.errors import DomainError

__all__ = ["AltitudeRow", "OxygenCase", "is_oxygen_deficient", "needs_oxygen_enriched_air", "oxygen_case"]


class AltitudeRow(NamedTuple):
    """One row of Table II: how low oxygen may go, up to and including an altitude."""

    up_to_ft: float
    lowest_percent: float


class OxygenCase(StrEnum):
    """What the oxygen in the air asks for."""

    ENOUGH = "enough"
    EXCEPTION = "exception"  # deficient, yet within Table II: any atmosphere-supplying mask
    IDLH = "idlh"  # deficient: only the masks for immediately dangerous air


def is_oxygen_deficient(oxygen_percent: float, minimum_percent: float) -> bool:
    """Return whether air counts as oxygen-deficient.

    Parameters
    ----------
    oxygen_percent
        Oxygen in the air, by volume. [%]
    minimum_percent
        The percentage below which air is deficient: 19.5 in the federal law, or a stricter policy's. [%]

    Returns
    -------
    bool
        True if it is below the minimum.

    Raises
    ------
    DomainError
        If a percentage is not between 0 and 100.

    Examples
    --------
    >>> is_oxygen_deficient(19.4, 19.5), is_oxygen_deficient(19.5, 19.5)
    (True, False)

    Notes
    -----
    Too much oxygen is another danger, fire, and is not judged here.

    References
    ----------
    .. [1] 29 CFR 1910.134(b), oxygen deficient atmosphere.
    """
    return _percent("oxygen_percent", oxygen_percent) < _percent("minimum_percent", minimum_percent)


def oxygen_case(
    lowest_foreseeable_percent: float, altitude_ft: float, minimum_percent: float, rows: Sequence[AltitudeRow]
) -> OxygenCase:
    """Return what the oxygen at an altitude asks for.

    Parameters
    ----------
    lowest_foreseeable_percent
        Lowest oxygen, by volume, under all conditions that can be foreseen: a single reading is not it. [%]
    altitude_ft
        Altitude of the workplace; below sea level is negative. [ft]
    minimum_percent
        The percentage below which air is deficient: 19.5 in the federal law, or a stricter policy's. [%]
    rows
        Table II, lowest altitude first. Above the last row there is no exception. [ft; %]

    Returns
    -------
    OxygenCase
        Enough, excused by Table II, or immediately dangerous.

    Raises
    ------
    DomainError
        If a percentage is not between 0 and 100, the altitude is not finite, or the rows are missing or not
        in ascending order.

    Examples
    --------
    >>> rows = [AltitudeRow(3000.0, 16.0), AltitudeRow(4000.0, 16.4)]
    >>> str(oxygen_case(16.2, 1000.0, 19.5, rows)), str(oxygen_case(16.2, 3500.0, 19.5, rows))
    ('exception', 'idlh')

    Notes
    -----
    An altitude between two printed rows (3,000.5 ft) takes the upper row, which is the stricter one. The
    exception opens the way to any atmosphere-supplying mask, never to an air-purifying one.

    References
    ----------
    .. [1] 29 CFR 1910.134(d)(2)(iii), and Table II with its note.
    """
    finite("altitude_ft", altitude_ft)
    altitudes = [finite("up_to_ft", row.up_to_ft) for row in rows]
    if not rows or any(upper <= lower for lower, upper in pairwise(altitudes)):
        raise DomainError("rows: needs the rows of Table II, lowest altitude first")
    if not is_oxygen_deficient(lowest_foreseeable_percent, minimum_percent):
        return OxygenCase.ENOUGH
    for row in rows:
        if altitude_ft <= row.up_to_ft:
            excused = lowest_foreseeable_percent >= _percent("lowest_percent", row.lowest_percent)
            return OxygenCase.EXCEPTION if excused else OxygenCase.IDLH
    return OxygenCase.IDLH


def needs_oxygen_enriched_air(altitude_ft: float, enriched_above_ft: float) -> bool:
    """Return whether breathing air has to carry extra oxygen because of the altitude.

    Parameters
    ----------
    altitude_ft
        Altitude of the workplace; below sea level is negative. [ft]
    enriched_above_ft
        Altitude above which the law asks for it: 14,000 in the federal law. [ft]

    Returns
    -------
    bool
        True above that altitude.

    Raises
    ------
    DomainError
        If an altitude is not finite, or the second is negative.

    Examples
    --------
    >>> needs_oxygen_enriched_air(14_001.0, 14_000.0), needs_oxygen_enriched_air(14_000.0, 14_000.0)
    (True, False)

    References
    ----------
    .. [1] 29 CFR 1910.134, note to Table II.
    """
    return finite("altitude_ft", altitude_ft) > not_negative("enriched_above_ft", enriched_above_ft)


def _percent(name: str, value: float) -> float:
    if not_negative(name, value) > 100.0:
        raise DomainError(f"{name} = {value}: needs a percentage from 0 to 100")
    return value
