"""How long a bed of activated carbon lasts: the rate of uptake and the two terms of the breakthrough time.

The equations are Wheeler and Jonas's for the time and Wood and Stampfer's for the rate. **The form was
checked against abstracts, limits, mass balance and measured times; the numeric constants are recalled from
the papers, not read from their full text here.** Whatever prints a result says so.

Mass, area and flow are totals over cartridges side by side, or all three for one cartridge; never mixed. This
module computes and does not judge: whether an estimate may be given at all is `service_life`'s business.
"""

from __future__ import annotations

from progdoc.calc._domain import above_zero
from progdoc.core.errors import DomainError

__all__ = ["breakthrough_terms_min", "rate_coefficient_per_min", "turning_log_ratio"]

_FILM_S_CM = 0.027  # all four: Wood and Stampfer 1993; recalled
_RATE_BASE_MIN = 0.000825
_RATE_POLAR = 0.063
_RATE_LOG = 0.0055


def rate_coefficient_per_min(linear_velocity_cm_s: float, log_ratio: float, polarisation_cm3_mol: float) -> float:
    """Return how fast the bed takes the vapour up.

    Parameters
    ----------
    linear_velocity_cm_s
        Flow over the bed's area. [cm/s]
    log_ratio
        ln((C0 − Cx)/Cx), C0 going in and Cx coming out at breakthrough. [–]
    polarisation_cm3_mol
        Molar polarisation of the vapour. [cm³/mol]

    Returns
    -------
    float
        Adsorption rate coefficient. [1/min]

    Raises
    ------
    DomainError
        If a number is not finite and above 0, or the log ratio is past `turning_log_ratio`.

    Examples
    --------
    >>> round(rate_coefficient_per_min(10.3295, 2.1972, 31.054))
    3277

    References
    ----------
    .. [1] Wood and Stampfer, Carbon 31:195–200 (1993); constants recalled.

    Notes
    -----
    Against measured times the rate is on the slow side, so the life on the short side.
    """
    above_zero("linear_velocity_cm_s", linear_velocity_cm_s)
    above_zero("log_ratio", log_ratio)
    above_zero("polarisation_cm3_mol", polarisation_cm3_mol)
    if log_ratio > turning_log_ratio(polarisation_cm3_mol):
        raise DomainError(f"{log_ratio=}: breakthrough fraction too small for the rate equation")
    resistance = _RATE_BASE_MIN + (_RATE_POLAR - _RATE_LOG * log_ratio) / polarisation_cm3_mol
    return 1.0 / ((1.0 / linear_velocity_cm_s + _FILM_S_CM) * resistance)


def turning_log_ratio(polarisation_cm3_mol: float) -> float:
    """Return the log ratio up to which a stricter breakthrough criterion still shortens the predicted life.

    Parameters
    ----------
    polarisation_cm3_mol
        Molar polarisation of the vapour. [cm³/mol]

    Returns
    -------
    float
        Largest ln((C0 − Cx)/Cx) at which log ratio over rate coefficient still grows. [–]

    Raises
    ------
    DomainError
        If the polarisation is not finite and above 0.

    Examples
    --------
    >>> round(turning_log_ratio(40.0), 2)
    8.73

    References
    ----------
    .. [1] Derivative of the rate equation of Wood and Stampfer (1993).

    Notes
    -----
    Our own check, from the mathematics of the equation: past it, asking for cleaner air would seem to
    lengthen the life. The measured times we hold reach down to a fraction of 0.01 (log ratio 4.6).
    """
    above_zero("polarisation_cm3_mol", polarisation_cm3_mol)
    return (_RATE_BASE_MIN * polarisation_cm3_mol + _RATE_POLAR) / (2.0 * _RATE_LOG)


def breakthrough_terms_min(
    capacity_g_g: float,
    carbon_mass_g: float,
    challenge_g_cm3: float,
    flow_cm3_min: float,
    bed_density_g_cm3: float,
    rate_per_min: float,
    log_ratio: float,
) -> tuple[float, float]:
    """Return the two terms of the breakthrough time: what the bed holds, less what its slowness costs.

    Parameters
    ----------
    capacity_g_g
        Capacity in balance with the air. [g/g]
    carbon_mass_g
        Mass of carbon, all cartridges side by side. [g]
    challenge_g_cm3
        Vapour going in. [g/cm³]
    flow_cm3_min
        Flow through all of that carbon. [cm³/min]
    bed_density_g_cm3
        Density of the packed bed. [g/cm³]
    rate_per_min
        Adsorption rate coefficient. [1/min]
    log_ratio
        ln((C0 − Cx)/Cx), C0 going in and Cx coming out at breakthrough. [–]

    Returns
    -------
    tuple of float
        Capacity term and kinetic term; the breakthrough time is the first less the second. [min]

    Raises
    ------
    DomainError
        If a number is not finite and above 0.

    Examples
    --------
    >>> breakthrough_terms_min(0.5, 100.0, 0.25, 20.0, 0.5, 25.0, 2.0)
    (10.0, 0.08)

    References
    ----------
    .. [1] Wheeler–Jonas equation, as in Wood, Am. Ind. Hyg. Assoc. J. 55:11–15 (1994), and Lodewyckx,
       Wood and Ryu, Carbon 42:1351 (2004).

    Notes
    -----
    The terms are equal, and the time 0, at the critical bed mass.
    """
    above_zero("capacity_g_g", capacity_g_g)
    above_zero("carbon_mass_g", carbon_mass_g)
    above_zero("challenge_g_cm3", challenge_g_cm3)
    above_zero("flow_cm3_min", flow_cm3_min)
    above_zero("bed_density_g_cm3", bed_density_g_cm3)
    above_zero("rate_per_min", rate_per_min)
    above_zero("log_ratio", log_ratio)
    return (
        capacity_g_g * carbon_mass_g / (challenge_g_cm3 * flow_cm3_min),
        capacity_g_g * bed_density_g_cm3 * log_ratio / (rate_per_min * challenge_g_cm3),
    )
