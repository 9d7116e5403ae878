"""Whether it decides anything which industry a task belongs to; where it does, and nobody says, it is asked."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.said import said, said_join
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.published import Limit
from progdoc.rules.lookup.substances import limits_for
from progdoc.rules.requirement import Subject

__all__ = ["industry_said_where_it_decides"]

_OWN_SECTIONS = {
    "hot_work": said("hot work"),
    "blasting": said("abrasive blasting"),
    "spraying": said("spray finishing"),
    "confined_space": said("confined spaces"),
    "structural_fire": "fire-fighting",
    "protection_level": said("work at hazardous waste"),
}


def industry_said_where_it_decides(facts: Facts, subject: Subject) -> CheckResult:
    """The industry is said; or all three have the same limits and standards for everything in the air."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place = f"{path}.industry"
    if task.industry is not None:
        return CheckResult((place,), shown=(place,))
    agents = facts.selection.air[task.id].agents
    differs = tuple(dict.fromkeys(_what_differs(task, agents)))
    if differs:
        return CheckResult((place,), ((place, {"differs": said_join(differs, ", ")}),))
    return CheckResult(
        (place,), nothing=said("The limits of all three industries are the same for what is in this air.")
    )


def _what_differs(task: Task, agents: tuple[Assessment, ...]) -> Iterator[str]:
    if not agents:
        yield said("agents that nobody described yet")
    yield from (agent.hazard.agent for agent in agents if _differs(agent))
    yield from (words for name, words in _OWN_SECTIONS.items() if getattr(task, name))


def _differs(agent: Assessment) -> bool:
    """Whether limits or standards of an agent are not the same everywhere; what no table knows is the same."""
    substance = agent.substance
    if substance is None:
        return False
    form = agent.hazard.form.value if agent.hazard.form else ""
    bound = [
        ({_figure(limit) for limit in limits_for(substance, industry, form)}, substance.standard_in(industry))
        for industry in Industry
    ]
    return any(one != bound[0] for one in bound)


def _figure(limit: Limit) -> tuple[object, ...]:
    return limit.kind, limit.value, limit.formula, limit.unit, limit.fraction, limit.form, limit.minutes
