"""The service life that the published model gives a cartridge in the air of a task, or why it gives none.

The description is bound to `calc`: average levels while the task is done, flow by breathing, effort or blower, the
hottest and the dampest air, the pressure at the site. Several vapours together count as their shortest-lived at the
summed concentration. What nobody stated is asked for; only carbon may be assumed, and then the safety factor is larger
and the page says so. An estimate is never called anything else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from progdoc.calc.cartridge import DEFAULT_SAFETY_FACTOR, Case, Criterion, Reason, Refusal
from progdoc.calc.change_schedule import MixtureEstimate, mixture_service_life
from progdoc.calc.service_life import Estimate, service_life
from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join
from progdoc.model.description.masks import Filter, Mask, Mode
from progdoc.model.description.quantities import Quantity, in_unit
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.cartridge_life.life_worked import Origins, life_worked
from progdoc.rules.cartridge_life.vapours import (
    air_flow,
    air_pressure,
    breathes_by_effort,
    carbon_bed,
    heavier,
    may_be_vapour,
    vapours_of,
)
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.cartridge_results import CartridgeLife, NotKnown, WhatIf
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.lookup.conversion import in_limit_unit

__all__ = ["WEAKNESSES", "cartridge_life", "gas_agents", "level_ppm", "load_notes", "load_ppm"]

ASSUMED_SAFETY_FACTOR = 2.0  # our choice, no source: more than the usual 1.5 where an input is assumed
_COLDEST_C = 10.0  # of the model; colder air is computed as this
_UNLIKELY_C = (-50.0, 60.0)
_WARMER_C, _DAMPER = 10.0, 20.0
_HAIR = 1.0 + 1e-9
_MORE_AIR = 1.25
_FRACTIONS = (0.001, 0.002, 0.005, 0.01, 0.02, 0.035, 0.05, 0.075, 0.1, 0.125, 0.15, 0.175, 0.2)

WEAKNESSES = (
    said("This is an estimate from published equations; it is no measurement."),
    said("Vapours that boil near 65 °C come out too long; under 65 °C the model is refused."),
    said(
        "Damp air takes more from thin vapour than the model tells; above 65 % humidity and under 200 "
        "ppm it is refused."
    ),
    said(
        "There is no model for reactive or impregnated media, such as cartridges for ammonia, acid gases "
        "or formaldehyde."
    ),
    said("A mixture is taken as its shortest-lived part at the summed concentration; this was not tested on mixtures."),
    said("Whoever smells, tastes or feels anything leaves at once, whatever the schedule says."),
)

_INSTEAD = {
    Reason.IMPREGNATED_CARBON: said("Use a cartridge approved for it, with the maker's service data or an indicator."),
    Reason.STANDARD_DECIDES: said("Follow the change rule of the substance standard."),
    Reason.UNRELIABLE_DATA: said("Use the maker's service data or a test."),
    Reason.LOW_BOILING_POINT: said("Use supplied air, or the maker's test data, with a new cartridge for each use."),
    Reason.TEMPERATURE: said("Use the maker's service data at your temperature."),
    Reason.VAPOUR_PRESSURE: said("Use the maker's service data at your concentration."),
    Reason.TOO_DILUTE: said("Use the maker's service data at your concentration."),
    Reason.HUMID_AND_DILUTE: said("Ask the maker for test data at your humidity and concentration."),
    Reason.LOOSE_CRITERION: said("Set a stricter limit."),
    Reason.STRICT_CRITERION: said("Use supplied air, or the maker's test data for so low a limit."),
    Reason.CRITICAL_MASS: said("Use more carbon, or supplied air."),
}


def gas_agents(air: TaskAir) -> tuple[Assessment, ...]:
    """Return the agents that load a gas cartridge, whether over their limits or not."""
    return tuple(agent for agent in air.agents if may_be_vapour(agent))


def level_ppm(agent: Assessment) -> float | None:
    """Return the highest level while the task is done; None where nobody knows it."""
    if agent.during_task is None or not agent.unit:
        return None
    return in_limit_unit(Quantity(agent.during_task, agent.unit, ""), "ppm", agent.substance)


def load_ppm(agent: Assessment) -> float | None:
    """Return what an agent loads a cartridge with while the task is done; None where nobody knows it."""
    if agent.load is None or not agent.unit:
        return None
    return in_limit_unit(Quantity(agent.load, agent.unit, ""), "ppm", agent.substance)


def load_notes(agents: Iterable[Assessment]) -> tuple[str, ...]:
    """Return how the load follows from what was found, for each agent where it is a sum."""
    return tuple(
        said("%(agent)s: %(load_derived)s.", agent=agent.hazard.agent, load_derived=agent.load_derived)
        for agent in agents
        if agent.load_derived
    )


def cartridge_life(air: TaskAir, mask: Mask, part: Filter) -> CartridgeLife:
    """Return the model's answer for one cartridge on one mask in one task."""
    agents = gas_agents(air)
    names = tuple(agent.hazard.agent for agent in agents)
    flow = air_flow(air.rules.law, mask, air.task)
    carbon = carbon_bed(part, mask)
    missing = [thing for thing in (flow, carbon) if isinstance(thing, NotKnown)]
    missing += _not_stated(air.task)
    missing += [gap for agent in agents if (gap := _gap_of(agent)) is not None]
    if missing or isinstance(flow, NotKnown) or isinstance(carbon, NotKnown) or not agents:
        return CartridgeLife(names, tuple(dict.fromkeys(missing)))
    pressure = air_pressure(air)
    assumed = (*carbon.assumed, *([flow.origin] if flow.is_assumed else []))
    factor = ASSUMED_SAFETY_FACTOR if assumed else DEFAULT_SAFETY_FACTOR

    def case_of(agent: Assessment) -> Case:
        humidity = air.task.humidity_high.value if air.task.humidity_high else 100.0
        hottest = _celsius(air.task.temperature_high) if air.task.temperature_high else _COLDEST_C
        candidates = vapours_of(agent)
        vapours = () if isinstance(candidates, NotKnown) else candidates
        cases = (
            Case(v, carbon.bed, load_ppm(agent) or 0.0, _limit_ppm(agent), flow.l_min, hottest, humidity)
            for v in vapours
        )
        here = (replace(case, safety_factor=factor, pressure_kpa=pressure.kpa) for case in cases)
        return min(here, key=_alone)

    cases = [case_of(agent) for agent in agents]
    coldest = max(_celsius(air.task.temperature_low), _COLDEST_C) if air.task.temperature_low else _COLDEST_C
    answer = _shorter(cases, coldest)
    if not isinstance(answer, MixtureEstimate):
        return CartridgeLife(names, tuple(NotKnown(r.text, _INSTEAD[r.reason]) for r in answer), assumed)
    governing = next(case for case in cases if case.vapour.name == answer.governing)
    together = replace(governing, challenge_ppm=answer.summed_ppm)
    hotter = service_life(together)
    if not isinstance(hotter, Estimate) or hotter.service_life_min != answer.estimate.service_life_min:
        together = replace(together, temperature_c=coldest)
    what_ifs = tuple(_what_ifs(cases, coldest, air, mask, agents))
    identity = f"tasks.{air.task.id}.masks.{mask.id}.{part.id}.service-life"
    name = said("Estimated service life of “%(part)s” in “%(task)s”", part=label_of(part), task=air.task.name)
    loads = load_notes(agents)
    notes = (*loads, *_notes(answer, names, assumed), *map(_what_if_words, what_ifs), *WEAKNESSES)
    origins = Origins(flow.origin, carbon.origins, pressure.origin)
    worked = life_worked(identity, name, together, answer.estimate, origins, notes)
    return CartridgeLife(
        agents=names,
        refused=(),
        assumed=assumed,
        governing=answer.governing,
        estimate=answer.estimate,
        what_ifs=what_ifs,
        curve=_curve(together),
        worked=worked,
        weaknesses=WEAKNESSES,
    )


# ---- what was stated ----------------------------------------------------------------------------------


def _celsius(quantity: Quantity) -> float:
    return in_unit(quantity, "C")


def _not_stated(task: Task) -> Iterable[NotKnown]:
    if task.temperature_high is None:
        yield NotKnown(said("nobody says how hot the air gets"), said("Write `temperature_high:` in the task."))
    elif not _UNLIKELY_C[0] < _celsius(task.temperature_high) < _UNLIKELY_C[1]:
        yield NotKnown(
            said("air at %(temperature_high)s is outside the model", temperature_high=task.temperature_high.printed),
            said("Check `temperature_high:`."),
        )
    if task.humidity_high is None:
        yield NotKnown(said("nobody says how damp the air gets"), said("Write `humidity_high:` in the task."))


def _gap_of(agent: Assessment) -> NotKnown | None:
    level = load_ppm(agent)
    if level is None or level <= 0.0:
        return NotKnown(
            said("how much %(agent)s is in the air is not known in ppm", agent=agent.hazard.agent),
            said("Have it measured or estimated."),
        )
    found = vapours_of(agent)
    return found if isinstance(found, NotKnown) else None


def _limit_ppm(agent: Assessment) -> float | None:
    """Return the lowest limit of an agent, whatever its averaging time; None where none is published in ppm."""
    limits = [limit for limit in agent.limits if limit.value and limit.kind is not LimitKind.ACTION_LEVEL]
    converted = (in_limit_unit(Quantity(lim.value or 0.0, lim.unit, ""), "ppm", agent.substance) for lim in limits)
    return min((value for value in converted if value), default=None)


# ---- answers ------------------------------------------------------------------------------------------


def _alone(case: Case) -> float:
    answer = service_life(case)
    return answer.service_life_min if isinstance(answer, Estimate) else -1.0


def _shorter(cases: Sequence[Case], coldest_c: float) -> MixtureEstimate | tuple[Refusal, ...]:
    """Return the shorter life of the hottest and the coldest air: which of them it is depends on the vapour."""
    found: list[MixtureEstimate] = []
    for temperature in dict.fromkeys((cases[0].temperature_c, min(coldest_c, cases[0].temperature_c))):
        answer = mixture_service_life([replace(case, temperature_c=temperature) for case in cases])
        if not isinstance(answer, MixtureEstimate):
            return answer.reasons
        found.append(answer)
    return min(found, key=lambda each: each.estimate.service_life_min)


def _what_ifs(
    cases: Sequence[Case], coldest_c: float, air: TaskAir, mask: Mask, agents: Sequence[Assessment]
) -> Iterable[WhatIf]:
    task = air.task

    def life(change: Callable[[Case], Case]) -> float | None:
        answer = _shorter([change(case) for case in cases], coldest_c)
        return answer.estimate.service_life_min if isinstance(answer, MixtureEstimate) else None

    yield WhatIf(said("10 °C hotter"), life(lambda case: replace(case, temperature_c=case.temperature_c + _WARMER_C)))
    highest = [level_ppm(agent) or 0.0 for agent in agents]
    if any(level > case.challenge_ppm * _HAIR for level, case in zip(highest, cases, strict=True)):
        worst = [replace(case, challenge_ppm=level) for level, case in zip(highest, cases, strict=True)]
        found = _shorter(worst, coldest_c)
        shortest = found.estimate.service_life_min if isinstance(found, MixtureEstimate) else None
        yield WhatIf(said("the highest levels found"), shortest)
    harder = task.model_copy(update={"effort": heavier(task.effort), "breathing": None}) if task.effort else None
    more = air_flow(air.rules.law, mask, harder) if harder else None
    if mask.mode is Mode.POWERED:
        blown = _MORE_AIR * cases[0].flow_l_min
        yield WhatIf(said("a quarter more flow from the blower"), life(lambda case: replace(case, flow_l_min=blown)))
    elif not breathes_by_effort(task):
        breathed = _MORE_AIR * cases[0].flow_l_min
        yield WhatIf(said("a quarter more air breathed"), life(lambda case: replace(case, flow_l_min=breathed)))
    elif more is not None and not isinstance(more, NotKnown):
        yield WhatIf(said("work one class harder"), life(lambda case: replace(case, flow_l_min=more.l_min)))
    damper = min(cases[0].relative_humidity_percent + _DAMPER, 100.0)
    yield WhatIf(said("20 % more humidity"), life(lambda case: replace(case, relative_humidity_percent=damper)))


def _curve(case: Case) -> tuple[tuple[float, float], ...]:
    """Return when which share of the challenge leaves the cartridge, as far as the model holds."""
    answers = (
        (share, service_life(replace(case, fraction=share, limit_ppm=None, safety_factor=1.0))) for share in _FRACTIONS
    )
    return tuple((answer.service_life_min, share) for share, answer in answers if isinstance(answer, Estimate))


# ---- words --------------------------------------------------------------------------------------------


def _what_if_words(what_if: WhatIf) -> str:
    if what_if.life_min is None:
        return said("With %(change)s the model gives no answer.", change=what_if.change)
    return said(
        "With %(change)s: %(life_min)s min.", change=what_if.change, life_min=number_text(what_if.life_min, "down")
    )


def _notes(answer: MixtureEstimate, names: tuple[str, ...], assumed: tuple[str, ...]) -> Iterable[str]:
    if len(names) > 1:
        yield said(
            "%(names)s together: %(governing)s comes through first.",
            names=said_join(names, ", "),
            governing=answer.governing,
        )
    if answer.estimate.criterion is Criterion.LIMIT:
        yield said("Breakthrough is reached when the exposure limit leaves the cartridge.")
    else:
        yield said("Breakthrough is reached when a tenth of the vapour leaves the cartridge.")
    if assumed:
        yield said("Assumed, since nobody stated it: %(assumed)s.", assumed=said_join(assumed, "; "))
