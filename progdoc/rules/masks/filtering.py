"""What passes the filters of a mask: gas, vapour, particles and oil that they do not stop, or are not shown to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from progdoc.core.said import said, said_join
from progdoc.model.description.hazards import Form
from progdoc.model.description.masks import Facepiece, Filter, Gas, Mask, Mount
from progdoc.model.description.words import label_of
from progdoc.rules.air.task_air import mixture_ratios
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.mask_results import Credit
from progdoc.rules.lookup.cartridges import bounds_of, is_approved_for, is_gas_cartridge, needed_cartridge
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.facepieces import purifies
from progdoc.rules.lookup.oils import is_oil
from progdoc.rules.masks.standards import particle_filters
from progdoc.rules.reasons import Reason

__all__ = ["against_form", "let_through"]

_MISTS = (Form.MIST, Form.MIST_AND_VAPOUR)
_CANISTERS = (Mount.CHIN_CANISTER, Mount.FRONT_OR_BACK_CANISTER)
_HAIR = 1.0 + 1e-9


def let_through(air: TaskAir, mask: Mask, fitted: list[Filter], path: str) -> dict[str, list[Reason]]:
    """Return the hazards that the filters of a mask do not stop, or are not shown to, whatever their level, and why."""
    if not purifies(mask):
        return {}
    stopped_by = particle_filters(mask, fitted)
    gas_parts = [part for part in fitted if is_gas_cartridge(part)]
    passing: dict[str, list[Reason]] = {}
    for agent in air.agents:
        words = {"agent": agent.hazard.agent}
        found = [Reason("SEL-007", path, words)] if agent.is_particle and not stopped_by else []
        found += _against_gas(agent, gas_parts, mask, path, words) if agent.is_gas else []
        found = found or _unlike(agent, gas_parts if agent.is_gas else fitted, path)
        if found:
            passing[agent.hazard.id] = found
    return passing


def against_form(
    air: TaskAir,
    mask: Mask,
    fitted: list[Filter],
    credit: Credit,
    passing: Mapping[str, list[Reason]],
    path: str,
) -> Iterator[Reason]:
    """Name what passes the filters, where that agent is over its limit or the air behind the mask would be."""
    if not purifies(mask) or not (air.needs_mask or air.is_asked_for):
        return
    series = [part.value for part in particle_filters(mask, fitted) if part.value.startswith("N")]
    for agent in air.agents if series else ():
        words = {"agent": agent.hazard.agent}
        if agent.hazard.oil or is_oil(agent.hazard, agent.substance):
            yield Reason("SEL-008", path, {**words, "filter": said_join(series, ", ")})
        elif agent.hazard.oil is None and agent.hazard.form in _MISTS:
            because = said(
                "nobody says whether the mist of %(agent)s is oil, which filter %(series)s cannot stand",
                agent=agent.hazard.agent,
                series=series[0],
            )
            yield Reason("SEL-018", path, {"because": because})
    is_mixture_left = _behind_mask(air, set(passing), credit.apf or 1.0) > _HAIR
    summed = mixture_ratios(air.agents)
    for agent in air.agents:
        in_mixture = is_mixture_left and agent.name in summed
        counts = air.is_asked_for or in_mixture or agent.is_over_limit or agent.undetermined
        yield from passing.get(agent.hazard.id, ()) if counts else ()


def _behind_mask(air: TaskAir, passing: set[str], apf: float) -> float:
    """Return the mixture sum behind a mask: agents it stops divided by its factor, the others in full."""
    total: dict[str, float] = {}
    for agent in air.agents:
        for ratio in mixture_ratios((agent,)).values():
            behind = ratio if agent.hazard.id in passing else ratio / apf
            total[agent.name] = max(total.get(agent.name, 0.0), behind)
    return sum(total[name] for name in sorted(total)) if len(total) > 1 else 0.0


def _against_gas(
    agent: Assessment, gas_parts: list[Filter], mask: Mask, path: str, words: dict[str, str]
) -> list[Reason]:
    barred = agent.substance.air_purifying_barred_by if agent.substance else ""
    if barred:
        return [Reason("SEL-012", path, {**words, "standard": barred})]
    if not gas_parts:
        return [Reason("SEL-006", path, words)]
    named = {**words, "cartridge": said_join(map(label_of, gas_parts), ", ")}
    answers = [is_approved_for(part, agent.hazard.agent, agent.substance) for part in gas_parts]
    if not any(answers):
        return [Reason("SEL-011" if None in answers else "SEL-009", path, named)]
    if agent.substance and needed_cartridge(agent.substance) == Gas.CARBON_MONOXIDE.value:
        stopping = [part for part, answer in zip(gas_parts, answers, strict=True) if answer]
        if mask.facepiece is not Facepiece.FULL_FACEPIECE or not any(part.mount in _CANISTERS for part in stopping):
            return [Reason("SEL-028", path, named)]
    return []


def _unlike(agent: Assessment, parts: list[Filter], path: str) -> list[Reason]:
    """Name a bound of the maker's that cannot be held against the level."""
    if agent.during_task is None or all(
        in_limit_unit(most, agent.unit, agent.substance) is not None
        for part in parts
        for most, _ in bounds_of(part, agent.hazard.agent, agent.substance, is_gas=agent.is_gas)
    ):
        return []
    because = said(
        "the limit of its filter or cartridge cannot be compared with the level of %(agent)s", agent=agent.hazard.agent
    )
    return [Reason("SEL-018", path, {"because": because})]
