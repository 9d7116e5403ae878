"""Facts that no verdict carries and that papers print all the same: of masks, filters, protocols and tasks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.model.description.emergency_plans import Foreseeable
from progdoc.model.description.masks import Filter, Mask
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task, Use
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import pass_level, pass_level_name
from progdoc.rules.in_force.rule_set import policies_that_tighten
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.judged.published import FitProtocol
from progdoc.rules.judged.record_results import NamedProtocol, ParticleFilter, TestedMask
from progdoc.rules.lookup.cartridges import is_gas_cartridge
from progdoc.rules.lookup.facepieces import is_tight_fitting
from progdoc.rules.lookup.fit_protocols import fit_protocol
from progdoc.rules.lookup.law_tables import filter_class
from progdoc.rules.lookup.substances import is_named
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.reading.mask_predicates import is_dust_mask

__all__ = [
    "emergencies_at",
    "evaluated_tasks",
    "filter_colours",
    "gas_cartridges",
    "loose_fitting",
    "named_protocols",
    "particle_filters",
]


def loose_fitting(facts: Facts) -> frozenset[str]:
    """Return the masks that are known not to seal to the face."""
    return frozenset(mask.id for _, mask in facts.masks.values() if is_tight_fitting(mask) is False)


def evaluated_tasks(facts: Facts) -> frozenset[str]:
    """Return the tasks that call for a medical evaluation: dust masks worn by choice are free of it."""
    return frozenset(
        task.id for _, task in facts.our_tasks if facts.is_worn(task) or _is_beyond_dust_masks(facts, task)
    )


def _is_beyond_dust_masks(facts: Facts, task: Task) -> bool:
    return task.use is Use.VOLUNTARY and any(not is_dust_mask(mask) for _, mask in facts.masks_of(task))


def emergencies_at(facts: Facts) -> dict[str, tuple[tuple[str, Foreseeable], ...]]:
    """Return by task what may happen there, each with its place.

    An emergency that names no task may happen where one of its agents is in the air, or anywhere if it names none.
    """
    foreseeable = facts.description.procedures.emergencies.foreseeable
    placed = [(f"procedures.emergencies.foreseeable[{i}]", one) for i, one in enumerate(foreseeable)]
    return {
        task: tuple((path, one) for path, one in placed if (task in one.tasks if one.tasks else _is_in(air, one)))
        for task, air in facts.selection.air.items()
    }


def _is_in(air: TaskAir, emergency: Foreseeable) -> bool:
    names = emergency.agents
    return not names or any(is_named(names, agent.hazard.agent, agent.substance) for agent in air.agents)


def gas_cartridges(facts: Facts) -> frozenset[str]:
    """Return the filters that stop gas or vapour."""
    return frozenset(part.id for _, part in facts.filters.values() if is_gas_cartridge(part))


def filter_colours(facts: Facts) -> dict[str, tuple[str, ...]]:
    """Return by filter the colours by which it is told apart, as far as they are known; its label has the last word.

    Magenta against particles is 42 CFR 84.179(b); how sure the colours of gases are says the table that has them.
    """
    found = {part.id: tuple(_colours(part)) for _, part in facts.filters.values()}
    return {name: colours for name, colours in found.items() if colours}


def _colours(part: Filter) -> Iterator[str]:
    against_gas = [one for one in table_entries("cartridge_colours", "colours") if one["gases"]]
    coloured = [str(one["colour"]) for one in against_gas if set(map(str, one["gases"])) == set(part.gases)]
    if part.gases and not coloured:  # a part of what it says would be a wrong colour
        return
    yield from coloured
    known = filter_class(part.particulate.value) if part.particulate else None
    if known is not None and known.is_magenta:
        yield "magenta"


def particle_filters(facts: Facts) -> tuple[ParticleFilter, ...]:
    """Return every particle filter whose class is known, first the fitted ones, then those built in."""
    return tuple(_particle_filters(facts))


def _particle_filters(facts: Facts) -> Iterator[ParticleFilter]:
    for path, part in facts.filters.values():
        if part.particulate and (found := filter_class(part.particulate.value)):
            yield ParticleFilter(f"filters.{part.id}", label_of(part), f"{path}.particulate", found)
    for path, mask in facts.masks.values():
        if mask.built_in_filter and (found := filter_class(mask.built_in_filter.value)):
            yield ParticleFilter(f"masks.{mask.id}", label_of(mask), f"{path}.built_in_filter", found)


# ---- fit test protocols -------------------------------------------------------------------------------


def named_protocols(facts: Facts) -> tuple[NamedProtocol, ...]:
    """Return the accepted protocols that the program names, in its order, with the masks each may test."""
    needed = _worn_or_kept(facts)
    named = enumerate(facts.description.procedures.fit_testing.protocols)
    return tuple(
        NamedProtocol(f"procedures.fit_testing.protocols[{i}]", protocol, _tested(facts, needed, protocol))
        for i, name in named
        if (protocol := fit_protocol(name)) is not None
    )


def _worn_or_kept(facts: Facts) -> tuple[Mask, ...]:
    """Return the masks that must be worn, or are kept for an emergency or an escape."""
    worn = {use.mask for _, task in facts.our_tasks if facts.is_worn(task) for use in task.masks}
    return tuple(mask for _, mask in facts.masks.values() if mask.id in worn or facts.is_kept(mask))


def _tested(facts: Facts, masks: Iterable[Mask], protocol: FitProtocol) -> tuple[TestedMask, ...]:
    """Return the masks that a protocol may test: every kind that it names seals to the face."""
    return tuple(_tested_mask(facts, mask) for mask in masks if mask.facepiece in protocol.facepieces)


def _tested_mask(facts: Facts, mask: Mask) -> TestedMask:
    """Return a mask with what passes wherever it is worn, whoever wears it, and the policies that ask some for more."""
    tasks = facts.tasks_around(mask)
    required = [task for task in tasks if facts.is_worn(task)] or tasks  # of choice nobody has to be tested
    levels = [pass_level(facts.rules_of_crews, mask, (task,)) for task in required]
    usual = min(levels, key=lambda level: level.number) if levels else pass_level(facts.rules, mask, ())
    asking = policies_that_tighten(facts.rules, pass_level_name(mask), tasks, (mask,))
    return TestedMask(mask, usual, tuple(one for one in asking if one[1].number > usual.number))
