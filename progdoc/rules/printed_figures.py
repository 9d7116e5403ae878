"""The figures in force as papers print them, gathered once for a judged description."""

from __future__ import annotations

from progdoc.model.description.masks import Mask
from progdoc.model.description.people import Person
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import hair_rule, standby_persons
from progdoc.rules.in_force.rule_set import policies_that_tighten, rule_set, strictest
from progdoc.rules.in_force.states_of_work import binds_in
from progdoc.rules.judged.figure_results import InForce, PrintedFigures
from progdoc.rules.policy.policy_scope import masks_meant, reach_of

__all__ = ["printed_figures"]


def printed_figures(facts: Facts) -> PrintedFigures:
    """Return what is in force of each figure for all our tasks, who asks for more, and whom a hair rule binds."""
    rules = facts.rules
    ours = tuple(task for _, task in facts.our_tasks)
    meant = {name: masks_meant(facts, rule) for name, rule in rules.law.values.items()}
    found = {name: strictest(rules, name, ours, masks) for name, masks in meant.items()}
    tightened = {name: tuple(policies_that_tighten(rules, name, ours, masks)) for name, masks in meant.items()}
    for_all = {name: _for_all(facts, name, masks) if tightened[name] else found[name] for name, masks in meant.items()}
    hair = {person.id: _hair_rule(facts, person) for _, person in facts.people.values()}
    return PrintedFigures(
        law=rules.law,
        in_force={name: figure for name, figure in found.items() if figure is not None},
        tightened=tightened,
        for_all={name: figure for name, figure in for_all.items() if figure is not None},
        standby={task.id: standby_persons(facts.rules_of_crews, task) for task in ours},
        hair_rules={person: rule for person, rule in hair.items() if rule is not None},
        of_states=tuple(value for value in rules.law.of_states if binds_in(value.state, rules.program, ours)),
    )


def _for_all(facts: Facts, name: str, masks: tuple[Mask, ...] | None) -> InForce | None:
    """Return what is in force of a figure for all it is about, without policies for some of it alone."""
    rules, rule = facts.rules, facts.rules.law[name]
    policies = tuple(policy for policy in rules.program.policies if reach_of(facts, policy, rule).is_whole)
    of_all = rule_set(rules.law, rules.program.model_copy(update={"policies": policies}))
    return strictest(of_all, name, [task for _, task in facts.our_tasks], masks)


def _hair_rule(facts: Facts, person: Person) -> InForce | None:
    tasks = [task for _, task in facts.tasks_by_person.get(person.id, ())]
    return hair_rule(facts.of(person).rules, tasks, [facts.masks[issued.mask][1] for issued in person.masks])
