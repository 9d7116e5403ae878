"""What the length of a shift, or of a task in it, changes by law or by good practice.

Refuses to lower any other agent's limit as the lead standard lowers its own: the law doesn't.
"""

from __future__ import annotations

from collections.abc import Sequence

from progdoc.calc._domain import above_zero, finite, total
from progdoc.core.errors import DomainError

__all__ = ["brief_scala_factor", "is_over_four_hours_of_table_1", "lead_limit"]

_TABLE_1_SPLIT_MIN = 240.0  # the 4 hours between the two columns of 1926.1153 Table 1
_ROUNDING = 1e-9  # relative: durations come from hours times 60, and sums of those are a hair off


def lead_limit(limit_8h: float, worked_h: float) -> float:
    """Return the lead limit of a day, lowered for the hours worked over 8.

    Parameters
    ----------
    limit_8h
        The 8-hour limit of lead, 50 µg/m³ in the federal law. [µg/m³]
    worked_h
        Hours worked in the day. [h]

    Returns
    -------
    float
        Limit for the average over the hours worked; up to 8 hours the limit itself. [µg/m³]

    Raises
    ------
    DomainError
        If the limit or the hours are not above zero or not finite, or a day has more than 24.

    Examples
    --------
    >>> lead_limit(50.0, 10.0), lead_limit(50.0, 8.0)
    (40.0, 50.0)

    Notes
    -----
    The law's 400 µg/m³·h over the hours worked is the 8-hour limit times 8. Over 8 hours compare with
    `shift_average`, never with an 8-hour average: that would correct twice. The action level is not lowered,
    and no other agent's limit is.

    References
    ----------
    .. [1] 29 CFR 1926.62(c)(2) and 1910.1025(c)(2).
    """
    above_zero("limit_8h", limit_8h)
    if above_zero("worked_h", worked_h) > 24.0:
        raise DomainError(f"{worked_h=}: a day has 24 hours")
    return limit_8h * 8.0 / worked_h if worked_h > 8.0 else limit_8h


def brief_scala_factor(worked_h: float) -> float:
    """Return the factor by which hygienists lower a limit for long shifts. Advice only, no law asks for it.

    Parameters
    ----------
    worked_h
        Hours worked in the day, from 8 to less than 24. [h]

    Returns
    -------
    float
        Factor to multiply the 8-hour limit with, 1 or less. [–]

    Raises
    ------
    DomainError
        If the hours are under 8 (the model never raises a limit) or not under 24.

    Examples
    --------
    >>> brief_scala_factor(12.0)
    0.5

    Notes
    -----
    More hours of uptake, fewer of recovery: (8/h)·((24 − h)/16). Meant for agents that build up over a day;
    it says nothing about irritants judged by a ceiling.

    References
    ----------
    .. [1] R. S. Brief and R. A. Scala, "Occupational exposure limits for novel work schedules", American
       Industrial Hygiene Association Journal 36 (1975): formula from memory and secondary sources, paper not
       read.
    """
    if not 8.0 <= finite("worked_h", worked_h) < 24.0:
        raise DomainError(f"{worked_h=}: needs 8 hours or more, and less than 24")
    return 8.0 / worked_h * (24.0 - worked_h) / 16.0


def is_over_four_hours_of_table_1(durations_min: Sequence[float]) -> bool:
    """Return whether a shift's Table 1 tasks together put each of them in the column for over 4 hours.

    Parameters
    ----------
    durations_min
        Duration in the shift of every task that the employer handles under silica Table 1. [min]

    Returns
    -------
    bool
        True where the total is over 4 hours: then the mask of that column is needed in **every** one of the
        tasks, the shortest too.

    Raises
    ------
    DomainError
        If there is no task, or a duration is not above zero or not finite.

    Examples
    --------
    >>> is_over_four_hours_of_table_1([150.0, 100.0]), is_over_four_hours_of_table_1([150.0, 90.0])
    (True, False)

    Notes
    -----
    The paragraph names more than four hours and less than four hours; exactly four belongs to the column that
    Table 1 heads "≤ 4 hours/shift".

    References
    ----------
    .. [1] 29 CFR 1926.1153(c)(1), Table 1, and (c)(3).
    """
    if not durations_min:
        raise DomainError("durations_min is empty: no Table 1 task, no column")
    total_min = total("total duration", (above_zero("duration_min", duration) for duration in durations_min))
    return total_min > _TABLE_1_SPLIT_MIN * (1.0 + _ROUNDING)
