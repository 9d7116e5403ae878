"""From fit test readings to the overall fit factor, the result and the protection it may be credited with.

Pass levels, the credit of a qualitative test and the readings that count are law, so they come in as
arguments. This module refuses to average over nothing and to credit a failed test.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import isfinite

from progdoc.calc._domain import above_zero
from progdoc.core.errors import DomainError

__all__ = ["counted_readings", "credited_protection_factor", "fit_test_is_passed", "overall_fit_factor"]


def counted_readings(readings: Sequence[float], counts: Sequence[bool]) -> tuple[float, ...]:
    """Return the readings that go into the overall fit factor.

    Parameters
    ----------
    readings
        Fit factor of each exercise or measurement, in the protocol's order. [–]
    counts
        Whether the protocol counts the reading; the grimace is measured and left out. [–]

    Returns
    -------
    tuple of float
        The counted fit factors, in the same order. [–]

    Raises
    ------
    DomainError
        If there is not exactly one mark for each reading.

    Examples
    --------
    >>> counted_readings([210.0, 3.0, 180.0], [True, False, True])
    (210.0, 180.0)

    References
    ----------
    .. [1] 29 CFR 1910.134, Appendix A, Part I.C.2(b)(8)(i): every exercise except the grimace.

    Notes
    -----
    A wrong number of readings is a wrong or an unfinished test: it is never filled up or cut off.
    """
    if len(readings) != len(counts):
        raise DomainError(f"{len(readings)} readings for {len(counts)} measurements: needs one for each")
    return tuple(reading for reading, is_counted in zip(readings, counts, strict=True) if is_counted)


def overall_fit_factor(fit_factors: Sequence[float]) -> float:
    """Return the overall fit factor: the harmonic mean of the exercises' fit factors.

    Each fit factor is turned into a penetration, the penetrations are averaged, and the average is turned
    back: one bad exercise weighs heavily, as it does on the wearer.

    Parameters
    ----------
    fit_factors
        Fit factors of the counted readings only. [–]

    Returns
    -------
    float
        Overall fit factor, never above the arithmetic mean nor outside the readings' range. [–]

    Raises
    ------
    DomainError
        If there is no reading, or one is not a finite number above 0.

    Examples
    --------
    >>> overall_fit_factor([100.0, 100.0, 50.0])
    75.0

    References
    ----------
    .. [1] 29 CFR 1910.134, Appendix A, Part I.C.2(b)(8)(iii)(D) and Part I.C.7(d).

    Notes
    -----
    The text gives the rule for the generated-aerosol (C.2) and the repeated-donning (C.7) protocols; for
    the others it is common practice. Summed exactly, so that equal readings at the pass level pass.
    """
    if not fit_factors:
        raise DomainError("no fit factors: needs at least one counted reading")
    penetrations = [1 / Fraction(above_zero("fit factor", fit_factor)) for fit_factor in fit_factors]
    return float(len(penetrations) / sum(penetrations))


def fit_test_is_passed(overall_factor: float, pass_level: float) -> bool:
    """Return whether a quantitative fit test was passed.

    Parameters
    ----------
    overall_factor
        Overall fit factor of the test. [–]
    pass_level
        Smallest fit factor that passes for this kind of facepiece. [–]

    Returns
    -------
    bool
        True from the pass level on, the level itself included. [–]

    Raises
    ------
    DomainError
        If a number is not finite and above 0.

    Examples
    --------
    >>> fit_test_is_passed(100.0, 100.0), fit_test_is_passed(499.9, 500.0)
    (True, False)

    References
    ----------
    .. [1] 29 CFR 1910.134(f)(7): 100 for half facepieces, 500 for full facepieces.
    .. [2] 29 CFR 1910.134, Appendix A, Part I.C.2(b)(9): 100 for quarter facepieces too.

    Notes
    -----
    Judge the factor as measured, not as printed: 499.9 has failed. A full facepiece that fails has failed;
    it is not credited as a half mask.
    """
    return above_zero("overall fit factor", overall_factor) >= above_zero("pass level", pass_level)


def credited_protection_factor(
    assigned_factor: float, qualitative_credit: float, *, is_qualitative: bool, is_negative_pressure: bool
) -> float:
    """Return the assigned protection factor that a passed fit test supports.

    Parameters
    ----------
    assigned_factor
        Assigned protection factor of the mask's class, in the mode in use. [–]
    qualitative_credit
        The most that a qualitative test supports on a negative-pressure mask: federally 10. [–]
    is_qualitative
        Whether the passed test was qualitative. [–]
    is_negative_pressure
        Whether the mask works at negative pressure in use; count demand mode as such. [–]

    Returns
    -------
    float
        The smaller of class factor and credit where the credit binds, else the class factor. [–]

    Raises
    ------
    DomainError
        If a factor is not a finite number of 1 or more.

    Examples
    --------
    >>> credited_protection_factor(50.0, 10.0, is_qualitative=True, is_negative_pressure=True)
    10.0
    >>> credited_protection_factor(50.0, 10.0, is_qualitative=False, is_negative_pressure=True)
    50.0

    References
    ----------
    .. [1] 29 CFR 1910.134(f)(6): qualitative only where a fit factor of 100 or less is needed.
    .. [2] 29 CFR 1910.134(f)(8): powered and atmosphere-supplying masks, tested at negative pressure.

    Notes
    -----
    That a fit factor of 100 supports a protection factor of 10 is the agency's reading (interpretation
    letter, 15 January 1999, read in an extract only). For passed tests alone: a failed one supports nothing.
    """
    for factor in (assigned_factor, qualitative_credit):
        if not (isfinite(factor) and factor >= 1.0):
            raise DomainError(f"{factor=}: needs a finite protection factor of 1 or more")
    if is_qualitative and is_negative_pressure:
        return min(assigned_factor, qualitative_credit)
    return assigned_factor
