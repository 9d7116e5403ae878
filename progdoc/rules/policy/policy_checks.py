"""Holds the policies against the law and the procedures against the policies.

What a policy may tighten, which way, what the law says of it and where the program answers, is data: the values of
the packs that name a field of a policy. A policy on the wrong side of the law's value is refused with both values; a
procedure on the wrong side of a policy that binds some task is a breach that names who set it, and so is silence
where the program has to do with it. What records break stands with the records, what masks break with the selection.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from progdoc.core.numbers import long_date
from progdoc.core.said import capital, said, said_join, same
from progdoc.model.description.masks import Mode
from progdoc.model.description.policies import Policy
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.upkeep import Schedule
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task, Use
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.law_values import is_looser
from progdoc.rules.in_force.policy_reach import binds, binds_agent, is_coming, origin_of
from progdoc.rules.in_force.rule_set import figure_words
from progdoc.rules.in_force.rule_set import said as said_in_program
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.judged.figure_results import YES_NO, Law, LawValue, Stricter
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.fit_protocols import fit_protocol, is_quantitative
from progdoc.rules.lookup.law_tables import assigned_factors_for
from progdoc.rules.lookup.limits import is_alike, stated_limit
from progdoc.rules.policy.policy_scope import Reach, holds_somewhere, reach_of
from progdoc.rules.requirement import Subject

__all__ = ["POLICY_CHECKS", "parameters"]

Found = tuple[str, dict[str, str]]


def parameters(law: Law) -> tuple[LawValue, ...]:
    """Return every figure that a policy may tighten."""
    return tuple(rule for rule in law.values.values() if rule.policy)


def _law_where(facts: Facts, policy: Policy) -> Law:
    """Return the law for the tasks that a policy holds for: it may ask for no less than the state of any of them."""
    return facts.law_of(*(task for _, task in facts.our_tasks if policy in facts.rules.policies[task.id]))


def _wanted(rule: LawValue, policy: Policy) -> Any:
    """Return what a policy asks for; None where it says nothing of a figure, or only what the law leaves open."""
    value = getattr(policy, rule.policy)
    is_open = rule.kind == YES_NO and value is not (rule.stricter is Stricter.YES)
    return None if is_open else value


# ---- policies against the law -------------------------------------------------------------------------


def _not_looser(facts: Facts, _subject: Subject) -> CheckResult:
    faults = [fault for i, policy in enumerate(facts.description.policies) for fault in _looser(facts, policy, i)]
    return CheckResult(("policies",), tuple(faults))


def _looser(facts: Facts, policy: Policy, index: int) -> Iterator[Found]:
    for rule in parameters(_law_where(facts, policy)):
        value = _wanted(rule, policy)
        if value is not None and rule.value is not None and is_looser(rule, value, rule.value):
            words = {"value": figure_words(value), "legal": rule.printed, "law": rule.citation}
            yield _fault(policy, f"policies[{index}].{rule.policy}", rule.words, words)
    yield from _looser_credits(policy, index)
    for j in range(len(policy.exposure_limits)):
        yield from _looser_limit(facts, policy, f"policies[{index}].exposure_limits[{j}]", j)
    yield from _looser_danger(facts, policy, f"policies[{index}].immediately_dangerous_from")


def _fault(policy: Policy, path: str, parameter: str, words: dict[str, str]) -> Found:
    return path, {"policy": policy.id, "by": policy.by, "parameter": parameter, **words}


def _looser_credits(policy: Policy, index: int) -> Iterator[Found]:
    for j, credit in enumerate(policy.protection_credits):
        modes = [credit.mode] if credit.mode else list(Mode)
        cells = [cell.apf for mode in modes for cell in assigned_factors_for(mode.value, credit.facepiece.value)]
        highest = max((apf for apf in cells if apf is not None), default=None)
        if highest is not None and credit.most > highest:
            words = {
                "value": figure_words(credit.most),
                "legal": figure_words(highest),
                "law": cited("protection-factors"),
            }
            yield _fault(
                policy, f"policies[{index}].protection_credits[{j}].most", said("a protection factor of"), words
            )


def _bound_agents(facts: Facts, policy: Policy) -> Iterator[tuple[TaskAir, Any]]:
    for air in facts.selection.air.values():
        for agent in air.agents if binds(policy, air.task) else ():
            if binds_agent(policy, agent.hazard.agent, agent.substance):
                yield air, agent


def _looser_limit(facts: Facts, policy: Policy, path: str, index: int) -> Iterator[Found]:
    wanted = policy.exposure_limits[index]
    if wanted.value.value <= 0.0:
        words = {"value": wanted.value.printed, "legal": said("a limit above zero"), "law": cited("limits")}
        yield _fault(policy, f"{path}.value", said("a limit of"), words)
        return
    for _, agent in _bound_agents(facts, policy) if policy.agents else ():
        stated = stated_limit(agent.name, wanted, policy.source, "")
        for limit in agent.limits:
            mine = in_limit_unit(wanted.value, limit.unit, agent.substance)
            is_same = is_alike(stated, limit) and not limit.note.startswith("policy ")
            if is_same and limit.value is not None and mine is not None and mine > limit.value:
                words = {"value": wanted.value.printed, "legal": limit.in_words, "law": limit.citation}
                yield _fault(policy, f"{path}.value", said("a limit of %(agent)s of", agent=agent.hazard.agent), words)
                return


def _looser_danger(facts: Facts, policy: Policy, path: str) -> Iterator[Found]:
    level = policy.immediately_dangerous_from
    for _, agent in _bound_agents(facts, policy) if level is not None and policy.agents else ():
        idlh = agent.substance.idlh if agent.substance else None
        if level is None or idlh is None or idlh.value is None:
            continue
        mine = in_limit_unit(level, idlh.unit, agent.substance)
        if mine is not None and mine > idlh.value:
            words = {
                "value": level.printed,
                "legal": said("%(idlh)s %(unit)s", idlh=same(f"{idlh.value:g}"), unit=same(idlh.unit)),
                "law": "NIOSH",
            }
            yield _fault(policy, path, said("an IDLH value of %(agent)s of", agent=agent.hazard.agent), words)
            return


# ---- the program against the policies -----------------------------------------------------------------


def _kept(facts: Facts, _subject: Subject) -> CheckResult:
    faults: list[Found] = []
    for i, policy in enumerate(facts.description.policies):
        for rule in parameters(_law_where(facts, policy)) if holds_somewhere(facts, policy) else ():
            wanted = _wanted(rule, policy)
            if wanted is None or (rule.value is not None and is_looser(rule, wanted, rule.value)):
                continue  # nothing is asked, or less than the law
            answers, told = _ANSWERS.get(rule.id, _figure), _wanted_words(facts, policy, wanted)
            for path, value in answers(facts, policy, rule, wanted, reach_of(facts, policy, rule)):
                faults.append((path or f"policies[{i}]", _breach(policy, rule.words, value, told)))
    return CheckResult(("policies",), tuple(faults))


def _wanted_words(facts: Facts, policy: Policy, wanted: Any) -> str:
    """Return what a policy asks for, and for whom where it names groups."""
    groups = ", ".join(label_of(group) for group in facts.description.groups if group.id in policy.groups)
    words = figure_words(wanted)
    return said("%(figure)s for %(whom)s", figure=words, whom=groups) if groups else words


def _breach(policy: Policy, parameter: str, value: str, wanted: str) -> dict[str, str]:
    return {
        "policy": policy.id,
        "origin": said("%(by)s, %(source)s", by=policy.by, source=policy.source),
        "parameter": capital(parameter),
        "value": value or said("nothing"),
        "wanted": wanted,
        "citation": origin_of(policy),
    }


def _figure(facts: Facts, _policy: Policy, rule: LawValue, wanted: Any, reach: Reach) -> Iterator[tuple[str, str]]:
    """The program's own figure is on the wrong side, or it names none though it has to do with it."""
    if not rule.program:
        return
    value = said_in_program(facts.description, rule)
    if value is None:
        if reach.bound:
            yield rule.program, ""
    elif reach.is_whole and is_looser(rule, value, wanted):
        yield rule.program, figure_words(value)


def _protocols(facts: Facts, _policy: Policy, rule: LawValue, _wanted: Any, reach: Reach) -> Iterator[tuple[str, str]]:
    """A protocol without an instrument is named; or, where some masks may go on without, none with one for the rest."""
    named = facts.description.procedures.fit_testing.protocols
    by_instrument = [name for name in named if is_quantitative(name)]
    qualitative = [name for name in named if name not in by_instrument]
    tested = {facepiece for name in by_instrument if (p := fit_protocol(name)) for facepiece in p.facepieces}
    untested = any(mask and mask.facepiece and mask.facepiece not in tested for _, mask in reach.bound)
    if (reach.is_whole and qualitative) or (reach.bound and not by_instrument) or (not reach.is_whole and untested):
        yield rule.program, said_join(qualitative, ", ")


def _hair(facts: Facts, _policy: Policy, rule: LawValue, _wanted: Any, reach: Reach) -> Iterator[tuple[str, str]]:
    hair = facts.description.procedures.use.hair
    if hair is None:
        if reach.bound:
            yield rule.program, ""
    elif reach.is_whole and hair.value != rule.id:
        yield rule.program, hair.value


def _voluntary(facts: Facts, policy: Policy, rule: LawValue, _wanted: Any, reach: Reach) -> Iterator[tuple[str, str]]:
    """What the firm allows speaks against a policy for all work; one for a place is held against the tasks there."""
    allowed = facts.description.procedures.voluntary_use.allowed
    is_everywhere = policy.is_general
    if is_everywhere and allowed is not False:
        yield rule.program, said("yes") if allowed else ""
    for path, task in facts.our_tasks:
        if task not in reach.tasks:
            continue
        if task.use is None and not is_everywhere:
            yield f"{path}.use", ""
        elif task.use is Use.VOLUNTARY and not task.masks:  # of a mask that is named, the selection tells
            yield f"{path}.use", said("voluntary in “%(task)s”", task=task.name)
    chosen = facts.description.procedures.voluntary_use.groups  # who may; without it, everybody
    if any(task.use is Use.VOLUNTARY for task in reach.shared) and (not chosen or set(chosen) & set(policy.groups)):
        yield "procedures.voluntary_use.groups", ", ".join(chosen) or said("everybody by choice")


def _changes(facts: Facts, policy: Policy, _rule: LawValue, wanted: Any, reach: Reach) -> Iterator[tuple[str, str]]:
    """Cartridges that stay longer in use than the policy lets them, or for a time that nobody names."""
    for i, schedule in enumerate(facts.description.procedures.filter_changes.schedules):
        after = schedule.after
        is_kept = after is not None and in_unit(after, "min") <= in_unit(wanted, "min")
        # Of work that others do too the schedule speaks for them as well: the papers tell for whom it ends sooner.
        bound = reach.tasks if after is not None else (*reach.tasks, *reach.shared)
        if not is_kept and any(_is_for(schedule, task, policy) for task in bound):
            yield f"procedures.filter_changes.schedules[{i}].after", after.printed if after else ""


def _is_for(schedule: Schedule, task: Task, policy: Policy) -> bool:
    """Say whether a schedule is for a task, and its filter on a mask there that a policy names, if it names any."""
    named = (use for use in task.masks if use.mask in policy.masks)
    fitted = not policy.masks or any(schedule.filter in use.filters for use in named)
    return task.id in schedule.tasks and fitted


_ANSWERS: dict[str, Callable[[Facts, Policy, LawValue, Any, Reach], Iterator[tuple[str, str]]]] = {
    "quantitative-only": _protocols,
    "clean-shaven": _hair,
    "voluntary-use": _voluntary,
    "cartridge-change": _changes,
}


def _limits_name_agents(facts: Facts, _subject: Subject) -> CheckResult:
    faults: list[Found] = []
    for i, policy in enumerate(facts.description.policies):
        for field, words in (
            ("exposure_limits", said("a limit")),
            ("immediately_dangerous_from", said("an IDLH value")),
        ):
            if getattr(policy, field) and not policy.agents:
                told = {"policy": policy.id, "parameter": words, "citation": origin_of(policy)}
                faults.append((f"policies[{i}].{field}", told))
    return CheckResult(("policies",), tuple(faults))


def _still_to_come(facts: Facts, _subject: Subject) -> CheckResult:
    faults = tuple(
        (f"policies[{i}].date", {"policy": policy.id, "by": policy.by, "day": long_date(policy.date)})
        for i, policy in enumerate(facts.description.policies)
        if policy.date is not None and is_coming(policy, facts.as_of)
    )
    return CheckResult(("policies",), faults)


POLICY_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "policies-not-looser": _not_looser,
    "policies-kept": _kept,
    "policies-in-force": _still_to_come,
    "policy-limits-name-agents": _limits_name_agents,
}
