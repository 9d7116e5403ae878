"""Whether somebody, a pack or a policy, sets a rule where the federal law leaves it open."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import evaluation_cycles, hair_rule, quantitative_only
from progdoc.rules.in_force.policy_reach import is_coming
from progdoc.rules.judged.figure_results import Setter
from progdoc.rules.requirement import Fact, Subject

__all__ = ["IN_FORCE_PREDICATES"]

_READ = ("policies",)


def _only_instruments_count(facts: Facts, subject: Subject) -> Fact:
    tasks = facts.tasks_of(subject)
    found = (quantitative_only(facts.rules, mask, tasks) for mask in facts.masks_about(subject))
    return Fact(any(rule is not None for rule in found), _READ)


def _shaving_asked_for(facts: Facts, subject: Subject) -> Fact:
    return Fact(hair_rule(facts.rules, facts.tasks_of(subject), facts.masks_about(subject)) is not None, _READ)


def _evaluation_asked_for(facts: Facts, subject: Subject) -> Fact:
    found = evaluation_cycles(facts.rules, facts.tasks_of(subject))
    return Fact(any(cycle.setter is not Setter.FIRM for cycle in found), _READ)


def _policies_given(facts: Facts, _subject: Subject) -> Fact:
    """One that is still to come binds nobody yet."""
    return Fact(any(not is_coming(policy, facts.as_of) for policy in facts.description.policies), _READ)


def _policies_coming(facts: Facts, _subject: Subject) -> Fact:
    return Fact(any(is_coming(policy, facts.as_of) for policy in facts.description.policies), _READ)


IN_FORCE_PREDICATES: dict[str, Callable[[Facts, Subject], Fact]] = {
    "policies-given": _policies_given,
    "policies-coming": _policies_coming,
    "only-instruments-count": _only_instruments_count,
    "shaving-asked-for": _shaving_asked_for,
    "evaluation-asked-for": _evaluation_asked_for,
}
