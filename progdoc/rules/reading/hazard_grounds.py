"""On what a duty about one agent in the air rests, when nothing is found against it: stated facts, or nothing.

Each ground answers with the facts that are there, with what nobody said, or with why there is nothing to judge.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from progdoc.core.said import said
from progdoc.model.description.exposure_evidence import (
    Estimate,
    Judgment,
    LeadTask,
    ObjectiveData,
    Samples,
    SilicaTable1,
    Smoke,
    Unknown,
)
from progdoc.model.description.hazards import OwnLimit
from progdoc.model.description.workplace import Task
from progdoc.rules.air.asbestos import is_classed
from progdoc.rules.air.carcinogens import is_governed
from progdoc.rules.air.environmental import environmental_rule
from progdoc.rules.air.floors import is_lead_in_construction
from progdoc.rules.air.monitoring import monitoring_cycles, recalled_monitoring
from progdoc.rules.air.same_day import groups_of_one_day, met_by_the_same
from progdoc.rules.air.saturation import VAPOURS
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import evidence_cycles
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.lookup.answers_said import is_declared_unknown
from progdoc.rules.lookup.oils import is_oil
from progdoc.rules.outcome import Outcome
from progdoc.rules.requirement import Subject
from progdoc.rules.subjects import PROGRAM

__all__ = ["HAZARD_GROUNDS", "Ground"]

Ground = Callable[[Facts, Subject], Outcome]
_OF_DAYS = (Samples, ObjectiveData, Estimate, Judgment, SilicaTable1, Smoke)


def _of_agent(ground: Callable[[Assessment], Outcome]) -> Ground:
    def found(facts: Facts, subject: Subject) -> Outcome:
        task, hazard = (name.partition(".")[2] for name in subject.ids)
        agents = facts.selection.air[task].agents
        return ground(next(agent for agent in agents if agent.hazard.id == hazard))

    return found


def _exposure(agent: Assessment) -> Outcome:
    """The evidence, of whatever kind; until somebody has judged the air, nothing about it is shown."""
    path = f"{agent.path}.exposure"
    if is_declared_unknown(agent.hazard.exposure):
        return Outcome(shown=(f"{path}.because",), read=(path,))
    if isinstance(agent.hazard.exposure, Unknown | None):
        return Outcome(ask=(path,), read=(path,))
    return Outcome(shown=(path,), read=(path,))


def _of_kind(kinds: tuple[type, ...], nothing: str) -> Ground:
    def ground(agent: Assessment) -> Outcome:
        if isinstance(agent.hazard.exposure, (Unknown, type(None), *kinds)):
            return _exposure(agent)
        return Outcome(nothing=nothing, read=(f"{agent.path}.exposure",))

    return _of_agent(ground)


def _form(agent: Assessment) -> Outcome:
    path = f"{agent.path}.form"
    return Outcome(shown=(path,), read=(path,)) if agent.hazard.form else Outcome(ask=(path,), read=(path,))


def _legal_limit(agent: Assessment) -> Outcome:
    if agent.limits or isinstance(agent.hazard.limit, OwnLimit):
        return Outcome(shown=(f"{agent.path}.agent",))
    return Outcome(nothing=said("No limit is published for this agent."), read=(f"{agent.path}.limit",))


def _no_legal_limit(agent: Assessment) -> Outcome:
    if agent.limits:
        return Outcome(nothing=said("A limit is published for this agent."), read=(f"{agent.path}.agent",))
    path = f"{agent.path}.limit"
    return Outcome(ask=(path,)) if agent.hazard.limit is None else Outcome(shown=(path,))


def _limit_said(agent: Assessment) -> Outcome:
    """A published limit under the agent's name, or what the firm says of one."""
    own = agent.hazard.limit is not None
    return Outcome(shown=(f"{agent.path}.{'limit' if own else 'agent'}",))


def _limit_looked_up(agent: Assessment) -> Outcome:
    """What shows that the law has no limit for an agent that no table knows."""
    if agent.hazard.limit is None or agent.substance is not None:
        return Outcome(
            nothing=said("A table knows this agent, or it is asked which limit holds."), read=(f"{agent.path}.agent",)
        )
    shown = (f"{agent.path}.law_looked_up", f"{agent.path}.looked_up_as")
    return Outcome(shown=shown, read=(f"{agent.path}.agent", f"{agent.path}.limit"))


def _own_limit(agent: Assessment) -> Outcome:
    path = f"{agent.path}.limit"
    if isinstance(agent.hazard.limit, OwnLimit):
        return Outcome(shown=(f"{path}.value",), read=(path,))
    return Outcome(nothing=said("The firm sets no limit of its own for this agent."), read=(path,))


def _short_limit(agent: Assessment) -> Outcome:
    long = (LimitKind.TWA, LimitKind.ACTION_LEVEL)
    if any(limit.kind not in long for limit in agent.limits):
        return _exposure(agent)
    return Outcome(nothing=said("This agent has no short-term, ceiling or peak limit."), read=(f"{agent.path}.agent",))


def _peak_limit(agent: Assessment) -> Outcome:
    path = f"{agent.path}.peaks"
    if not any(limit.kind is LimitKind.PEAK for limit in agent.limits):
        return Outcome(nothing=said("This agent has no acceptable ceiling with peaks."), read=(f"{agent.path}.agent",))
    return Outcome(shown=(path,), read=(path,)) if agent.hazard.peaks else _exposure(agent)


def _vapour_alone(agent: Assessment) -> Outcome:
    path = f"{agent.path}.form"
    if agent.hazard.form is not None and agent.hazard.form not in VAPOURS:
        return Outcome(nothing=said("It is not described as vapour alone."), read=(path,))
    return _form(agent) if agent.hazard.exposure is None else _exposure(agent)


def _lead_assessed(agent: Assessment) -> Outcome:
    path = f"{agent.path}.exposure"
    if not is_lead_in_construction(agent.task, agent.substance):
        return Outcome(nothing=said("It is not lead in construction."), read=(f"{agent.path}.agent",))
    if isinstance(agent.hazard.exposure, Estimate | Judgment | SilicaTable1 | Smoke):
        return Outcome(nothing=said("No level is assumed by the law's list of lead tasks."), read=(path,))
    return _exposure(agent)


def _oil(agent: Assessment) -> Outcome:
    path = f"{agent.path}.oil"
    if not is_oil(agent.hazard, agent.substance):
        return Outcome(nothing=said("Nothing tells that it is oil by itself."), read=(f"{agent.path}.agent",))
    return Outcome(
        ask=(path,) if agent.hazard.oil is None else (), shown=(path,) if agent.hazard.oil else (), read=(path,)
    )


def _has_fractions(agent: Assessment) -> Outcome:
    if agent.hazard.form in VAPOURS:
        return Outcome(nothing=said("Gas and vapour have no fractions of dust."), read=(f"{agent.path}.form",))
    return _form(agent)


def _two_fractions(agent: Assessment) -> Outcome:
    if {"respirable", "total"} <= {limit.fraction for limit in agent.limits}:
        return _exposure(agent)
    return Outcome(nothing=said("This agent has no limits for two fractions of dust."), read=(f"{agent.path}.agent",))


def _work_changes(agent: Assessment) -> Outcome:
    path = f"{agent.path}.changes"
    if not agent.hazard.changes:
        return Outcome(nothing=said("No change of the work is described."), read=(path,))
    return Outcome(shown=(f"{agent.path}.exposure",), read=(path,))


def _carcinogen_operation(agent: Assessment) -> Outcome:
    path = f"{agent.path}.carcinogen"
    if not is_governed(agent.hazard, agent.substance):
        return Outcome(nothing=said("This is none of the 13 carcinogens, or too little of one."), read=(path,))
    return Outcome(shown=(f"{path}.operation",), read=(path,))


def _asbestos_work(agent: Assessment) -> Outcome:
    path = f"{agent.path}.asbestos"
    if not is_classed(agent.task, agent.substance):
        return Outcome(nothing=said("No class of asbestos work decides here."), read=(path,))
    return Outcome(shown=(path,), read=(path,))


def _environmental(agent: Assessment) -> Outcome:
    path = f"{agent.path}.environmental_rule"
    if environmental_rule(agent.task, agent.substance) is None:
        return Outcome(nothing=said("No rule of the environmental agency for this agent is known here."), read=(path,))
    return Outcome(shown=(path,), read=(path,))


def _told_twice(facts: Facts, subject: Subject) -> Outcome:
    task, hazard = (name.partition(".")[2] for name in subject.ids)
    agents = facts.selection.air[task].agents
    name = next(agent.name for agent in agents if agent.hazard.id == hazard)
    same = [f"{agent.path}.exposure" for agent in agents if agent.name == name]
    if len(same) < 2:
        return Outcome(nothing=said("This agent is described once in this task."), read=tuple(same))
    return Outcome(shown=tuple(same))


def _tasks_by_agent(facts: Facts, _program: Subject) -> dict[str, list[Task]]:
    found: dict[str, list[Task]] = {}
    for air in facts.selection.air.values():
        for name in dict.fromkeys(agent.name.casefold() for agent in air.agents):
            found.setdefault(name, []).append(air.task)
    return found


def _agents_by_task(facts: Facts, _program: Subject) -> dict[str, set[str]]:
    return {name: {agent.name for agent in air.agents} for name, air in facts.selection.air.items() if air.agents}


def _with_agents(facts: Facts, _program: Subject) -> list[Task]:
    return [air.task for air in facts.selection.air.values() if air.agents]


def _known_days(_facts: Facts, _program: Subject) -> dict[tuple[str, ...], tuple[dict[str, Task], ...]]:
    return {}


def _days_of(facts: Facts, task: Task, tasks: Sequence[Task]) -> list[dict[str, Task]]:
    """Return the largest sets of these tasks of one day in which a task stands, worked out once for all that meet."""
    met = met_by_the_same(task, tasks)
    known, names = facts.about(PROGRAM, _known_days), tuple(one.id for one in met)
    if names not in known:
        known[names] = tuple({one.id: one for one in day} for day in groups_of_one_day(met))
    return [day for day in known[names] if task.id in day]


def _met_twice_a_day(facts: Facts, subject: Subject) -> Outcome:
    """The evidence for an agent that the same people may meet in another task of the day."""
    task, hazard = (name.partition(".")[2] for name in subject.ids)
    agent = next(agent for agent in facts.selection.air[task].agents if agent.hazard.id == hazard)
    with_it = facts.about(PROGRAM, _tasks_by_agent)[agent.name.casefold()]
    if _days_of(facts, agent.task, with_it):
        return _exposure(agent)
    apart = tuple(f"{facts.tasks[one.id][0]}.never_same_day" for one in with_it if one.never_same_day)
    if apart:
        return Outcome(shown=apart, read=apart)
    return Outcome(
        nothing=said("In no other task of a day do the same people meet this agent."), read=(f"{agent.path}.agent",)
    )


def _has_others_that_day(facts: Facts, subject: Subject) -> Outcome:
    """The evidence for an agent, where the same people may meet another one in another task of the day."""
    task, hazard = (name.partition(".")[2] for name in subject.ids)
    agent = next(agent for agent in facts.selection.air[task].agents if agent.hazard.id == hazard)
    names = facts.about(PROGRAM, _agents_by_task)
    days = _days_of(facts, agent.task, facts.about(PROGRAM, _with_agents))
    if any(one != task and names[one] != {agent.name} for day in days for one in day):
        return _exposure(agent)
    return Outcome(
        nothing=said("In no other task of a day do the same people meet other agents."), read=(f"{agent.path}.agent",)
    )


def _monitored(agent: Assessment) -> Outcome:
    path = f"{agent.path}.exposure"
    if not monitoring_cycles(agent):
        return Outcome(nothing=said("No standard whose interval was read asks for samples again here."), read=(path,))
    return Outcome(shown=(path,), read=(path,))


def _recalled(agent: Assessment) -> Outcome:
    path = f"{agent.path}.exposure"
    if not recalled_monitoring(agent):
        return Outcome(
            nothing=said("No standard whose interval is only recalled asks for samples again here."), read=(path,)
        )
    return Outcome(shown=(path,), read=(path,))


def _policy_age(facts: Facts, subject: Subject) -> Outcome:
    path = subject.path
    hazard = facts.value_at(path)
    if not evidence_cycles(facts.rules, facts.tasks[hazard.task][1], hazard):
        return Outcome(nothing=said("No policy that binds here says how old evidence may be."), read=("policies",))
    return Outcome(shown=(f"{path}.exposure",), read=("policies", path))


HAZARD_GROUNDS: dict[str, Ground] = {
    "environmental-rule": _of_agent(_environmental),
    "asbestos-work": _of_agent(_asbestos_work),
    "carcinogen-operation": _of_agent(_carcinogen_operation),
    "exposure": _of_agent(_exposure),
    "form": _of_agent(_form),
    "oil-of-agent": _of_agent(_oil),
    "limit-said": _of_agent(_limit_said),
    "limit-looked-up": _of_agent(_limit_looked_up),
    "legal-limit": _of_agent(_legal_limit),
    "no-legal-limit": _of_agent(_no_legal_limit),
    "own-limit": _of_agent(_own_limit),
    "peak-limit": _of_agent(_peak_limit),
    "short-limit": _of_agent(_short_limit),
    "two-fractions": _of_agent(_two_fractions),
    "vapour-alone": _of_agent(_vapour_alone),
    "sampled": _of_kind((Samples,), said("No samples are described.")),
    "measured": _of_kind((Samples, ObjectiveData, Estimate), said("No level is described.")),
    "judged": _of_kind((Judgment,), said("No judgment is described.")),
    "silica-table": _of_kind((SilicaTable1,), said("Table 1 is not used.")),
    "lead-task": _of_kind((LeadTask,), said("No lead task is named.")),
    "lead-assessed": _of_agent(_lead_assessed),
    "has-fractions": _of_agent(_has_fractions),
    "dated": _of_kind(_OF_DAYS, said("This kind of evidence has no day.")),
    "work-changes": _of_agent(_work_changes),
    "told-twice": _told_twice,
    "met-twice-a-day": _met_twice_a_day,
    "others-that-day": _has_others_that_day,
    "monitored-again": _of_agent(_monitored),
    "monitoring-recalled": _of_agent(_recalled),
    "policy-on-age": _policy_age,
}
