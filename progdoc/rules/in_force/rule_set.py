"""What is in force of one figure: the strictest of the law's, the firm's own and the policies' that bind; who set it.

A policy may only tighten. One that asks for less has no effect here; `policy_checks` finds it. Where the law sets
no value, any value tightens. Equal to the law is the law's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field, replace
from typing import Any

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import stated_text
from progdoc.core.said import said as words_of
from progdoc.core.said import said_measure
from progdoc.model.description.masks import Mask
from progdoc.model.description.policies import Policy
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.workplace import DoneBy, Task
from progdoc.rules.in_force.law_values import excess, is_looser
from progdoc.rules.in_force.policy_reach import concerns, origin_of, policies_of
from progdoc.rules.in_force.states_of_work import binds_in
from progdoc.rules.judged.figure_results import OWN, YES_NO, Figure, InForce, Law, LawValue, Setter, Stricter

__all__ = [
    "RuleSet",
    "binding",
    "candidates",
    "figure_words",
    "law_and_firm",
    "law_for",
    "policies_that_tighten",
    "rule_set",
    "said",
    "strictest",
]


_Asked = tuple[str, tuple[str, ...], tuple[str, ...] | None]  # a figure, tasks and masks


@dataclass(frozen=True, slots=True)
class RuleSet:
    """Everybody who may set a figure: the law of a day, the policies by task, and the description itself."""

    law: Law
    program: Program
    policies: Mapping[str, tuple[Policy, ...]]  # by the id of the task they hold for, whatever masks they name
    on_the_wall: frozenset[str]  # masks for emergencies and escape that none of our tasks names: for whoever needs them
    found: dict[_Asked, tuple[InForce, ...]] = field(default_factory=dict, compare=False, repr=False)  # by `candidates`
    laws: dict[frozenset[str], Law] = field(default_factory=dict, compare=False, repr=False)  # by `law_for`


def rule_set(law: Law, program: Program) -> RuleSet:
    """Return who may set the figures for a description."""
    ours = (task for task in program.tasks if task.done_by is DoneBy.OUR_PEOPLE)
    named = {use.mask for task in ours for use in task.masks}
    return RuleSet(
        law,
        program,
        {task.id: policies_of(program, task) for task in program.tasks},
        frozenset(m.id for m in program.masks if m.id not in named and (m.emergency or m.escape_only)),
    )


def binding(rules: RuleSet, tasks: Iterable[Task], masks: Iterable[Mask] | None = None) -> tuple[Policy, ...]:
    """Return the policies that bind these masks in any of these tasks, in the order of the description.

    No `masks`: what is asked about is the air or the program, and a policy binds it where a task uses a mask it names.
    """
    if not rules.program.policies:
        return ()
    asked = None if masks is None else frozenset(mask.id for mask in masks)
    bound: set[str] = set()
    for task in tasks:
        used = {use.mask for use in task.masks}
        about = used if asked is None else asked & (used | rules.on_the_wall)
        bound.update(policy.id for policy in rules.policies[task.id] if concerns(policy, about))
    return tuple(policy for policy in rules.program.policies if policy.id in bound)


def law_for(rules: RuleSet, tasks: Iterable[Task]) -> Law:
    """Return the law for some tasks: the federal figures, or what a state sets in which some of them is done.

    The stricter stands where several bind. Of no task: the law for the firm, by any place it has.
    """
    if not rules.law.of_states:
        return rules.law
    bound = tuple(tasks)
    states = frozenset(s for s in {v.state for v in rules.law.of_states} if binds_in(s, rules.program, bound))
    known = rules.laws.get(states)
    if known is None:
        values = dict(rules.law.values)
        for value in (value for value in rules.law.of_states if value.state in states):
            older = values[value.id]
            if older.value is None or value.value is None or not is_looser(value, value.value, older.value):
                values[value.id] = value
        known = rules.laws[states] = replace(rules.law, values=values)
    return known


def said(program: Program, rule: LawValue) -> Any:
    """Return what the description says as the firm's own figure, None where it is silent."""
    value: Any = program
    for name in rule.program.split(".") if rule.program else ():
        value = getattr(value, name, None)
    return None if value is program or value == () else value


def candidates(
    rules: RuleSet, name: str, tasks: Iterable[Task], masks: Iterable[Mask] | None = None
) -> tuple[InForce, ...]:
    """Return every figure that binds these masks in these tasks: the law's, the firm's own, and the policies'.

    Crews are asked about person by person, and the same tasks and masks have the same figures.
    """
    tasks, masks = tuple(tasks), None if masks is None else tuple(masks)
    asked = (name, tuple(task.id for task in tasks), None if masks is None else tuple(mask.id for mask in masks))
    known = rules.found.get(asked)
    if known is None:
        known = rules.found[asked] = tuple(_candidates(rules, name, tasks, masks))
    return known


def _candidates(rules: RuleSet, name: str, tasks: Iterable[Task], masks: Iterable[Mask] | None) -> Iterator[InForce]:
    yield from law_and_firm(rules, law_for(rules, tasks)[name])
    rule = rules.law[name]
    for policy in binding(rules, tasks, masks) if rule.policy else ():
        wanted = getattr(policy, rule.policy)
        if wanted is not None:
            yield InForce(_figure(wanted), figure_words(wanted), origin_of(policy), Setter.POLICY)


def law_and_firm(rules: RuleSet, rule: LawValue) -> Iterator[InForce]:
    """Yield what binds whatever a policy says: the law's figure, and the firm's own."""
    if rule.value is not None:
        yield InForce(rule.value, rule.text, rule.citation)
    own = said(rules.program, rule)
    if own is not None and rule.kind != YES_NO and not rule.is_measured:
        yield InForce(_figure(own), figure_words(own), OWN, Setter.FIRM)


def policies_that_tighten(
    rules: RuleSet, name: str, tasks: Iterable[Task], masks: Iterable[Mask] | None = None
) -> Iterator[tuple[Policy, InForce]]:
    """Yield the policies that ask for more than the law and the firm's own figure, with what they ask for."""
    rule = rules.law[name]
    given = [found for found in law_and_firm(rules, rule) if rule.kind != YES_NO]
    own = said(rules.program, rule)
    # a closed choice that has the figure's own name, or the very yes or no that is asked for
    is_kept = rule.kind == YES_NO and (own == rule.id or own is (rule.stricter is Stricter.YES))
    for policy in binding(rules, tasks, masks) if rule.policy and not is_kept else ():
        wanted = getattr(policy, rule.policy)
        if wanted is None:
            continue
        asked = InForce(_figure(wanted), figure_words(wanted), origin_of(policy), Setter.POLICY)
        is_strict = asked.value is (rule.stricter is Stricter.YES) if rule.kind == YES_NO else True
        if is_strict and all(_tightens(rule, asked, found) for found in given):
            yield policy, asked


def strictest(rules: RuleSet, name: str, tasks: Iterable[Task], masks: Iterable[Mask] | None = None) -> InForce | None:
    """Return the strictest figure that binds these masks in these tasks; of equals the one named first: the law."""
    rule = rules.law[name]
    found: InForce | None = None
    for candidate in candidates(rules, name, tasks, masks):
        if rule.kind == YES_NO:
            if found is None and candidate.value is (rule.stricter is Stricter.YES):
                found = candidate
        elif found is None or _tightens(rule, candidate, found):
            found = candidate
    return found


def _tightens(rule: LawValue, candidate: InForce, found: InForce) -> bool:
    over = excess(candidate.value, found.value, rule.kind)
    return over is not None and (over < 0 if rule.stricter is Stricter.LOWER else over > 0)


def _figure(value: Any) -> Figure:
    return value if isinstance(value, Quantity | bool) else float(value)


def figure_words(value: Any) -> str:
    """Return a figure as a page shows it."""
    if isinstance(value, bool):
        return words_of("yes") if value else words_of("no")
    if isinstance(value, Quantity):
        return value.printed
    return stated_text(value) if isinstance(value, int | float) else said_measure(str(value))
