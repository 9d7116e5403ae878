"""How much protection the air calls for, and how far a mask's protection reaches.

Says nothing about air that is immediately dangerous to life or health (IDLH): there no protection factor
counts, only the masks of 29 CFR 1910.134(d)(2). Whether a mask may be credited with its factor (fit test,
approval, mode) is judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from math import isclose
from typing import NamedTuple

from progdoc.calc._domain import above_zero, finite, not_negative
from progdoc.core.errors import DomainError

__all__ = [
    "MaximumUse",
    "MucCap",
    "NeededFactor",
    "is_protective_enough",
    "maximum_use_concentration",
    "needed_protection_factor",
    "protection_margin",
]


class NeededFactor(NamedTuple):
    """The assigned protection factor (APF) a mask needs."""

    value: float
    strictly_above: bool  # True: the APF has to be over the value, not equal to it


class MucCap(StrEnum):
    """What settled a maximum use concentration."""

    PROTECTION_FACTOR = "protection-factor"  # APF times limit, below all caps
    IDLH = "idlh"
    CARTRIDGE = "cartridge"  # the performance limit of the cartridge or canister
    SATURATION = "saturation"  # air holds no more of the vapour


class MaximumUse(NamedTuple):
    """A maximum use concentration (MUC) and what settled it."""

    concentration: float
    governed_by: MucCap


def needed_protection_factor(hazard_ratios: Iterable[float], lower_bounds: Iterable[float] = ()) -> NeededFactor:
    """Return the assigned protection factor (APF) that all the hazards of a task call for together.

    Parameters
    ----------
    hazard_ratios
        Hazard ratios of single agents and limits, and the mixture sum Em where there is one. [–]
    lower_bounds
        Hazard ratios that the law assumes the air to be *over*, without saying how far. [–]

    Returns
    -------
    NeededFactor
        The largest of all, and whether the APF has to be over it (a lower bound governs) or may equal it. [–]

    Raises
    ------
    DomainError
        If there is nothing to go by, or a ratio is negative or not finite.

    Examples
    --------
    >>> needed_protection_factor([4.8, 0.9])
    NeededFactor(value=4.8, strictly_above=False)

    Lead assumed to be over 500 µg/m³ with a limit of 50 µg/m³:

    >>> needed_protection_factor([4.8], lower_bounds=[10.0])
    NeededFactor(value=10.0, strictly_above=True)

    Notes
    -----
    1 or less without a lower bound: the limit asks for no mask; a rule or a policy still may. A lower bound
    is not the level: how far over it the air is remains unknown until somebody measures.

    References
    ----------
    .. [1] 29 CFR 1910.134(d)(3)(i)(A) and (B)(1).
    .. [2] 29 CFR 1926.62(d)(2)(iii) and (iv): levels assumed for lead until assessed.
    """
    at_least = [not_negative("hazard ratio", ratio) for ratio in hazard_ratios]
    over = [not_negative("lower bound", bound) for bound in lower_bounds]
    if not at_least and not over:
        raise DomainError("no hazard ratio and no lower bound: exposure is unknown, not zero")
    value = max(at_least + over)
    return NeededFactor(value, strictly_above=any(_equal(value, bound) for bound in over))


def is_protective_enough(assigned_protection_factor: float, needed: NeededFactor) -> bool:
    """Return whether an assigned protection factor meets what is needed.

    Parameters
    ----------
    assigned_protection_factor
        The factor the mask may be credited with in the mode it is used in, 1 or more. [–]
    needed
        From `needed_protection_factor`. [–]

    Returns
    -------
    bool
        True if it does. A factor of 1, no mask, tells whether a mask is needed at all.

    Raises
    ------
    DomainError
        If the factor is under 1 or not finite.

    Examples
    --------
    >>> is_protective_enough(10.0, NeededFactor(10.0, strictly_above=False))
    True
    >>> is_protective_enough(10.0, NeededFactor(10.0, strictly_above=True))
    False

    References
    ----------
    .. [1] 29 CFR 1910.134(d)(3)(i)(A).
    """
    apf = _assigned(assigned_protection_factor)
    if _equal(apf, needed.value):
        return not needed.strictly_above
    return apf > needed.value


def maximum_use_concentration(
    assigned_protection_factor: float,
    limit: float,
    idlh: float | None,
    cartridge_limit: float | None,
    saturation: float | None = None,
) -> MaximumUse:
    """Return the highest concentration in which a mask may be used, and what settled it.

    Parameters
    ----------
    assigned_protection_factor
        The factor the mask may be credited with in the mode it is used in, 1 or more. [–]
    limit
        Exposure limit: 8-hour, short-term or ceiling. [any, the same for all three]
    idlh
        Level immediately dangerous to life or health; None where none is published. [unit of the limit]
    cartridge_limit
        Performance limit of the cartridge or canister; None where the mask has none. [unit of the limit]
    saturation
        The most of a vapour that air can hold; None where it is not known, or for particles. [unit of the limit]

    Returns
    -------
    MaximumUse
        Maximum use concentration, at most the lowest of the caps, with what governed. [unit of the limit]

    Raises
    ------
    DomainError
        If the factor is under 1, a limit or cap is not above zero, or a number (the product too) is not
        finite.

    Examples
    --------
    >>> maximum_use_concentration(10.0, 50.0, idlh=None, cartridge_limit=None).concentration
    500.0
    >>> maximum_use_concentration(50.0, 100.0, idlh=500.0, cartridge_limit=1000.0)
    MaximumUse(concentration=500.0, governed_by=<MucCap.IDLH: 'idlh'>)

    Notes
    -----
    Not for use in IDLH air, whatever the number: a MUC may not be applied there. No published IDLH does not
    mean that the air can't be dangerous. Without a legal limit the MUC is a matter of informed judgment, not
    of this formula.

    References
    ----------
    .. [1] 29 CFR 1910.134(b), maximum use concentration, and (d)(3)(i)(B)(2) and (3).
    """
    product = finite(
        "protection factor times limit", _assigned(assigned_protection_factor) * above_zero("limit", limit)
    )
    lowest = MaximumUse(product, MucCap.PROTECTION_FACTOR)
    caps = ((MucCap.IDLH, idlh), (MucCap.CARTRIDGE, cartridge_limit), (MucCap.SATURATION, saturation))
    for cap, level in caps:
        if level is not None and above_zero(cap, level) < lowest.concentration:
            lowest = MaximumUse(level, cap)
    return lowest


def protection_margin(maximum_use: float, concentration: float) -> float:
    """Return how many times the air's level fits into a mask's maximum use concentration.

    Parameters
    ----------
    maximum_use
        Maximum use concentration. [any, the same for both]
    concentration
        Airborne concentration outside the mask, above zero. [unit of the first]

    Returns
    -------
    float
        Margin; under 1 the mask may not be used in that air. [–]

    Raises
    ------
    DomainError
        If a number is not above zero or not finite.

    Examples
    --------
    >>> protection_margin(500.0, 240.0) > 2.0
    True

    Notes
    -----
    A margin is no promise: factors hold only under a continuing program with fit-tested, trained wearers.

    References
    ----------
    .. [1] 29 CFR 1910.134(d)(3)(i)(B)(1).
    """
    above_zero("maximum_use", maximum_use)
    above_zero("concentration", concentration)
    return finite("protection margin", maximum_use / concentration)


def _equal(first: float, second: float) -> bool:
    """Return whether two factors agree but for binary arithmetic: 0.7/0.07 is not 10 to the last bit."""
    return isclose(first, second, rel_tol=1e-9)


def _assigned(factor: float) -> float:
    if finite("assigned_protection_factor", factor) < 1.0:
        raise DomainError(f"assigned_protection_factor = {factor}: needs 1 or more")
    return factor
