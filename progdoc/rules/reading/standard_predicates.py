"""Whether a rule of one substance standard can apply: its agent is in the air, or its table is the evidence.

Where nothing is said, the answer is no: other rules ask for the agent and for the evidence.
"""

from __future__ import annotations

from collections.abc import Callable

from progdoc.rules.air.asbestos import is_classed
from progdoc.rules.air.carcinogens import is_governed
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.masks.standards import has_own_table
from progdoc.rules.requirement import Fact, Subject

__all__ = ["STANDARD_PREDICATES"]


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


STANDARD_PREDICATES: dict[str, Callable[[Facts, Subject], Fact]] = {
    "silica-table-1-used": _evidence("silica-table-1"),
    "lead-task-used": _evidence("lead-task"),
    "butadiene-in-the-air": _of_agents(has_own_table),
    "carcinogen-of-the-13": _of_agents(lambda agent: is_governed(agent.hazard, agent.substance)),
    "asbestos-classed": _of_agents(lambda agent: is_classed(agent.task, agent.substance)),
}
