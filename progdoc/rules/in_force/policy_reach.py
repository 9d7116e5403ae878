"""What a policy binds: the sites, tasks, agents and masks it names and no others; all of them where it names none.

It holds for a task by its sites, tasks and agents. There it binds what concerns the masks it names; a figure that has
no mask, of the air or the program, where the task uses one of them. Of one that names groups three things are asked:
what it binds of what people share, what of work whoever does it, and what of somebody.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date

from progdoc.core.said import said, same
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.policies import Policy
from progdoc.model.description.program import Program
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.substances import find_substance, is_named

__all__ = [
    "binding_group",
    "binds",
    "binds_agent",
    "concerns",
    "groups_told_apart",
    "in_force_on",
    "is_coming",
    "of_whole_crews",
    "origin_of",
    "policies_for_agent",
    "policies_of",
    "serving_anybody",
]

# What a policy says of itself; all else it asks for.
_OF_ITSELF = ("id", "by", "source", "date", "sites", "tasks", "groups", "agents", "masks")
_SILENT = {name: field.default for name, field in Policy.model_fields.items() if name not in _OF_ITSELF}


def is_coming(policy: Policy, day: date) -> bool:
    """Return whether a policy is dated after a day: what it asks binds from its date on."""
    return policy.date is not None and policy.date > day


def in_force_on(program: Program, day: date) -> Program:
    """Return a description in which policies that are still to come ask for nothing.

    They keep their places, so that every path still leads to what the user typed.
    """
    return _where(program, lambda policy: None if is_coming(policy, day) else policy.tasks)


def serving_anybody(program: Program) -> Program:
    """Return the policies as they bind what people share, a mask on the wall, a compressor, the program: one that
    names groups wherever somebody of them works."""
    return _where(program, lambda policy: _tasks_of(program, policy, any))


def of_whole_crews(program: Program) -> Program:
    """Return the policies as they bind work whoever does it: one that names groups where only they do it.

    How old the evidence of its air may be is no matter of who breathes it: that binds wherever somebody of them works.
    """
    whole = _where(program, lambda policy: _tasks_of(program, policy, all))
    if whole is program:
        return program
    shared = (_only(policy, "evidence_interval") for policy in serving_anybody(program).policies if policy.groups)
    return whole.model_copy(update={"policies": (*whole.policies, *shared)})


def binding_group(program: Program, group: str) -> Program:
    """Return the policies as they bind somebody of a group, in whatever task; of no group where it is ""."""
    return _where(program, lambda policy: policy.tasks if not policy.groups or group in policy.groups else None)


def groups_told_apart(program: Program) -> Mapping[str, tuple[str, ...]]:
    """Return each group that a policy names, with those that the very same policies bind, itself among them.

    What is asked of people is worked out once for all of these, and once for everybody else.
    """
    naming = [policy for policy in program.policies if policy.groups]
    found: dict[tuple[str, ...], list[str]] = {}
    for group in dict.fromkeys(group for policy in naming for group in policy.groups):
        found.setdefault(tuple(policy.id for policy in naming if group in policy.groups), []).append(group)
    return {group: tuple(alike) for alike in found.values() for group in alike}


def _where(program: Program, tasks_of: Callable[[Policy], tuple[str, ...] | None]) -> Program:
    """Return a description in which each policy holds for these tasks, all if they are none; for None it is silent."""
    policies = tuple(_for_tasks(policy, tasks_of(policy)) for policy in program.policies)
    is_same = all(one is other for one, other in zip(policies, program.policies, strict=True))
    return program if is_same else program.model_copy(update={"policies": policies})


def _for_tasks(policy: Policy, tasks: tuple[str, ...] | None) -> Policy:
    if tasks == policy.tasks:
        return policy
    return policy.model_copy(update=_SILENT if tasks is None else {"tasks": tasks})


def _only(policy: Policy, name: str) -> Policy:
    return policy.model_copy(update={**_SILENT, name: getattr(policy, name)})


def _tasks_of(program: Program, policy: Policy, how_many: Callable[[Iterable[bool]], bool]) -> tuple[str, ...] | None:
    """Return the tasks a policy names, or all; of its groups those that any, or all, of the crew are of: None for none.

    Whoever has left stands in no task any more; a task that names nobody is nobody's.
    """
    if not policy.groups:
        return policy.tasks
    group_of = {person.id: person.group for person in program.people}
    named = (task for task in program.tasks if task.people and (not policy.tasks or task.id in policy.tasks))
    return tuple(t.id for t in named if how_many(group_of.get(who) in policy.groups for who in t.people)) or None


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
    """Return the policies that hold for a task, for whatever mask; one for an agent only where that is in its air.

    One that is silent holds nowhere.
    """
    spoken = [policy for policy in program.policies if any(getattr(policy, name) != no for name, no in _SILENT.items())]
    if not spoken:
        return ()
    agents = [(h.agent, find_substance(h.agent)) for h in program.hazards if h.task == task.id]
    return tuple(
        policy
        for policy in spoken
        if _holds_for(policy, task) and (not policy.agents or any(binds_agent(policy, *agent) for agent in agents))
    )
