"""The figures in force as papers print them, gathered once for a judged description."""

from __future__ import annotations

from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import hair_rule
from progdoc.rules.in_force.rule_set import policies_that_tighten, strictest
from progdoc.rules.judged.figure_results import PrintedFigures

__all__ = ["printed_figures"]


def printed_figures(facts: Facts) -> PrintedFigures:
    """Return what is in force of each figure for all our tasks, who asks for more, and whom a hair rule binds."""
    rules = facts.rules
    ours = tuple(task for _, task in facts.our_tasks)
    names = tuple(rules.law.values)
    found = {name: strictest(rules, name, ours) for name in names}
    hair = {
        person: hair_rule(rules, [task for _, task in facts.tasks_by_person.get(person, ())]) for person in facts.people
    }
    return PrintedFigures(
        law=rules.law,
        in_force={name: figure for name, figure in found.items() if figure is not None},
        tightened={name: tuple(policies_that_tighten(rules, name, ours)) for name in names},
        hair_rules={person: rule for person, rule in hair.items() if rule is not None},
    )
