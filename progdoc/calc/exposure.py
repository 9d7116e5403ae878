"""What is in the air: units, averages over a shift, mixtures, and how many times over its limit the air is.

Concentrations and limits carry no unit in their names where any one will do (ppm, mg/m³, µg/m³, fibres/cm³):
the caller brings both to the same unit first. Refuses to fill unsampled time by itself: somebody has to say
what the air was like then.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum

from progdoc.calc._domain import above_zero, finite, not_negative, total
from progdoc.core.errors import DomainError

__all__ = [
    "MOLAR_VOLUME_L_MOL",
    "TWA_PERIOD_MIN",
    "Unsampled",
    "hazard_ratio",
    "mg_m3_from_ppm",
    "mixture_sum",
    "ppm_from_mg_m3",
    "saturation_ppm",
    "shift_average",
    "time_weighted_average",
]

MOLAR_VOLUME_L_MOL = 24.45  # of an ideal gas at 25 °C and 760 torr, as in 1910.1000 Table Z-1, note (a)
TWA_PERIOD_MIN = 480.0  # the 8 hours of 1910.1000(d)(1)(i)
_DAY_MIN = 1440.0
_ATMOSPHERE_MMHG = 760.0
_ROUNDING = 1e-9  # relative: durations come from hours times 60, and sums of those are a hair off


class Unsampled(StrEnum):
    """What the air was like in the part of the shift that nobody sampled, as stated by a person."""

    ZERO = "zero"  # no exposure then; the person gives the reason
    AS_SAMPLED = "as-sampled"  # the same as the average of the sampled time


def mg_m3_from_ppm(concentration_ppm: float, molar_mass_g_mol: float) -> float:
    """Return a gas or vapour concentration as mass per volume.

    Parameters
    ----------
    concentration_ppm
        Parts of gas or vapour per million parts of air, by volume. [ppm]
    molar_mass_g_mol
        Molar mass of the substance. [g/mol]

    Returns
    -------
    float
        Concentration at 25 °C and 760 torr. [mg/m³]

    Raises
    ------
    DomainError
        If the concentration is negative or not finite, or the molar mass is not above zero.

    Examples
    --------
    >>> mg_m3_from_ppm(10.0, 48.9)
    20.0

    Notes
    -----
    Only gases and vapours have ppm; dusts, mists and fumes do not. Limits are meant at 25 °C and 760 torr
    wherever the work is, so altitude does not enter here.

    References
    ----------
    .. [1] 29 CFR 1910.1000, Table Z-1, notes (a) and (b).
    .. [2] 24.45 L/mol: ideal gas law, R·298.15 K / 760 torr, common practice.
    """
    not_negative("concentration_ppm", concentration_ppm)
    above_zero("molar_mass_g_mol", molar_mass_g_mol)
    return finite("concentration in mg/m³", concentration_ppm * molar_mass_g_mol / MOLAR_VOLUME_L_MOL)


def saturation_ppm(vapour_pressure_mmhg: float) -> float:
    """Return the most of a vapour that air can hold.

    Parameters
    ----------
    vapour_pressure_mmhg
        Vapour pressure of the liquid or solid at the temperature of the air. [mmHg]

    Returns
    -------
    float
        Parts of vapour per million parts of air at 760 torr; a million where it boils. [ppm]

    Raises
    ------
    DomainError
        If the vapour pressure is not above zero or not finite.

    Examples
    --------
    >>> saturation_ppm(7.6)
    10000.0

    Notes
    -----
    Of vapour alone: a mist or dust in the air comes on top of it. Warmer air holds more.

    References
    ----------
    .. [1] Dalton's law: the share of a gas in a mixture is its share of the pressure; common practice.
    """
    return min(above_zero("vapour_pressure_mmhg", vapour_pressure_mmhg) * 1e6 / _ATMOSPHERE_MMHG, 1e6)


def ppm_from_mg_m3(concentration_mg_m3: float, molar_mass_g_mol: float) -> float:
    """Return a gas or vapour concentration as parts per million, the way back of `mg_m3_from_ppm`.

    Parameters
    ----------
    concentration_mg_m3
        Mass of gas or vapour per volume of air at 25 °C and 760 torr. [mg/m³]
    molar_mass_g_mol
        Molar mass of the substance. [g/mol]

    Returns
    -------
    float
        Parts per million parts of air, by volume. [ppm]

    Raises
    ------
    DomainError
        If the concentration is negative or not finite, or the molar mass is not above zero.

    Examples
    --------
    >>> ppm_from_mg_m3(20.0, 48.9)
    10.0

    References
    ----------
    .. [1] 29 CFR 1910.1000, Table Z-1, notes (a) and (b).
    """
    not_negative("concentration_mg_m3", concentration_mg_m3)
    above_zero("molar_mass_g_mol", molar_mass_g_mol)
    return finite("concentration in ppm", concentration_mg_m3 / molar_mass_g_mol * MOLAR_VOLUME_L_MOL)


def _dose(periods: Sequence[tuple[float, float]], worked_min: float, unsampled: Unsampled | None) -> float:
    """Return concentration times minutes over all the time worked."""
    if not periods:
        raise DomainError("periods is empty: without a sample there is no average")
    if above_zero("worked_min", worked_min) > _DAY_MIN:
        raise DomainError(f"{worked_min=}: a day has {_DAY_MIN:g} minutes")
    for concentration, duration_min in periods:
        not_negative("concentration", concentration)
        above_zero("duration_min", duration_min)
    sampled_min = total("sampled time", (duration_min for _, duration_min in periods))
    dose = total("dose", (concentration * duration_min for concentration, duration_min in periods))
    rest_min = worked_min - sampled_min
    if abs(rest_min) <= _ROUNDING * worked_min:
        return dose
    if rest_min < 0.0:
        raise DomainError(f"samples cover {sampled_min:g} minutes, more than the {worked_min:g} worked")
    if unsampled is None:
        raise DomainError(f"{rest_min:g} minutes were not sampled: state them as zero or as the sampled time")
    return dose if unsampled is Unsampled.ZERO else dose * (worked_min / sampled_min)


def time_weighted_average(
    periods: Sequence[tuple[float, float]], worked_min: float, unsampled: Unsampled | None
) -> float:
    """Return the 8-hour time-weighted average (TWA): all of the shift's exposure, spread over 8 hours.

    Parameters
    ----------
    periods
        Pairs of the concentration during a sample and how long it ran.
        [unit of the limit to compare with; min]
    worked_min
        Time worked in the shift, breaks without exposure included. [min]
    unsampled
        What the air was like in the rest of the time worked: zero, or as sampled. None only where no rest is
        left.

    Returns
    -------
    float
        Average over 8 hours, however long the shift. [unit of the concentrations]

    Raises
    ------
    DomainError
        If there is no sample, a number is negative or not finite, a duration is zero, the samples run longer
        than the shift, or unsampled time is left and nobody stated what the air was like.

    Examples
    --------
    The law's own example [1]_, then one half-shift sample told both ways:

    >>> time_weighted_average([(150.0, 120.0), (75.0, 120.0), (50.0, 240.0)], 480.0, None)
    81.25
    >>> time_weighted_average([(40.0, 240.0)], 480.0, Unsampled.ZERO)
    20.0
    >>> time_weighted_average([(40.0, 240.0)], 480.0, Unsampled.AS_SAMPLED)
    40.0

    Notes
    -----
    Not for lead in shifts over 8 hours, see `lead_limit`; not for short-term, ceiling or IDLH values, nor for
    the load on a cartridge, which all go by the level during the task. In shifts over 8 hours the whole
    shift's exposure is divided by 8, which is never less than the worst 8 hours of it.

    References
    ----------
    .. [1] 29 CFR 1910.1000(d)(1)(i) and (ii).
    """
    return finite("time-weighted average", _dose(periods, worked_min, unsampled) / TWA_PERIOD_MIN)


def shift_average(periods: Sequence[tuple[float, float]], worked_min: float, unsampled: Unsampled | None) -> float:
    """Return the average over the time actually worked, for comparison with `lead_limit`.

    Parameters
    ----------
    periods
        Pairs of the concentration during a sample and how long it ran. [unit of the limit; min]
    worked_min
        Time worked in the day, breaks without exposure included. [min]
    unsampled
        What the air was like in the rest of the time worked: zero, or as sampled. None only where no rest is
        left.

    Returns
    -------
    float
        Average over the time worked. [unit of the concentrations]

    Raises
    ------
    DomainError
        As `time_weighted_average`.

    Examples
    --------
    >>> shift_average([(30.0, 300.0), (50.0, 300.0)], 600.0, None)
    40.0

    Notes
    -----
    For shifts under 8 hours this is more than the TWA: do not take it for one.

    References
    ----------
    .. [1] 29 CFR 1926.62(c)(2) and 1910.1025(c)(2).
    """
    return finite("shift average", _dose(periods, worked_min, unsampled) / worked_min)


def hazard_ratio(concentration: float, limit: float) -> float:
    """Return how many times over its limit the air is.

    A mask protects enough only where its assigned protection factor is at least this number.

    Parameters
    ----------
    concentration
        Airborne concentration, averaged over the limit's own period. [unit of the limit]
    limit
        Exposure limit for that period. [any, the same for both]

    Returns
    -------
    float
        Hazard ratio, 0 or more. [–]

    Raises
    ------
    DomainError
        If the concentration is negative or not finite, or the limit is not above zero. A missing limit is the
        caller's problem, never zero here.

    Examples
    --------
    >>> hazard_ratio(240.0, 50.0)
    4.8

    References
    ----------
    .. [1] 29 CFR 1910.134(b), maximum use concentration, solved for the protection factor.
    """
    not_negative("concentration", concentration)
    above_zero("limit", limit)
    return finite("hazard ratio", concentration / limit)


def mixture_sum(parts: Iterable[tuple[float, float]]) -> float:
    """Return the equivalent exposure Em of a mixture: the sum of its hazard ratios.

    Parameters
    ----------
    parts
        Pairs of one agent's concentration and its limit. [any, the same within a pair]

    Returns
    -------
    float
        Em; over 1 the mixture is over its limit even where no agent is. [–]

    Raises
    ------
    DomainError
        If there is no agent, a concentration is negative or not finite, or a limit is not above zero.

    Examples
    --------
    >>> mixture_sum([(25.0, 100.0), (10.0, 20.0)])
    0.75

    Notes
    -----
    The paragraph speaks of 8-hour limits; it does not confine the sum to agents of like effect. Who leaves an
    agent out has to say why.

    References
    ----------
    .. [1] 29 CFR 1910.1000(d)(2)(i).
    """
    ratios = [hazard_ratio(concentration, limit) for concentration, limit in parts]
    if not ratios:
        raise DomainError("parts is empty: a mixture has at least one agent")
    return total("mixture sum", ratios)
