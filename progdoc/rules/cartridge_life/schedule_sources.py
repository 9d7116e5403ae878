"""What can tell how long a cartridge lasts in a task, each source with its number, or why it does not count.

A maker's or tested figure is carried over to our concentration, flow, damp and heat by published rules of
thumb. It counts only where it names every vapour in the air. A rule of a substance standard is a bound: it
shortens, and stands in for no data. Habit and smell give no number at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import fsum

from progdoc.calc.change_schedule import scaled_service_life_min
from progdoc.calc.service_life import humidity_factor
from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join, same
from progdoc.core.worked import Input, Rounding, Worked, followed
from progdoc.model.description.cartridge_data import ServiceData, StandardRule
from progdoc.model.description.masks import Filter, Mask
from progdoc.model.description.quantities import in_unit, unit_symbol
from progdoc.model.description.upkeep import Basis, Schedule
from progdoc.model.description.workplace import Task
from progdoc.rules.air.shift_levels import worked_minutes
from progdoc.rules.cartridge_life.life_estimate import gas_agents, level_ppm, load_notes, load_ppm
from progdoc.rules.cartridge_life.vapours import air_flow
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.cartridge_results import CartridgeLife, KnownLife, NotKnown
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.likely_figures import data_trouble
from progdoc.rules.lookup.standard_tables import butadiene_masks
from progdoc.rules.lookup.substances import find_substance
from progdoc.rules.masks.standards import standards_of

__all__ = ["data_life", "indicator_life", "model_life", "runs_by_indicator", "standard_bounds", "stated_bound"]

_HUMID_PERCENT, _DILUTE_PPM = 65.0, 200.0  # as in the model
_PER_DEGREE = 0.01  # our choice, no source: a hundredth of the life for each degree hotter than tested
_LEAST_OF_HEAT = 0.5
# Our choice, no source: twin cartridges of 80 g last some ten times as long as the one that is assumed where nobody
# describes the carbon. Whose are better still describes it, and then the model counts with that.
_FAR_ABOVE = 10.0
_RULES_OF_THUMB = said("rules of thumb of the AIHA (ch. 36), as quoted by the federal agency")


def _is_named(agent: Assessment, names: Iterable[str]) -> bool:
    for name in names:
        if name.casefold() == agent.hazard.agent.casefold():
            return True
        found = find_substance(name)
        if found is not None and agent.substance is not None and found.id == agent.substance.id:
            return True
    return False


def _unnamed(agents: Sequence[Assessment], names: Sequence[str]) -> str:
    return said_join((agent.hazard.agent for agent in agents if not _is_named(agent, names)), ", ")


# ---- maker's and test data ----------------------------------------------------------------------------


def data_life(data: ServiceData, path: str, air: TaskAir, mask: Mask, life: CartridgeLife) -> KnownLife:
    """Return a maker's or tested figure, carried over to the air of a task, and held against the model's estimate."""
    kind = Basis(data.kind)
    origin = data.source or said("no document is named")
    agents = gas_agents(air)

    def refused(why: str) -> KnownLife:
        return KnownLife(kind, origin, path, None, why)

    missing = _unnamed(agents, data.agents)
    if missing:
        return refused(said("it does not name %(missing)s", missing=missing))
    levels = [load_ppm(agent) for agent in agents]
    known = [level for level in levels if level is not None]
    if len(known) < len(levels) or not known or fsum(known) <= 0.0:
        return refused(said("how much is in our air is not known in ppm"))
    tested_ppm = in_limit_unit(data.concentration, "ppm", agents[0].substance if len(agents) == 1 else None)
    if not tested_ppm or data.life.value <= 0.0 or (data.flow is not None and data.flow.value <= 0.0):
        return refused(said("its concentration is not given in ppm, or a figure in it is zero"))
    if odd := data_trouble(data):
        return replace(refused(said("its figure can hardly be right: %(odd)s", odd=odd)), is_unlikely=True)
    flow = air_flow(air.rules.law, mask, air.task)
    tested_flow = in_unit(data.flow, "L/min") if data.flow else 0.0
    if isinstance(flow, NotKnown) and data.flow:
        return refused(flow.text)
    notes = [] if data.flow else [said("It names no flow; our effort may be harder than tested.")]
    ours_l_min = flow.l_min if not isinstance(flow, NotKnown) and tested_flow > 0.0 else 1.0
    moist, why = _moist(air.task, data, fsum(known))
    if why:
        return refused(why)
    hot = _hot(air.task, data)
    minutes = in_unit(data.life, "min")
    scaled = scaled_service_life_min(minutes, tested_ppm, tested_flow or 1.0, fsum(known), ours_l_min) * moist * hot
    if life.estimate is not None and scaled > _FAR_ABOVE * life.estimate.reached_min:
        times = int(scaled / life.estimate.reached_min) if life.estimate.reached_min > 0.0 else 0
        told = said(
            "its %(scaled)s h are %(times)s times what the published model makes of it",
            scaled=number_text(scaled / 60.0, "down"),
            times=times,
        )
        return replace(
            refused(said("%(told)s, and nobody describes a carbon that is so much better", told=told)), is_unlikely=True
        )
    inputs = [
        Input(said("service life found"), minutes, "min", f"`{path}.life`", Rounding.DOWN),
        Input(said("humidity"), moist, "", said("factor; 1 where our air is no damper than tested")),
        Input(
            said("heat"), hot, "", said("factor; a hundredth less for each degree hotter than tested (ours, no source)")
        ),
        Input(said("concentration in the test"), tested_ppm, "ppm", f"`{path}.concentration`", Rounding.DOWN),
        Input(
            said("our concentration"),
            fsum(known),
            "ppm",
            said("all agents, average while the task is done"),
            Rounding.UP,
        ),
    ]
    if tested_flow and not isinstance(flow, NotKnown):
        inputs.append(Input(said("flow in the test"), tested_flow, "L/min", f"`{path}.flow`", Rounding.DOWN))
        inputs.append(Input(said("our flow"), ours_l_min, "L/min", flow.origin, Rounding.UP))
    worked = Worked(
        id=f"tasks.{air.task.id}.masks.{mask.id}.{path.replace('[', '-').replace(']', '')}",
        name=said("Service life of %(origin)s, carried over to “%(task)s”", origin=origin, task=air.task.name),
        value=scaled,
        unit="min",
        formula=_carried_over(tested_ppm < fsum(known), 0.0 < tested_flow < ours_l_min),
        inputs=tuple(inputs),
        citation=said("%(cited)s; %(rules_of_thumb)s", cited=cited("change-schedule"), rules_of_thumb=_RULES_OF_THUMB),
        rounding=Rounding.DOWN,
        notes=(*notes, *load_notes(agents)),
    )
    worked = followed(worked, _life_here)
    return KnownLife(kind, origin, path, scaled, notes=tuple(notes), worked=worked)


def _carried_over(is_stronger: bool, is_faster: bool) -> str:
    """Return the formula; less vapour or flow than tested adds nothing, so it does not enter."""
    parts = [said("service life found × humidity × heat")]
    parts += [said("concentration in the test ÷ our concentration")] if is_stronger else []
    parts += [said("flow in the test ÷ our flow")] if is_faster else []
    return said("life here = %(parts)s", parts=said_join(parts, " × "))


def _life_here(numbers: Sequence[float]) -> float:
    life, moist, hot, *pairs = numbers
    for tested, ours in zip(pairs[::2], pairs[1::2], strict=True):
        life *= min(tested / ours, 1.0)
    return life * moist * hot


def _moist(task: Task, data: ServiceData, ppm: float) -> tuple[float, str]:
    """Return what damper air than tested leaves of a life, or why nobody can tell."""
    tested = data.humidity.value if data.humidity else 50.0
    if task.humidity_high is None:
        return 1.0, said("nobody says how damp our air gets")
    ours = task.humidity_high.value
    if ours > max(tested, _HUMID_PERCENT) and ppm < _DILUTE_PPM:
        return (
            1.0,
            said(
                "our air is damper than tested, and thin vapour then lasts less than rules of thumb say (%(ours)s %%)",
                ours=same(f"{ours:g}"),
            ),
        )
    return min(1.0, humidity_factor(ours) / humidity_factor(tested)), ""


def _hot(task: Task, data: ServiceData) -> float:
    if data.temperature is None or task.temperature_high is None:
        return 1.0
    hotter = in_unit(task.temperature_high, "C") - in_unit(data.temperature, "C")
    return max(_LEAST_OF_HEAT, 1.0 - _PER_DEGREE * max(hotter, 0.0))


# ---- the other sources --------------------------------------------------------------------------------


def indicator_life(part: Filter, path: str, air: TaskAir) -> KnownLife | None:
    """Return the cartridge's indicator as a source without a number; None where it has none."""
    if not part.esli_for:
        return None
    missing = _unnamed(gas_agents(air), part.esli_for)
    why = said("it is not approved for %(missing)s", missing=missing) if missing else ""
    if not part.esli_suits:
        why = said("nobody says that it suits the work here")
    return KnownLife(
        Basis.INDICATOR,
        said("indicator for %(esli_for)s", esli_for=said_join(part.esli_for, ", ")),
        f"{path}.esli_for",
        None,
        why,
    )


def runs_by_indicator(plan: Schedule, sources: Iterable[KnownLife]) -> bool:
    """Return whether a schedule needs no hours: an indicator that covers this air says when, and no standard bounds it.

    An indicator is one of the two answers of 1910.134(d)(3)(iii)(B); the hours belong to the other.
    """
    declares = Basis.INDICATOR in {plan.basis, *(Basis(source.kind) for source in plan.sources)}
    counting = [source for source in sources if source.counts]
    is_covered = any(source.kind is Basis.INDICATOR for source in counting)
    return declares and is_covered and not any(source.is_bound for source in counting)


def model_life(life: CartridgeLife, path: str, is_relied_on: bool) -> KnownLife:
    """Return the model's estimate; on assumed carbon it only stands beside other data, unless it is relied on."""
    if life.estimate is None:
        why = said_join((refusal.text for refusal in life.refused), "; ") or said("there is no vapour to compute with")
        is_unlikely = any(refusal.is_unlikely for refusal in life.refused)
        origin, told = said("Wheeler–Jonas equation"), said("it gives no figure: %(why)s", why=why)
        return KnownLife(Basis.MODEL, origin, path, None, told, is_unlikely=is_unlikely)
    why = (
        ""
        if is_relied_on or not life.assumed
        else said(
            "carbon data are assumed, so its %(life)s min are for comparison only",
            life=number_text(life.estimate.service_life_min, "down"),
        )
    )
    origin = said("Wheeler–Jonas equation")
    return KnownLife(Basis.MODEL, origin, path, life.life_min, why, worked=life.worked)


def standard_bounds(air: TaskAir, mask: Mask) -> tuple[KnownLife, ...]:
    """Return the upper bounds that substance standards set for the vapours in the air."""
    found: dict[str, KnownLife] = {}
    for agent in gas_agents(air):
        for rule in standards_of(agent, air.task):
            origin = f"{rule.standard}{rule.respirator_paragraph}"
            if rule.has_shift_change:
                words = said(
                    "%(origin)s: %(agent)s, changed every shift at the latest", origin=origin, agent=agent.hazard.agent
                )
                minutes = worked_minutes(air.task)
                found[words] = KnownLife(Basis.STANDARD, words, agent.path, minutes, is_bound=True)
        if agent.substance is not None and agent.substance.id == "1-3-butadiene":
            hours = _butadiene_hours(level_ppm(agent), mask)
            if hours is not None:
                words = said(
                    "%(cited)s: %(agent)s, %(hours)s h",
                    cited=cited("butadiene-changes"),
                    agent=agent.hazard.agent,
                    hours=number_text(hours),
                )
                found[words] = KnownLife(Basis.STANDARD, words, agent.path, hours * 60.0, is_bound=True)
    return tuple(found.values())


def _butadiene_hours(ppm: float | None, mask: Mask) -> float | None:
    """Return the hours of the first line that reaches the level; without a level, the strictest line."""
    hours = [
        (row.up_to_ppm, row.change_every_h)
        for row in butadiene_masks()
        if row.mode == mask.mode and row.change_every_h is not None and row.up_to_ppm is not None
    ]
    fitting = [h for most, h in hours if ppm is not None and most is not None and ppm <= most]
    return max(fitting) if fitting else min((h for _, h in hours), default=None)


def stated_bound(rule: StandardRule, path: str) -> KnownLife | None:
    """Return the time that the description says a standard allows."""
    if rule.most is None or rule.most.value <= 0.0:
        return None
    words = said(
        "%(paragraph)s: %(most)s %(unit)s",
        paragraph=rule.paragraph or "a substance standard",
        most=same(f"{rule.most.value:g}"),
        unit=unit_symbol(rule.most.unit),
    )
    return KnownLife(Basis.STANDARD, words, path, in_unit(rule.most, "min"), is_bound=True)
