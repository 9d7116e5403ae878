"""What a policy binds: the sites, tasks, agents and masks it names and no others; all of them where it names none.

It holds for a task by its sites, tasks and agents. There it binds what concerns the masks it names; a figure that has
no mask, of the air or the program, where the task uses one of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from progdoc.core.said import said, same
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.policies import Policy
from progdoc.model.description.program import Program
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.substances import find_substance, is_named

__all__ = [
    "as_bound_on",
    "binds",
    "binds_agent",
    "concerns",
    "is_coming",
    "origin_of",
    "policies_for_agent",
    "policies_of",
]

# What a policy says of itself; all else it asks for.
_OF_ITSELF = ("id", "by", "source", "date", "sites", "tasks", "groups", "agents", "masks")


def is_coming(policy: Policy, day: date) -> bool:
    """Return whether a policy is dated after a day: what it asks binds from its date on."""
    return policy.date is not None and policy.date > day


def as_bound_on(program: Program, day: date) -> Program:
    """Return a description in which policies that are still to come, or whose groups do no task, ask for nothing.

    One that names groups names the tasks that they do. All keep their places, so that every path still leads to what
    the user typed.
    """
    if not any(is_coming(policy, day) or policy.groups for policy in program.policies):
        return program
    silent = {name: field.default for name, field in Policy.model_fields.items() if name not in _OF_ITSELF}
    policies = []
    for policy in program.policies:
        tasks = _tasks_of_groups(program, policy) if policy.groups else policy.tasks
        asks_nothing = is_coming(policy, day) or (policy.groups and not tasks)
        policies.append(policy.model_copy(update=silent if asks_nothing else {"tasks": tasks}))
    return program.model_copy(update={"policies": tuple(policies)})


def _tasks_of_groups(program: Program, policy: Policy) -> tuple[str, ...]:
    """Return the tasks a policy names, or all, that somebody of its groups does."""
    members = {person.id for person in program.people if person.group in policy.groups}
    tasks = (task for task in program.tasks if not policy.tasks or task.id in policy.tasks)
    return tuple(task.id for task in tasks if not members.isdisjoint(task.people))


def origin_of(policy: Policy) -> str:
    """Return who set a policy and where it is written."""
    return said("%(by)s, %(source)s (policy `%(policy)s`)", by=policy.by, source=policy.source, policy=same(policy.id))


def concerns(policy: Policy, masks: Iterable[str]) -> bool:
    """Say whether a policy names one of these masks, or names none and so means all."""
    return not policy.masks or not set(policy.masks).isdisjoint(masks)


def binds(policy: Policy, task: Task) -> bool:
    """Say whether a policy binds the air of a task."""
    return _holds_for(policy, task) and concerns(policy, (use.mask for use in task.masks))


def _holds_for(policy: Policy, task: Task) -> bool:
    """Say whether a policy holds for a task, for whatever mask. A task that names no site may be at any."""
    at_site = not policy.sites or not task.sites or bool(set(policy.sites) & set(task.sites))
    return at_site and (not policy.tasks or task.id in policy.tasks)


def binds_agent(policy: Policy, agent: str, substance: Substance | None) -> bool:
    """Say whether a policy names an agent, or names none and so means all."""
    return not policy.agents or is_named(policy.agents, agent, substance)


def policies_for_agent(program: Program, task: Task, hazard: Hazard, substance: Substance | None) -> tuple[Policy, ...]:
    """Return the policies that bind one hazard of a task."""
    return tuple(p for p in program.policies if binds(p, task) and binds_agent(p, hazard.agent, substance))


def policies_of(program: Program, task: Task) -> tuple[Policy, ...]:
    """Return the policies that hold for a task, for whatever mask; one for an agent only where that is in its air."""
    if not program.policies:
        return ()
    agents = [(h.agent, find_substance(h.agent)) for h in program.hazards if h.task == task.id]
    return tuple(
        policy
        for policy in program.policies
        if _holds_for(policy, task) and (not policy.agents or any(binds_agent(policy, *agent) for agent in agents))
    )
