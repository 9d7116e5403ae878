"""What a service life estimate is asked for, and everything that bars one.

A wrong estimate lets a wearer breathe the vapour unwarned. So whatever lies outside the model's range is refused,
with every reason at once, each a value that can be listed and printed. Defaults for carbon whose maker says
nothing are exported by name, so that a page can call them assumed; none is put in silently.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from math import log

from progdoc.calc._domain import above_zero, finite
from progdoc.calc.adsorption import capacity_slope
from progdoc.calc.atmosphere import SEA_LEVEL_KPA
from progdoc.calc.bed import turning_log_ratio
from progdoc.core.errors import DomainError
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, same

__all__ = [
    "ASSUMED_BED_AREA_CM2",
    "ASSUMED_BED_DENSITY_G_CM3",
    "ASSUMED_CARBON_MASS_G",
    "ASSUMED_MICROPORE_VOLUME_CM3_G",
    "DEFAULT_SAFETY_FACTOR",
    "KELVIN",
    "Bed",
    "Case",
    "Criterion",
    "Reason",
    "Refusal",
    "Vapour",
    "breakthrough_fraction",
    "reasons_against",
    "side_by_side",
]

ASSUMED_CARBON_MASS_G = 25.0  # a cartridge: low end of 25–40 g documented for common twin cartridges
ASSUMED_BED_AREA_CM2 = 43.0  # a cartridge; this and the next two from memory
ASSUMED_BED_DENSITY_G_CM3 = 0.44
ASSUMED_MICROPORE_VOLUME_CM3_G = 0.454
DEFAULT_SAFETY_FACTOR = 1.5  # our choice, no source

KELVIN = 273.15
_TENTH = 0.1
_LOWEST_BOILING_POINT_C = 65.0
_TEMPERATURES_C = (10.0, 40.0)
_RELATIVE_PRESSURES = (1e-5, 0.5)
_HIGHEST_FRACTION = 0.2
_HUMID_PERCENT = 65.0
_DILUTE_PPM = 200.0


class Reason(StrEnum):
    """Why no estimate is given."""

    IMPREGNATED_CARBON = "needs-impregnated-carbon"
    STANDARD_DECIDES = "substance-standard-decides"
    UNRELIABLE_DATA = "unreliable-data"
    LOW_BOILING_POINT = "low-boiling-point"
    TEMPERATURE = "temperature-outside-range"
    VAPOUR_PRESSURE = "relative-pressure-outside-range"
    TOO_DILUTE = "too-dilute-for-the-capacity-equation"
    HUMID_AND_DILUTE = "humid-and-dilute"
    LOOSE_CRITERION = "breakthrough-fraction-too-large"
    STRICT_CRITERION = "breakthrough-fraction-too-small"
    CRITICAL_MASS = "too-little-carbon"


class Criterion(StrEnum):
    """Which end of service life governs: what may leave the cartridge at most."""

    FRACTION = "fraction-of-challenge"
    LIMIT = "exposure-limit"


@dataclass(frozen=True, slots=True)
class Vapour:
    """A vapour's properties; the three marks come from the catalogue and bar an estimate."""

    name: str
    molecular_weight: float  # g/mol
    boiling_point_c: float
    liquid_density_25c_g_cm3: float
    molar_polarisation_cm3_mol: float
    vapour_pressure_25c_mmhg: float
    vapour_pressure_slope_k: float
    needs_impregnated_carbon: bool = False
    standard_decides: bool = False
    is_unreliable: bool = False

    def __post_init__(self) -> None:
        """Refuse a number that nature does not allow."""
        finite("boiling_point_c", self.boiling_point_c)
        above_zero("molecular_weight", self.molecular_weight)
        above_zero("liquid_density_25c_g_cm3", self.liquid_density_25c_g_cm3)
        above_zero("molar_polarisation_cm3_mol", self.molar_polarisation_cm3_mol)
        above_zero("vapour_pressure_25c_mmhg", self.vapour_pressure_25c_mmhg)
        above_zero("vapour_pressure_slope_k", self.vapour_pressure_slope_k)


@dataclass(frozen=True, slots=True)
class Bed:
    """The carbon that the flow of the case goes through: of all cartridges side by side."""

    carbon_mass_g: float
    area_cm2: float
    density_g_cm3: float
    micropore_volume_cm3_g: float

    def __post_init__(self) -> None:
        """Refuse a number that nature does not allow."""
        above_zero("carbon_mass_g", self.carbon_mass_g)
        above_zero("area_cm2", self.area_cm2)
        above_zero("density_g_cm3", self.density_g_cm3)
        above_zero("micropore_volume_cm3_g", self.micropore_volume_cm3_g)


@dataclass(frozen=True, slots=True)
class Case:
    """One vapour, one bed, one air: what an estimate is asked for."""

    vapour: Vapour
    bed: Bed
    challenge_ppm: float  # in the air during the task, not the shift's average
    limit_ppm: float | None  # None: no published limit, the fraction alone decides
    flow_l_min: float  # the blower's in a powered mask, else the wearer's breathing
    temperature_c: float
    relative_humidity_percent: float
    fraction: float = _TENTH  # of the challenge, at the outlet
    safety_factor: float = DEFAULT_SAFETY_FACTOR
    pressure_kpa: float = SEA_LEVEL_KPA

    def __post_init__(self) -> None:
        """Refuse a number that nature does not allow."""
        breakthrough_fraction(self.challenge_ppm, self.limit_ppm, self.fraction)
        above_zero("flow_l_min", self.flow_l_min)
        above_zero("temperature in kelvin", self.temperature_c + KELVIN)
        above_zero("pressure_kpa", self.pressure_kpa)
        if not 0.0 <= self.relative_humidity_percent <= 100.0:
            raise DomainError(f"{self.relative_humidity_percent=}: needs a number from 0 to 100")
        if finite("safety_factor", self.safety_factor) < 1.0:
            raise DomainError(f"{self.safety_factor=}: needs a finite number, 1 or more")


@dataclass(frozen=True, slots=True)
class Refusal:
    """One reason against an estimate, with the values found, in words for the reader."""

    reason: Reason
    text: str


def side_by_side(cartridge: Bed, count: int) -> Bed:
    """Return the bed of several equal cartridges that share the flow.

    Parameters
    ----------
    cartridge
        One cartridge. [g, cm², g/cm³, cm³/g]
    count
        How many are on the mask. [–]

    Returns
    -------
    Bed
        Mass and area added up, the carbon the same. [g, cm², g/cm³, cm³/g]

    Raises
    ------
    DomainError
        If there is not at least one.

    Examples
    --------
    >>> side_by_side(Bed(35.0, 43.0, 0.44, 0.454), 2).carbon_mass_g
    70.0

    References
    ----------
    .. [1] Mass balance: half the flow goes through each of two equal beds.

    Notes
    -----
    Cartridges one behind the other are another matter: add the mass, not the area.
    """
    if count < 1:
        raise DomainError(f"{count=}: needs at least one cartridge")
    return Bed(
        cartridge.carbon_mass_g * count,
        cartridge.area_cm2 * count,
        cartridge.density_g_cm3,
        cartridge.micropore_volume_cm3_g,
    )


def breakthrough_fraction(challenge_ppm: float, limit_ppm: float | None, fraction: float) -> tuple[float, Criterion]:
    """Return how much of the challenge may leave the cartridge, and what decides it.

    Parameters
    ----------
    challenge_ppm
        Vapour going in. [ppm]
    limit_ppm
        Exposure limit, or None where none is published. [ppm]
    fraction
        Share of the challenge that counts as breakthrough in any case. [–]

    Returns
    -------
    tuple of float and Criterion
        The smaller of the fraction and limit ÷ challenge. [–]

    Raises
    ------
    DomainError
        If a number is not finite and above 0, or the fraction not under 0.5.

    Examples
    --------
    >>> breakthrough_fraction(1000.0, 50.0, 0.1), breakthrough_fraction(100.0, 50.0, 0.1)
    ((0.05, <Criterion.LIMIT: 'exposure-limit'>), (0.1, <Criterion.FRACTION: 'fraction-of-challenge'>))

    References
    ----------
    .. [1] Our choice, no source: a tenth of the challenge or the exposure limit, whichever is lower.

    Notes
    -----
    A client or a policy may ask for a smaller fraction; a larger one than 0.2 is refused later.
    """
    above_zero("challenge_ppm", challenge_ppm)
    if not 0.0 < fraction < 0.5:
        raise DomainError(f"{fraction=}: needs a number between 0 and 0.5")
    if limit_ppm is not None and above_zero("limit_ppm", limit_ppm) < fraction * challenge_ppm:
        return limit_ppm / challenge_ppm, Criterion.LIMIT
    return fraction, Criterion.FRACTION


def reasons_against(case: Case, relative_pressure: float) -> tuple[Refusal, ...]:
    """Return every reason, known before the computation, against an estimate.

    Parameters
    ----------
    case
        What is asked. [units of its fields]
    relative_pressure
        Partial pressure of the vapour over its saturation pressure. [–]

    Returns
    -------
    tuple of Refusal
        The reasons, in a fixed order; empty if the model may be used. [–]

    Raises
    ------
    DomainError
        If the case's fraction or concentrations are no possible numbers.

    Examples
    --------
    >>> methanol = Vapour("methanol", 32.0, 64.7, 0.79, 8.2, 127.0, 4600.0)
    >>> case = Case(methanol, Bed(70.0, 86.0, 0.44, 0.454), 1000.0, 200.0, 40.0, 22.0, 50.0)
    >>> [refusal.reason.value for refusal in reasons_against(case, 0.007)]
    ['low-boiling-point', 'too-dilute-for-the-capacity-equation']

    References
    ----------
    .. [1] Nelson and Correia, Am. Ind. Hyg. Assoc. J. 37:514–525 (1976): methanol lasts minutes.
    .. [2] Laboratory report of 1980 on vinyl chloride in moist air, as quoted in secondary sources.

    Notes
    -----
    The bounds are those within which the model was compared with measured times, or ours on the safe side.
    """
    return (*_barred(case.vapour), *_outside_range(case, relative_pressure), *_outside_criterion(case))


def _barred(vapour: Vapour) -> Iterable[Refusal]:
    name = vapour.name
    if vapour.needs_impregnated_carbon:
        yield Refusal(
            Reason.IMPREGNATED_CARBON,
            said("%(name)s is not held by plain carbon; ask the maker for test data", name=name),
        )
    if vapour.standard_decides:
        yield Refusal(
            Reason.STANDARD_DECIDES,
            said("a substance standard sets the change schedule for %(name)s, or bars cartridges", name=name),
        )
    if vapour.is_unreliable:
        yield Refusal(
            Reason.UNRELIABLE_DATA,
            said("the vapour pressure known for %(name)s is too uncertain to compute with", name=name),
        )
    if vapour.boiling_point_c < _LOWEST_BOILING_POINT_C:
        yield Refusal(
            Reason.LOW_BOILING_POINT,
            said(
                "%(name)s boils at %(boiling_point_c)s °C, under %(lowest_boiling_point_c)s °C: predictions come "
                "out up to three times too long",
                name=name,
                boiling_point_c=same(f"{vapour.boiling_point_c:g}"),
                lowest_boiling_point_c=same(f"{_LOWEST_BOILING_POINT_C:g}"),
            ),
        )


def _outside_range(case: Case, relative_pressure: float) -> Iterable[Refusal]:
    lowest, highest = _TEMPERATURES_C
    if not lowest <= case.temperature_c <= highest:
        yield Refusal(
            Reason.TEMPERATURE,
            said(
                "air at %(temperature_c)s °C; the model holds from %(lowest)s to %(highest)s °C",
                temperature_c=same(f"{case.temperature_c:.3g}"),
                lowest=same(f"{lowest:g}"),
                highest=same(f"{highest:g}"),
            ),
        )
    thinnest, thickest = _RELATIVE_PRESSURES
    if not thinnest <= relative_pressure <= thickest:
        yield Refusal(
            Reason.VAPOUR_PRESSURE,
            said(
                "%(challenge_ppm)s ppm of %(vapour)s is %(relative_pressure)s of saturation; the model holds "
                "from %(thinnest)s to %(thickest)s",
                challenge_ppm=same(f"{case.challenge_ppm:.3g}"),
                vapour=case.vapour.name,
                relative_pressure=same(f"{relative_pressure:.2g}"),
                thinnest=same(f"{thinnest:g}"),
                thickest=same(f"{thickest:g}"),
            ),
        )
    elif _has_left_range(case, relative_pressure):
        yield Refusal(
            Reason.TOO_DILUTE,
            said(
                "at %(challenge_ppm)s ppm of %(vapour)s less vapour would get a shorter life",
                challenge_ppm=same(f"{case.challenge_ppm:.3g}"),
                vapour=case.vapour.name,
            ),
        )
    if case.relative_humidity_percent > _HUMID_PERCENT and case.challenge_ppm < _DILUTE_PPM:
        yield Refusal(
            Reason.HUMID_AND_DILUTE,
            said(
                "%(relative_humidity_percent)s %% humidity with %(challenge_ppm)s ppm: above %(humid_percent)s "
                "%% and under %(dilute_ppm)s ppm water fills the carbon; ask for test data",
                relative_humidity_percent=same(f"{case.relative_humidity_percent:.3g}"),
                challenge_ppm=same(f"{case.challenge_ppm:.3g}"),
                humid_percent=same(f"{_HUMID_PERCENT:g}"),
                dilute_ppm=same(f"{_DILUTE_PPM:g}"),
            ),
        )


def _outside_criterion(case: Case) -> Iterable[Refusal]:
    fraction, _ = breakthrough_fraction(case.challenge_ppm, case.limit_ppm, case.fraction)
    if fraction > _HIGHEST_FRACTION:
        yield Refusal(
            Reason.LOOSE_CRITERION,
            said(
                "breakthrough at %(fraction)s of the challenge; the model holds up to %(highest_fraction)s",
                fraction=same(f"{fraction:.2g}"),
                highest_fraction=same(f"{_HIGHEST_FRACTION:g}"),
            ),
        )
    elif log((1.0 - fraction) / fraction) > turning_log_ratio(case.vapour.molar_polarisation_cm3_mol):
        yield Refusal(
            Reason.STRICT_CRITERION,
            said(
                "breakthrough at %(fraction)s of the challenge is purer air than the rate equation can tell",
                fraction=same(f"{fraction:.2g}"),
            ),
        )


def _has_left_range(case: Case, relative_pressure: float) -> bool:
    slope = capacity_slope(
        case.bed.micropore_volume_cm3_g,
        case.vapour.molar_polarisation_cm3_mol,
        case.temperature_c + KELVIN,
        relative_pressure,
    )
    return slope > 1.0
