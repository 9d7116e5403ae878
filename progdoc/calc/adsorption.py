"""How much of a vapour activated carbon holds: the vapour's properties at temperature, and the capacity.

The capacity is Dubinin and Radushkevich's with Wood's correlation. **The form was checked against abstracts,
limits, mass balance and measured times; the numeric constants are recalled from the papers, not read from
their full text here.** Whatever prints a result says so.

This module computes and does not judge: whether an estimate may be given at all is `service_life`'s business.
"""

from __future__ import annotations

from math import exp, isfinite, log

from progdoc.calc._domain import above_zero
from progdoc.core.errors import DomainError

__all__ = [
    "adsorption_capacity_g_g",
    "capacity_slope",
    "liquid_density_g_cm3",
    "molar_polarisation_cm3_mol",
    "saturation_pressure_mmhg",
    "vapour_density_g_cm3",
]

_GAS_CONSTANT_CAL_MOL_K = 1.987
_GAS_CONSTANT_PA_CM3_MOL_K = 8.314462618e6
_REFERENCE_K = 298.15
_POTENTIAL_COEFFICIENT = 3.56e-5  # Wood 1994; recalled
_THERMAL_EXPANSION_PER_K = 0.0011


def molar_polarisation_cm3_mol(refractive_index: float, density_g_cm3: float, molecular_weight: float) -> float:
    """Return the molar electronic polarisation, the measure of how well carbon holds a vapour.

    Parameters
    ----------
    refractive_index
        Refractive index of the liquid, yellow sodium light. [–]
    density_g_cm3
        Density of the liquid at the temperature of the refractive index. [g/cm³]
    molecular_weight
        Molecular weight. [g/mol]

    Returns
    -------
    float
        Molar polarisation by Lorentz and Lorenz. [cm³/mol]

    Raises
    ------
    DomainError
        If the index is not above 1, or another number not above 0.

    Examples
    --------
    >>> molar_polarisation_cm3_mol(2.0, 1.0, 100.0)
    50.0

    References
    ----------
    .. [1] Wood, Am. Ind. Hyg. Assoc. J. 55:11–15 (1994), which takes the Lorentz–Lorenz polarisation.

    Notes
    -----
    Index and density at one temperature, or the value drifts.
    """
    above_zero("density_g_cm3", density_g_cm3)
    above_zero("molecular_weight", molecular_weight)
    if not (isfinite(refractive_index) and refractive_index > 1.0):
        raise DomainError(f"{refractive_index=}: needs a finite number above 1")
    square = refractive_index * refractive_index
    return (square - 1.0) / (square + 2.0) * molecular_weight / density_g_cm3


def saturation_pressure_mmhg(pressure_25c_mmhg: float, slope_k: float, temperature_k: float) -> float:
    """Return the vapour pressure of the liquid at a temperature near 25 °C.

    Parameters
    ----------
    pressure_25c_mmhg
        Vapour pressure at 25 °C. [mmHg]
    slope_k
        Slope of its logarithm against the inverse temperature, about the heat of evaporation over R. [K]
    temperature_k
        Temperature of the bed. [K]

    Returns
    -------
    float
        Saturation pressure. [mmHg]

    Raises
    ------
    DomainError
        If a number is not finite and above 0.

    Examples
    --------
    >>> saturation_pressure_mmhg(28.0, 4600.0, 298.15)
    28.0

    References
    ----------
    .. [1] Clausius–Clapeyron relation, common practice; slopes fitted from 15 to 35 °C.

    Notes
    -----
    Good from 10 to 40 °C only.
    """
    above_zero("pressure_25c_mmhg", pressure_25c_mmhg)
    above_zero("slope_k", slope_k)
    above_zero("temperature_k", temperature_k)
    return pressure_25c_mmhg * exp(-slope_k * (1.0 / temperature_k - 1.0 / _REFERENCE_K))


def liquid_density_g_cm3(density_25c_g_cm3: float, temperature_k: float) -> float:
    """Return the density of the liquid at a temperature near 25 °C.

    Parameters
    ----------
    density_25c_g_cm3
        Density at 25 °C. [g/cm³]
    temperature_k
        Temperature of the bed. [K]

    Returns
    -------
    float
        Density. [g/cm³]

    Raises
    ------
    DomainError
        If a number is not finite and above 0.

    Examples
    --------
    >>> liquid_density_g_cm3(0.8, 298.15)
    0.8

    References
    ----------
    .. [1] Common practice, no source: an expansion of 0.11 % per kelvin, usual for organic liquids.

    Notes
    -----
    Good from 10 to 40 °C only.
    """
    above_zero("density_25c_g_cm3", density_25c_g_cm3)
    above_zero("temperature_k", temperature_k)
    return density_25c_g_cm3 * (1.0 - _THERMAL_EXPANSION_PER_K * (temperature_k - _REFERENCE_K))


def vapour_density_g_cm3(
    concentration_ppm: float, molecular_weight: float, temperature_k: float, pressure_pa: float
) -> float:
    """Return the mass of vapour in a volume of air.

    Parameters
    ----------
    concentration_ppm
        Parts of vapour per million parts of air, by volume. [ppm]
    molecular_weight
        Molecular weight. [g/mol]
    temperature_k
        Temperature of the air. [K]
    pressure_pa
        Pressure of the air. [Pa]

    Returns
    -------
    float
        Mass concentration. [g/cm³]

    Raises
    ------
    DomainError
        If a number is not finite and above 0.

    Examples
    --------
    >>> round(vapour_density_g_cm3(1.0, 24.465, 298.15, 101325.0) * 1e9, 3)
    1.0

    References
    ----------
    .. [1] CODATA 2018 molar gas constant; ideal gas law.

    Notes
    -----
    The same ppm weigh less in hotter or thinner air.
    """
    above_zero("concentration_ppm", concentration_ppm)
    above_zero("molecular_weight", molecular_weight)
    above_zero("temperature_k", temperature_k)
    above_zero("pressure_pa", pressure_pa)
    molar_volume_cm3 = _GAS_CONSTANT_PA_CM3_MOL_K * temperature_k / pressure_pa
    return concentration_ppm * 1e-6 * molecular_weight / molar_volume_cm3


def _potential_factor(micropore_volume_cm3_g: float, polarisation_cm3_mol: float, temperature_k: float) -> float:
    affinity = _POTENTIAL_COEFFICIENT * micropore_volume_cm3_g * polarisation_cm3_mol**-1.8
    return float(affinity * (_GAS_CONSTANT_CAL_MOL_K * temperature_k) ** 2)


def adsorption_capacity_g_g(
    micropore_volume_cm3_g: float,
    liquid_density: float,
    polarisation_cm3_mol: float,
    temperature_k: float,
    relative_pressure: float,
) -> float:
    """Return how much vapour a gram of dry carbon holds in balance with the air.

    Parameters
    ----------
    micropore_volume_cm3_g
        Micropore volume of the carbon. [cm³/g]
    liquid_density
        Density of the liquid at the bed's temperature. [g/cm³]
    polarisation_cm3_mol
        Molar polarisation of the vapour. [cm³/mol]
    temperature_k
        Temperature of the bed. [K]
    relative_pressure
        Partial pressure of the vapour over its saturation pressure. [–]

    Returns
    -------
    float
        Capacity. [g/g]

    Raises
    ------
    DomainError
        If a number is not finite and above 0, or the relative pressure is not under 1.

    Examples
    --------
    >>> round(adsorption_capacity_g_g(0.454, 0.866761, 31.054, 295.15, 0.152 / 24.3253), 4)
    0.2929

    References
    ----------
    .. [1] Wood, Am. Ind. Hyg. Assoc. J. 55:11–15 (1994); constants recalled.
    .. [2] Lodewyckx, Wood and Ryu, Carbon 42:1351 (2004): form and scope.

    Notes
    -----
    Dry carbon. The equation has no straight-line limit at great dilution: see `capacity_slope`.
    """
    above_zero("micropore_volume_cm3_g", micropore_volume_cm3_g)
    above_zero("liquid_density", liquid_density)
    above_zero("polarisation_cm3_mol", polarisation_cm3_mol)
    above_zero("temperature_k", temperature_k)
    above_zero("relative_pressure", relative_pressure)
    if relative_pressure >= 1.0:
        raise DomainError(f"{relative_pressure=}: needs to be under 1, else the vapour is liquid")
    factor = _potential_factor(micropore_volume_cm3_g, polarisation_cm3_mol, temperature_k)
    return micropore_volume_cm3_g * liquid_density * exp(-factor * log(relative_pressure) ** 2)


def capacity_slope(
    micropore_volume_cm3_g: float, polarisation_cm3_mol: float, temperature_k: float, relative_pressure: float
) -> float:
    """Return by what power of the concentration the capacity rises.

    Above 1, less vapour in the air would give a shorter predicted life: the equation has left its range.

    Parameters
    ----------
    micropore_volume_cm3_g
        Micropore volume of the carbon. [cm³/g]
    polarisation_cm3_mol
        Molar polarisation of the vapour. [cm³/mol]
    temperature_k
        Temperature of the bed. [K]
    relative_pressure
        Partial pressure of the vapour over its saturation pressure. [–]

    Returns
    -------
    float
        Slope of ln(capacity) against ln(concentration). [–]

    Raises
    ------
    DomainError
        If a number is not finite and above 0, or the relative pressure is not under 1.

    Examples
    --------
    >>> capacity_slope(0.454, 30.0, 298.15, 1e-3) < capacity_slope(0.454, 30.0, 298.15, 1e-5)
    True

    References
    ----------
    .. [1] Derivative of the capacity equation of Wood (1994); real isotherms end in Henry's law, slope 1.

    Notes
    -----
    Our own check, from the mathematics of the equation.
    """
    above_zero("micropore_volume_cm3_g", micropore_volume_cm3_g)
    above_zero("polarisation_cm3_mol", polarisation_cm3_mol)
    above_zero("temperature_k", temperature_k)
    above_zero("relative_pressure", relative_pressure)
    if relative_pressure >= 1.0:
        raise DomainError(f"{relative_pressure=}: needs to be under 1, else the vapour is liquid")
    factor = _potential_factor(micropore_volume_cm3_g, polarisation_cm3_mol, temperature_k)
    return -2.0 * factor * log(relative_pressure)
