"""From an estimate to a change schedule: mixtures, scaling a known life, how sure it is, a time a crew can keep.

Each step takes the shorter answer where there are two. A life that is too short to plan on is refused, not
rounded to nothing: a schedule of 0 minutes could be read as none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import fsum

from progdoc.calc._domain import above_zero
from progdoc.calc.cartridge import Case, Reason, Refusal
from progdoc.calc.service_life import Estimate, Refused, service_life
from progdoc.core.errors import DomainError
from progdoc.core.late_dataclass import dataclass

__all__ = [
    "MixtureEstimate",
    "Sensitivity",
    "keepable_interval_min",
    "mixture_service_life",
    "scaled_service_life_min",
    "sensitivities",
]

_SHORT_STEP_MIN = 15.0
_LONG_STEP_MIN = 30.0
_LONG_FROM_MIN = 240.0


@dataclass(frozen=True, slots=True)
class MixtureEstimate:
    """The component that comes through first, at the summed concentration."""

    governing: str  # its vapour's name
    summed_ppm: float
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """How the service life answers to one input; None where the model refuses the changed case."""

    name: str
    unit: str
    low_input: float
    high_input: float
    life_at_low_min: float | None
    life_at_high_min: float | None


def mixture_service_life(components: Sequence[Case]) -> MixtureEstimate | Refused:
    """Return the estimate for several vapours at once: the shortest-lived, taken at their summed concentration.

    Parameters
    ----------
    components
        One case a vapour, each with its own concentration and limit, all with one bed and one air. [ppm and others]

    Returns
    -------
    MixtureEstimate or Refused
        The governing component and its estimate; or every reason against any of them. [min and others, by field]

    Raises
    ------
    DomainError
        If there is no component, or bed and air differ between them.

    Examples
    --------
    >>> from progdoc.calc.cartridge import Bed, Vapour
    >>> toluene = Vapour("toluene", 92.1384, 110.6, 0.86391, 31.054, 28.459, 4603.7)
    >>> alone = Case(toluene, Bed(70.0, 86.0, 0.44, 0.454), 100.0, 200.0, 40.0, 22.0, 50.0)
    >>> mixture_service_life([alone, alone]).summed_ppm
    200.0

    References
    ----------
    .. [1] Common practice, no source: every component is taken to compete for all of the carbon.

    Notes
    -----
    Conservative, but not tested against measured mixtures here. One component that cannot be estimated bars
    the whole mixture; humid and dilute is judged on each component's own concentration.
    """
    if not components:
        raise DomainError("no components: needs at least one vapour")
    first = components[0]
    for other in components:
        if _without_vapour(other, first) != first:
            raise DomainError(f"{other.vapour.name}: needs the bed and the air of {first.vapour.name}")
    summed_ppm = fsum(component.challenge_ppm for component in components)
    found: list[MixtureEstimate] = []
    reasons: list[Refusal] = []
    for component in components:
        together = service_life(replace(component, challenge_ppm=summed_ppm))
        if isinstance(together, Refused):
            reasons.extend(together.reasons)
        else:
            found.append(MixtureEstimate(component.vapour.name, summed_ppm, together))
        reasons.extend(_humid_and_dilute(component))
    if reasons:
        return Refused(tuple(dict.fromkeys(reasons)))
    return min(found, key=lambda each: (each.estimate.service_life_min, each.governing))


def _without_vapour(case: Case, pattern: Case) -> Case:
    return replace(case, vapour=pattern.vapour, challenge_ppm=pattern.challenge_ppm, limit_ppm=pattern.limit_ppm)


def _humid_and_dilute(component: Case) -> tuple[Refusal, ...]:
    alone = service_life(component)
    if isinstance(alone, Estimate):
        return ()
    return tuple(refusal for refusal in alone.reasons if refusal.reason is Reason.HUMID_AND_DILUTE)


def scaled_service_life_min(
    known_life_min: float, known_ppm: float, known_flow_l_min: float, challenge_ppm: float, flow_l_min: float
) -> float:
    """Return a known service life, from the maker or a test, carried over to another air and flow.

    Parameters
    ----------
    known_life_min
        Service life that was found. [min]
    known_ppm
        Concentration at which it was found. [ppm]
    known_flow_l_min
        Flow at which it was found. [L/min]
    challenge_ppm
        Concentration in use. [ppm]
    flow_l_min
        Flow in use. [L/min]

    Returns
    -------
    float
        Service life in use: shorter for more vapour or flow, never longer than was found. [min]

    Raises
    ------
    DomainError
        If a number is not finite and above 0.

    Examples
    --------
    >>> scaled_service_life_min(60.0, 1000.0, 40.0, 100.0, 40.0)
    60.0
    >>> scaled_service_life_min(60.0, 1000.0, 40.0, 2000.0, 80.0)
    15.0

    References
    ----------
    .. [1] Rule of thumb of the AIHA (ch. 36), as quoted by the federal agency: twice the flow, half as long.

    Notes
    -----
    For more vapour than was tested we take straight proportion, which is shorter than the rule. The rule makes a
    life five times as long for a tenth of the vapour; nobody tested that, so less vapour or flow adds nothing here.
    Same vapour, same cartridges, same humidity.
    """
    dilution = above_zero("known_ppm", known_ppm) / above_zero("challenge_ppm", challenge_ppm)
    slowing = above_zero("known_flow_l_min", known_flow_l_min) / above_zero("flow_l_min", flow_l_min)
    known = above_zero("known_life_min", known_life_min)
    return above_zero("service life", known * min(dilution, 1.0) * min(slowing, 1.0))


def sensitivities(case: Case) -> tuple[Sensitivity, ...]:
    """Return how the service life moves when one input at a time is somewhat wrong.

    Parameters
    ----------
    case
        What was asked. [units of its fields]

    Returns
    -------
    tuple of Sensitivity
        Carbon mass, concentration and flow 10 % down and up; temperature 5 °C; humidity 10 points. [min]

    Raises
    ------
    DomainError
        If the case is so extreme that a changed input is no possible number.

    Examples
    --------
    >>> from progdoc.calc.cartridge import Bed, Vapour
    >>> toluene = Vapour("toluene", 92.1384, 110.6, 0.86391, 31.054, 28.459, 4603.7)
    >>> case = Case(toluene, Bed(70.0, 86.0, 0.44, 0.454), 200.0, 200.0, 40.0, 22.0, 50.0)
    >>> [item.name for item in sensitivities(case)]
    ['carbon mass', 'concentration', 'flow', 'temperature', 'relative humidity']

    References
    ----------
    .. [1] Common practice, no source: one input changed at a time.

    Notes
    -----
    The size of the changes is our choice. The bed's area stays when its mass is changed.
    """
    mass, ppm, flow = case.bed.carbon_mass_g, case.challenge_ppm, case.flow_l_min
    degrees, humidity = case.temperature_c, case.relative_humidity_percent

    def life(changed: Case) -> float | None:
        answer = service_life(changed)
        return answer.service_life_min if isinstance(answer, Estimate) else None

    def with_mass(value: float) -> float | None:
        return life(replace(case, bed=replace(case.bed, carbon_mass_g=value)))

    def with_ppm(value: float) -> float | None:
        return life(replace(case, challenge_ppm=value))

    def with_flow(value: float) -> float | None:
        return life(replace(case, flow_l_min=value))

    def with_degrees(value: float) -> float | None:
        return life(replace(case, temperature_c=value))

    def with_humidity(value: float) -> float | None:
        return life(replace(case, relative_humidity_percent=value))

    changes = (
        ("carbon mass", "g", 0.9 * mass, 1.1 * mass, with_mass),
        ("concentration", "ppm", 0.9 * ppm, 1.1 * ppm, with_ppm),
        ("flow", "L/min", 0.9 * flow, 1.1 * flow, with_flow),
        ("temperature", "°C", degrees - 5.0, degrees + 5.0, with_degrees),
        ("relative humidity", "%", max(humidity - 10.0, 0.0), min(humidity + 10.0, 100.0), with_humidity),
    )
    return tuple(
        Sensitivity(name, unit, low, high, changed(low), changed(high)) for name, unit, low, high, changed in changes
    )


def keepable_interval_min(service_life_min: float) -> float | None:
    """Return the change interval a crew can keep: the service life, rounded down to whole steps.

    Parameters
    ----------
    service_life_min
        Service life with its safety factor. [min]

    Returns
    -------
    float or None
        Down to 15 minutes under 4 hours, to 30 from there on; None if there is not even one step. [min]

    Raises
    ------
    DomainError
        If the life is not finite and above 0.

    Examples
    --------
    >>> keepable_interval_min(171.9), keepable_interval_min(290.0), keepable_interval_min(14.0)
    (165.0, 270.0, None)

    References
    ----------
    .. [1] Our choice, no source.

    Notes
    -----
    None means that these cartridges are no answer to this air. The interval is not cut to the length of a
    shift here; that, and no reuse on another day for vapours that wander in storage, is the schedule's business.
    """
    step = _LONG_STEP_MIN if above_zero("service_life_min", service_life_min) >= _LONG_FROM_MIN else _SHORT_STEP_MIN
    return service_life_min // step * step or None
