"""Estimate how long an organic-vapour cartridge lasts, or say why no estimate may be given.

What comes out is an estimate from published equations whose constants are recalled, not read (see `adsorption`
and `bed`): never a measurement, never longer than the maker's own figure or a substance standard allows, never a
reason to stay when the vapour is smelled.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite, log

from progdoc.calc.adsorption import (
    adsorption_capacity_g_g,
    liquid_density_g_cm3,
    saturation_pressure_mmhg,
    vapour_density_g_cm3,
)
from progdoc.calc.bed import breakthrough_terms_min, rate_coefficient_per_min
from progdoc.calc.cartridge import (
    KELVIN,
    Case,
    Criterion,
    Reason,
    Refusal,
    breakthrough_fraction,
    reasons_against,
)
from progdoc.core.errors import DomainError
from progdoc.core.late_dataclass import dataclass

__all__ = ["Estimate", "Refused", "humidity_factor", "service_life", "service_lives"]

_PASCAL_PER_MMHG = 101325.0 / 760.0


@dataclass(frozen=True, slots=True)
class Refused:
    """No estimate, and every reason."""

    reasons: tuple[Refusal, ...]


@dataclass(frozen=True, slots=True)
class Estimate:
    """An estimate with everything that is needed to do it again by hand."""

    service_life_min: float  # breakthrough time × humidity factor ÷ safety factor
    breakthrough_min: float  # capacity term − kinetic term, dry
    capacity_term_min: float
    kinetic_term_min: float
    humidity_factor: float
    safety_factor: float
    breakthrough_fraction: float
    criterion: Criterion
    challenge_g_cm3: float
    saturation_pressure_mmhg: float
    relative_pressure: float
    liquid_density_g_cm3: float
    capacity_g_g: float
    linear_velocity_cm_s: float
    rate_per_min: float
    critical_mass_g: float

    @property
    def reached_min(self) -> float:
        """When the breakthrough fraction leaves the cartridge in this air, without a safety factor."""
        return self.breakthrough_min * self.humidity_factor


def humidity_factor(relative_humidity_percent: float) -> float:
    """Return what moist air leaves of the service life in dry air.

    Parameters
    ----------
    relative_humidity_percent
        Relative humidity of the air breathed in. [%]

    Returns
    -------
    float
        1 up to 50 %, 0.5 from 85 % on. [–]

    Raises
    ------
    DomainError
        If the humidity is not from 0 to 100.

    Examples
    --------
    >>> humidity_factor(50.0), humidity_factor(67.5), humidity_factor(85.0)
    (1.0, 0.75, 0.5)

    References
    ----------
    .. [1] Rule of thumb of the AIHA (ch. 36), as quoted by the federal agency: over 85 %, half.

    Notes
    -----
    The straight line between is our interpolation. Dilute vapours lose more: `service_life` refuses them.
    """
    if not (isfinite(relative_humidity_percent) and 0.0 <= relative_humidity_percent <= 100.0):
        raise DomainError(f"{relative_humidity_percent=}: needs a number from 0 to 100")
    return 1.0 - 0.5 * min(max((relative_humidity_percent - 50.0) / 35.0, 0.0), 1.0)


def service_life(case: Case) -> Estimate | Refused:
    """Return the estimated service life of a cartridge, or every reason against an estimate.

    Parameters
    ----------
    case
        Vapour, bed and air; mass, area and flow all of the same set of cartridges. [units of its fields]

    Returns
    -------
    Estimate or Refused
        Both terms, the factors and the service life, not rounded; or the reasons. [min and others, by field]

    Raises
    ------
    DomainError
        Never for a case that could be made: impossible numbers are refused when a `Case` is made.

    Examples
    --------
    >>> from progdoc.calc.cartridge import Bed, Vapour
    >>> toluene = Vapour("toluene", 92.1384, 110.6, 0.86391, 31.054, 28.459, 4603.7)
    >>> pair = Bed(52.0, 86.0, 0.44, 0.454)
    >>> found = service_life(Case(toluene, pair, 200.0, None, 53.3, 22.0, 50.0, safety_factor=1.0))
    >>> round(found.service_life_min)
    262

    References
    ----------
    .. [1] Wood, Am. Ind. Hyg. Assoc. J. 55:11–15 (1994); Wood and Stampfer, Carbon 31:195–200 (1993);
       Lodewyckx, Wood and Ryu, Carbon 42:1351 (2004). Constants recalled, not read.
    .. [2] Nelson and Correia, Am. Ind. Hyg. Assoc. J. 37:514–525 (1976): measured times.

    Notes
    -----
    At a fixed ppm hotter air carries less mass of vapour, so that far from dry dilution an estimate may rise
    by up to 0.3 % a kelvin. An error of 10 % in the carbon's mass moves the result by about 13 %.
    """
    temperature_k = case.temperature_c + KELVIN
    saturation_mmhg = saturation_pressure_mmhg(
        case.vapour.vapour_pressure_25c_mmhg, case.vapour.vapour_pressure_slope_k, temperature_k
    )
    partial_mmhg = case.challenge_ppm * 1e-6 * case.pressure_kpa * 1000.0 / _PASCAL_PER_MMHG
    relative = partial_mmhg / saturation_mmhg
    fraction, criterion = breakthrough_fraction(case.challenge_ppm, case.limit_ppm, case.fraction)
    reasons = reasons_against(case, relative)
    if reasons:
        return Refused(reasons)

    vapour, bed = case.vapour, case.bed
    density = liquid_density_g_cm3(vapour.liquid_density_25c_g_cm3, temperature_k)
    challenge = vapour_density_g_cm3(
        case.challenge_ppm, vapour.molecular_weight, temperature_k, case.pressure_kpa * 1000.0
    )
    capacity = adsorption_capacity_g_g(
        bed.micropore_volume_cm3_g, density, vapour.molar_polarisation_cm3_mol, temperature_k, relative
    )
    flow_cm3_min = case.flow_l_min * 1000.0
    velocity = flow_cm3_min / (60.0 * bed.area_cm2)
    log_ratio = log((1.0 - fraction) / fraction)
    rate = rate_coefficient_per_min(velocity, log_ratio, vapour.molar_polarisation_cm3_mol)
    held, lost = breakthrough_terms_min(
        capacity, bed.carbon_mass_g, challenge, flow_cm3_min, bed.density_g_cm3, rate, log_ratio
    )
    critical_g = bed.density_g_cm3 * flow_cm3_min * log_ratio / rate
    if held <= lost:
        return Refused((_too_little_carbon(bed.carbon_mass_g, critical_g),))
    moist = humidity_factor(case.relative_humidity_percent)
    return Estimate(
        service_life_min=(held - lost) * moist / case.safety_factor,
        breakthrough_min=held - lost,
        capacity_term_min=held,
        kinetic_term_min=lost,
        humidity_factor=moist,
        safety_factor=case.safety_factor,
        breakthrough_fraction=fraction,
        criterion=criterion,
        challenge_g_cm3=challenge,
        saturation_pressure_mmhg=saturation_mmhg,
        relative_pressure=relative,
        liquid_density_g_cm3=density,
        capacity_g_g=capacity,
        linear_velocity_cm_s=velocity,
        rate_per_min=rate,
        critical_mass_g=critical_g,
    )


def service_lives(cases: Iterable[Case]) -> tuple[Estimate | Refused, ...]:
    """Return the estimate or the refusal of each case, in order.

    Parameters
    ----------
    cases
        What is asked. [units of their fields]

    Returns
    -------
    tuple
        One answer a case. [min and others, by field]

    Raises
    ------
    DomainError
        Never, as `service_life`.

    Examples
    --------
    >>> service_lives([])
    ()

    References
    ----------
    .. [1] See `service_life`.

    Notes
    -----
    Time grows with the number of cases, nothing else.
    """
    return tuple(service_life(case) for case in cases)


def _too_little_carbon(carbon_g: float, critical_g: float) -> Refusal:
    return Refusal(
        Reason.CRITICAL_MASS,
        f"{carbon_g:.4g} g of carbon is under {critical_g:.4g} g, below which this vapour comes through at once",
    )
