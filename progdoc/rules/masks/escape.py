"""Masks that hang at hand for getting out: what the standards ask for in the air of a task, and what is there.

An escape mask is carried, never worn at work, so that it has no protection factor here. What counts is its kind,
which a standard may set, and that it is approved for escape from that very air, 29 CFR 1910.134(d)(2)(ii).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from progdoc.calc.oxygen import OxygenCase
from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join
from progdoc.model.description.masks import Filter, Gas, Mask, Mode
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import DoneBy
from progdoc.rules.in_force.figures import charge_needed
from progdoc.rules.in_force.rule_set import RuleSet
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.mask_results import Escape, EscapeDuty, EscapeMask
from progdoc.rules.judged.published import EscapeKind
from progdoc.rules.lookup.cartridges import is_approved_for
from progdoc.rules.lookup.escape_masks import escape_kinds
from progdoc.rules.lookup.facepieces import SCBA
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.lookup.substances import is_named
from progdoc.rules.lookup.unit_state import UnitState, best_state
from progdoc.rules.lookup.withdrawal import is_withdrawn

__all__ = ["escape_from"]


def escape_from(air: TaskAir, rules: RuleSet, as_of: date) -> Escape:
    """Return how people get out of the air of a task, if something goes wrong in it."""
    task, program = air.task, rules.program
    if task.done_by is not DoneBy.OUR_PEOPLE:
        return Escape()
    masks = {mask.id: mask for mask in program.masks}
    fitting = {mask.id: tuple(part for part in program.filters if part.id in mask.filters) for mask in program.masks}
    named = [(f"{air.path}.escape_masks[{i}]", masks[mask]) for i, mask in enumerate(task.escape_masks)]
    here = [one for one in program.procedures.emergencies.foreseeable if not one.tasks or task.id in one.tasks]
    foreseen = [agent for emergency in here for agent in emergency.agents]
    is_all_its_air = any(task.id in one.tasks and not one.agents for one in here)
    spilled = [a for a in air.agents if is_all_its_air or is_named(foreseen, a.hazard.agent, a.substance)]
    asked = [agent for agent in air.agents if _kinds(agent, air) and (agent in spilled or _calls_for_one(agent, air))]
    states = {mask.id: best_state(mask, as_of, charge_needed(rules, mask)) for _, mask in named}
    usable = [mask for _, mask in named if not is_withdrawn(mask, as_of) and states[mask.id] is UnitState.SOUND]
    # Dust is walked out of; what a gas mask has to be approved for is what a standard or a spill may make people flee.
    fled = [agent for agent in air.agents if agent in asked or (agent in spilled and agent.is_gas)]
    return Escape(
        duties=tuple(_duty(agent, air, usable, fitting) for agent in asked),
        masks=tuple(
            _at_hand(
                air,
                path,
                mask,
                fitting[mask.id],
                fled,
                (*_troubles(air, mask, fled, as_of), *_defects(states[mask.id])),
            )
            for path, mask in named
        ),
    )


def _calls_for_one(agent: Assessment, air: TaskAir) -> bool:
    """The standards provide for escape where they want a mask worn: over a limit, and in emergencies."""
    return agent.is_over_limit or agent.is_unknown or bool(agent.undetermined) or air.task.emergency_only


def _kinds(agent: Assessment, air: TaskAir) -> tuple[EscapeKind, ...]:
    """Return the kinds that the standard of an agent lists; of several industries those of the first that lists any."""
    if agent.substance is None:
        return ()
    of_each = (escape_kinds(agent.substance.id, industry) for industry in industries_of(air.task))
    return next(filter(None, of_each), ())


def _duty(agent: Assessment, air: TaskAir, usable: list[Mask], fitting: Mapping[str, tuple[Filter, ...]]) -> EscapeDuty:
    kinds = _kinds(agent, air)
    served_by = tuple(mask.id for mask in usable if any(_is_of(kind, mask, fitting[mask.id], agent) for kind in kinds))
    return EscapeDuty(agent.hazard.agent, agent.path, kinds, served_by)


def _is_of(kind: EscapeKind, mask: Mask, parts: tuple[Filter, ...], agent: Assessment) -> bool:
    if mask.mode not in kind.modes or (kind.facepieces and mask.facepiece not in kind.facepieces):
        return False
    return not (kind.canister and parts) or any(_holds(kind.canister, part, agent) for part in parts)


def _holds(canister: str, part: Filter, agent: Assessment) -> bool:
    """Whether a canister is of the class that a standard names, or its label names the agent."""
    of_class = {gas.value for gas in part.gases} & {canister, Gas.MULTI_GAS.value}
    return bool(of_class) or is_named(part.agents, agent.hazard.agent, agent.substance)


def _at_hand(
    air: TaskAir, path: str, mask: Mask, parts: tuple[Filter, ...], fled: list[Assessment], known: tuple[str, ...]
) -> EscapeMask:
    troubles = (*known, *_canisters(air, mask, parts, fled))
    is_silent = not mask.escape_from and troubles == (_SILENT,)
    return EscapeMask(mask, path, said_join(troubles, "; "), is_silent)


def _defects(best: UnitState) -> Iterator[str]:
    if best is UnitState.UNSAID:
        yield said("nobody says of any single one whether its last inspection left it serviceable")
    elif best is not UnitState.SOUND:
        yield said("the last inspection of every single one found a defect, and no repair is told")


def _canisters(air: TaskAir, mask: Mask, parts: tuple[Filter, ...], fled: list[Assessment]) -> Iterator[str]:
    """Say which canister lets through what people flee from; of a mask without described ones nothing is known."""
    if mask.mode not in (Mode.AIR_PURIFYING, Mode.POWERED):
        return
    for agent in fled:
        if not agent.is_gas or not parts or any(kind.canister for kind in _kinds(agent, air)):
            continue  # the standard names the class itself
        if all(is_approved_for(part, agent.hazard.agent, agent.substance) is False for part in parts):
            yield said(
                "what fits it, %(parts)s, lets %(agent)s through",
                parts=said_join(map(label_of, parts), ", "),
                agent=agent.hazard.agent,
            )


_SILENT = said("nobody says from which agents its approval lets people escape")


def _troubles(air: TaskAir, mask: Mask, fled: list[Assessment], as_of: date) -> Iterator[str]:
    """Say why nobody gets out of an air in a mask; one that brings its own serves in any, if it names no others."""
    if mask.withdrawn is not None and is_withdrawn(mask, as_of):
        yield said("it is withdrawn since %(since)s", since=long_date(mask.withdrawn.since))
    brings_air = mask.mode in SCBA or mask.auxiliary_air
    if brings_air and not mask.escape_from:
        return
    if air.oxygen in (OxygenCase.EXCEPTION, OxygenCase.IDLH) and mask.mode in (Mode.AIR_PURIFYING, Mode.POWERED, None):
        yield said("it cleans air and adds no oxygen, and oxygen may run short here")
    if not mask.escape_from:
        yield _SILENT
        return
    missed = [a.hazard.agent for a in fled if not is_named(mask.escape_from, a.hazard.agent, a.substance)]
    is_for_any = any(is_named(mask.escape_from, a.hazard.agent, a.substance) for a in air.agents)
    if not fled and air.agents and not is_for_any:
        missed = [a.hazard.agent for a in air.agents]
    if missed:
        named = said_join(mask.escape_from, ", ")
        yield said(
            "its approval is for escape from %(named)s, and the air here holds %(missed)s",
            named=named,
            missed=said_join(dict.fromkeys(missed), ", "),
        )
