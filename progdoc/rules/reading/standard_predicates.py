"""Whether a rule of one substance standard can apply: its agent is in the air, or its table is the evidence.

Where nothing is said, the answer is no: other rules ask for the agent and for the evidence.
"""

from __future__ import annotations

from collections.abc import Callable

from progdoc.model.description.exposure_evidence import Smoke
from progdoc.model.description.special_work import BlastWork, SprayPlace
from progdoc.model.description.workplace import Industry
from progdoc.rules.air.asbestos import is_classed
from progdoc.rules.air.blasting import BlastMask, bars_dust_masks, blast_mask
from progdoc.rules.air.carcinogens import is_governed
from progdoc.rules.air.work_masks import asks_for_mask_at_spraying, is_fire_brigade, is_sprayed_upon
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.published import Limit
from progdoc.rules.lookup.substances import find_substance
from progdoc.rules.masks.standards import has_own_table
from progdoc.rules.requirement import Fact, Subject

__all__ = ["STANDARD_PREDICATES"]

_HAIR = 1.0 + 1e-9  # what binary arithmetic adds to a level just at its limit


def _evidence(kind: str) -> Callable[[Facts, Subject], Fact]:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        path = f"{subject.path}.exposure"
        return Fact(getattr(facts.value_at(path), "kind", "") == kind, (path,))

    return predicate


def _of_agents(test: Callable[[Assessment], bool]) -> Callable[[Facts, Subject], Fact]:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        agents = [
            agent for _, task in facts.relevant_to(subject).tasks for agent in facts.selection.air[task.id].agents
        ]
        return Fact(any(test(agent) for agent in agents), tuple(f"{agent.path}.agent" for agent in agents))

    return predicate


def _is_silica_outside_construction(agent: Assessment) -> bool:
    """Whether quartz or one of its kin is in the air: those that share its standard."""
    silica = find_substance("silica-crystalline")
    if agent.substance is None or silica is None or agent.task.industry is Industry.CONSTRUCTION:
        return False
    return agent.substance.standard_in(Industry.GENERAL) == silica.standard_in(Industry.GENERAL)


def _table_limit_passed(facts: Facts, subject: Subject) -> Fact:
    """A limit of the tables of air contaminants is passed (a standard has a rule of its own); open where unknown."""
    agents = [agent for _, task in facts.relevant_to(subject).tasks for agent in facts.selection.air[task.id].agents]
    unjudged = tuple(f"{agent.path}.exposure" for agent in agents if agent.is_unknown and _in_tables(agent))
    paths = tuple(f"{agent.path}.exposure" for agent in agents)
    if any(_passes_table(agent) for agent in agents):
        return Fact(True, paths)
    return Fact(None if unjudged else False, paths, unjudged)


def _in_tables(agent: Assessment) -> bool:
    return any(_is_of_tables(agent, limit) for limit in agent.limits)


def _passes_table(agent: Assessment) -> bool:
    return any(ratio.value > _HAIR and _is_of_tables(agent, ratio.limit) for ratio in agent.ratios)


def _is_of_tables(agent: Assessment, limit: Limit) -> bool:
    """Whether the law sets a limit, and no standard of the agent's own does; what a firm sets has no industry."""
    return bool(limit.industry) and agent.substance is not None and not agent.substance.standard_in(limit.industry)


def _in_smoke(facts: Facts, subject: Subject) -> Fact:
    """Whether a hazard, or one in the air of these tasks, is told as smoke of wildfires."""
    if subject.kind == "hazard":
        return _evidence("smoke")(facts, subject)
    airs = [facts.selection.air[task.id] for _, task in facts.relevant_to(subject).tasks]
    agents = [agent for air in airs for agent in air.agents]
    told = any(isinstance(agent.hazard.exposure, Smoke) for agent in agents)
    return Fact(told, tuple(f"{agent.path}.exposure" for agent in agents))


def _of_airs(field: str, test: Callable[[TaskAir], bool]) -> Callable[[Facts, Subject], Fact]:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        tasks = facts.relevant_to(subject).tasks
        return Fact(
            any(test(facts.selection.air[task.id]) for _, task in tasks), tuple(f"{path}.{field}" for path, _ in tasks)
        )

    return predicate


def _is_permit_space(air: TaskAir) -> bool:
    """Whether the space needs a permit, outside shipyards, which have rules of their own for it."""
    entry = air.task.entry
    return bool(air.task.confined_space and entry and entry.permit_required) and (
        air.task.industry is not Industry.SHIPYARD
    )


def _is_shipyard_space(air: TaskAir) -> bool:
    """Whether it is a confined space in a shipyard; where nobody says the industry, that is asked first."""
    return bool(air.task.confined_space) and air.task.industry is Industry.SHIPYARD


STANDARD_PREDICATES: dict[str, Callable[[Facts, Subject], Fact]] = {
    "silica-table-1-used": _evidence("silica-table-1"),
    "lead-task-used": _evidence("lead-task"),
    "table-limit-passed": _table_limit_passed,
    "butadiene-in-the-air": _of_agents(has_own_table),
    "carcinogen-of-the-13": _of_agents(lambda agent: is_governed(agent.hazard, agent.substance)),
    "silica-outside-construction": _of_agents(_is_silica_outside_construction),
    "wildfire-smoke": _in_smoke,
    "blasting": _of_airs("blasting", lambda air: air.task.blasting is not None),
    "blasting-clean-up": _of_airs(
        "blasting", lambda air: air.task.blasting is not None and air.task.blasting.work is BlastWork.CLEAN_UP
    ),
    "blasting-asks-for-helmet": _of_airs(
        "blasting", lambda air: blast_mask(air.task, air.agents) is BlastMask.BLASTING
    ),
    "blasting-bars-dust-masks": _of_airs(
        "blasting",
        lambda air: bars_dust_masks(air.task) and blast_mask(air.task, air.agents) is not BlastMask.BLASTING,
    ),
    "fire-brigade": _of_airs("structural_fire", lambda air: is_fire_brigade(air.task)),
    "level-of-protection": _of_airs("protection_level", lambda air: air.task.protection_level is not None),
    "shipyard-space": _of_airs("entry", _is_shipyard_space),
    "permit-space": _of_airs("entry", _is_permit_space),
    "spraying": _of_airs("spraying", lambda air: air.task.spraying is not None),
    "spraying-in-booth": _of_airs(
        "spraying", lambda air: air.task.spraying is not None and air.task.spraying.place is SprayPlace.BOOTH
    ),
    "spraying-downstream": _of_airs("spraying", lambda air: asks_for_mask_at_spraying(air.task)),
    "spraying-downstream-in-construction": _of_airs(
        "spraying", lambda air: is_sprayed_upon(air.task) and not asks_for_mask_at_spraying(air.task)
    ),
    "asbestos-classed": _of_agents(lambda agent: is_classed(agent.task, agent.substance)),
}
