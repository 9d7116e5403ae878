"""The pressure of the air at a height above the sea, where nobody measured it.

It is the standard atmosphere's: weather moves the real pressure by some per cent, which an estimate of a service
life bears.
"""

from __future__ import annotations

from progdoc.calc._domain import finite
from progdoc.core.errors import DomainError

__all__ = ["SEA_LEVEL_KPA", "standard_pressure_kpa"]

SEA_LEVEL_KPA = 101.325
_SEA_LEVEL_K = 288.15
_LAPSE_K_M = 0.0065
_EXPONENT = 5.255876  # gravity × molar mass of air ÷ (gas constant × lapse rate)
_EARTH_RADIUS_M = 6356766.0
_LOWEST_M, _HIGHEST_M = -5000.0, 11000.0


def standard_pressure_kpa(altitude_m: float) -> float:
    """Return the pressure of the standard atmosphere.

    Parameters
    ----------
    altitude_m
        Height above sea level; negative below it. [m]

    Returns
    -------
    float
        Pressure. [kPa]

    Raises
    ------
    DomainError
        If the height is not from 5,000 m below the sea to 11,000 m above it.

    Examples
    --------
    >>> standard_pressure_kpa(0.0), round(standard_pressure_kpa(11000.0), 1)
    (101.325, 22.7)

    References
    ----------
    .. [1] U.S. Standard Atmosphere 1976, lowest layer; the same as ISO 2533 and the ICAO standard atmosphere.

    Notes
    -----
    The height is one of a map; the standard's own geopotential height follows from it.
    """
    if not _LOWEST_M <= finite("altitude_m", altitude_m) <= _HIGHEST_M:
        raise DomainError(f"{altitude_m=}: needs a height from {_LOWEST_M:g} to {_HIGHEST_M:g} m")
    geopotential_m = _EARTH_RADIUS_M * altitude_m / (_EARTH_RADIUS_M + altitude_m)
    cooling = _LAPSE_K_M * geopotential_m / _SEA_LEVEL_K
    return float(SEA_LEVEL_KPA * (1.0 - cooling) ** _EXPONENT)
