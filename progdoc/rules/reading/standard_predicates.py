"""Whether a rule of one substance standard can apply: its agent is in the air, or its table is the evidence.

Where nothing is said, the answer is no: other rules ask for the agent and for the evidence.
"""

from __future__ import annotations

from collections.abc import Callable

from progdoc.rules.air.asbestos import is_classed
from progdoc.rules.air.carcinogens import is_governed
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.published import Limit
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


STANDARD_PREDICATES: dict[str, Callable[[Facts, Subject], Fact]] = {
    "silica-table-1-used": _evidence("silica-table-1"),
    "lead-task-used": _evidence("lead-task"),
    "table-limit-passed": _table_limit_passed,
    "butadiene-in-the-air": _of_agents(has_own_table),
    "carcinogen-of-the-13": _of_agents(lambda agent: is_governed(agent.hazard, agent.substance)),
    "asbestos-classed": _of_agents(lambda agent: is_classed(agent.task, agent.substance)),
}
