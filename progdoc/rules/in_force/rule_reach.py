"""Where a rule of the firm holds, and what the firm takes for granted about the air of a task.

A rule holds in the tasks, at the sites, for the groups and at the events that it names, and at all of them where it
names none. What it says of a reading is for whoever reads the meter.
"""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.model.description.house_rules import Act, Event, HouseRule, RuleKind
from progdoc.model.description.index import Index
from progdoc.model.description.program import Program
from progdoc.model.description.workplace import Task

__all__ = ["as_presumed", "holds_in", "is_presumption", "origin_of_rule", "rules_in"]


def holds_in(index: Index, rule: HouseRule, task: Task) -> bool:
    """Return whether a rule holds in a task. A task that names no site may be at any."""
    events = {*task.events, *([Event.FIRE] if task.structural_fire else [])}
    return (
        (not rule.tasks or task.id in rule.tasks)
        and (not rule.sites or not task.sites or not set(rule.sites).isdisjoint(task.sites))
        and (not rule.events or not events.isdisjoint(rule.events))
        and (not rule.groups or not index.groups_by_task[task.id].isdisjoint(rule.groups))
    )


def rules_in(index: Index, task: Task) -> Iterator[tuple[str, HouseRule]]:
    """Yield the rules that hold in a task and are about a mask of it, or about none, with their places."""
    worn = {use.mask for use in task.masks}
    for i, rule in enumerate(index.description.house_rules):
        if holds_in(index, rule, task) and (not rule.masks or not worn.isdisjoint(rule.masks)):
            yield f"house_rules[{i}]", rule


def origin_of_rule(rule: HouseRule) -> str:
    """Return who set a rule and where it is written."""
    return f"{', '.join(filter(None, (rule.by, rule.source))) or 'a rule of the firm'} (`{rule.id}`)"


def is_presumption(rule: HouseRule) -> bool:
    """Return whether a rule takes air for immediately dangerous, whatever is read."""
    return (
        rule.rule is RuleKind.PRESUMED and rule.act is Act.DANGEROUS_AIR and rule.reading is None and rule.index is None
    )


def as_presumed(program: Program) -> tuple[Program, dict[str, str]]:
    """Return a description in which the air that the firm presumes to be deadly is so, and by place the rule behind.

    What a task denies stays denied, and is a finding of its own.
    """
    presumptions = [(f"house_rules[{j}]", rule) for j, rule in enumerate(program.house_rules) if is_presumption(rule)]
    said_by: dict[str, str] = {}
    index, tasks = Index(program), list(program.tasks)
    for i, task in enumerate(tasks):
        at = next((at for at, rule in presumptions if holds_in(index, rule, task)), "")
        if at and task.immediately_dangerous is None:
            tasks[i] = task.model_copy(update={"immediately_dangerous": True})
            said_by[f"tasks[{i}].immediately_dangerous"] = at
    return (program.model_copy(update={"tasks": tuple(tasks)}) if said_by else program), said_by
