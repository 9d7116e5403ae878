"""One mask or another in a task: each hazard and role has one, conditions are told, readings rise and end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from itertools import pairwise

from progdoc.core.said import said, said_join, same
from progdoc.model.description.alternatives import ActionStep, Role
from progdoc.model.description.quantities import Dimension
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import MaskUse, Task
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.text_intervals import quantities_in
from progdoc.rules.masks.action_steps import step_troubles, steps_in_order
from progdoc.rules.masks.selection import judge_mask, tests_are_qualitative
from progdoc.rules.records.own_text_checks import refuses_or_guesses
from progdoc.rules.requirement import Subject

__all__ = ["ALTERNATIVE_CHECKS"]

_UNASKED = said("nobody asks for its fit test, its cartridges or its upkeep")


def _of(facts: Facts, subject: Subject) -> tuple[str, Task]:
    return facts.tasks[subject.ids[0].partition(".")[2]]


def _each_hazard_has_a_mask(facts: Facts, subject: Subject) -> CheckResult:
    """Where masks are worn against some hazards of a task, each hazard of it is among them, and no other."""
    path, task = _of(facts, subject)
    if not any(use.against for use in task.masks):
        return CheckResult((f"{path}.masks",), nothing=said("No mask of the task is for some of its hazards only."))
    here = {hazard.id: hazard.agent for _, hazard in facts.hazards_by_task.get(task.id, ())}
    served = {hazard for use in task.masks for hazard in use.against or here}
    faults = [
        (f"{path}.masks[{i}].against", {"trouble": said("`%(hazard)s` is no hazard of this task", hazard=same(hazard))})
        for i, use in enumerate(task.masks)
        for hazard in use.against
        if hazard not in here
    ]
    left = [agent for name, agent in here.items() if name not in served]
    if left:
        faults.append(
            (f"{path}.masks", {"trouble": said("no mask is worn against %(left)s", left=said_join(left, ", "))})
        )
    faults += [
        (
            f"{path}.masks[{i}].when",
            {"trouble": said("under “%(when)s” two masks are worn, and against other hazards", when=use.when)},
        )
        for i, use in enumerate(task.masks)
        if any(_same_condition(use, one) and set(one.against) != set(use.against) for one in task.masks[:i])
    ]
    shown = tuple(f"{path}.masks[{i}].against" for i, use in enumerate(task.masks) if use.against)
    return CheckResult((f"{path}.masks",), tuple(faults), () if faults else shown)


def _same_condition(one: MaskUse, other: MaskUse) -> bool:
    """Return whether two masks are worn at one time by the same people: then the air is the same too."""
    told = [" ".join((use.when or "").casefold().split()).rstrip(".") for use in (one, other)]
    return bool(told[0]) and told[0] == told[1] and one.role is other.role


def _kept_apart_by_more_than_words(facts: Facts, subject: Subject) -> CheckResult:
    """What a mask is not worn against, and does not protect from, is shown not to be in the air under its condition."""
    path, task = _of(facts, subject)
    air = facts.selection.air[task.id]
    faults, shown = [], []
    for i, use in enumerate(task.masks):
        left_out = [agent for agent in air.agents if use.against and agent.hazard.id not in use.against]
        if not left_out or not use.when:
            continue
        mask, at = facts.masks[use.mask][1], f"{path}.masks[{i}]"
        parts = [facts.filters[name][1] for name in use.filters]
        whole = use.model_copy(update={"against": ()})
        is_qualitative = tests_are_qualitative(facts.description, mask.facepiece)
        if judge_mask(air, mask, parts, whole, at, is_qualitative).is_adequate:
            continue
        missing = [
            f"{at}.{name}"
            for name, is_said in (
                ("because", use.because and not refuses_or_guesses(use.because)),
                ("found_absent", use.found_absent),
            )
            if not is_said
        ]
        if not missing:  # words say who and by what; that it was measured is shown by its day alone
            shown += [f"{at}.because", f"{at}.found_absent"]
        else:
            agents = said_join((agent.name for agent in left_out), said(" and "))
            faults.append((missing[0], {"mask": label_of(mask), "agents": agents, "when": use.when}))
    nothing = "" if shown else said("No mask rests on its condition alone.")
    return CheckResult((f"{path}.masks",), tuple(faults), () if faults else tuple(shown), nothing=nothing)


def _condition_is_told(facts: Facts, subject: Subject) -> CheckResult:
    """A mask that is worn against some hazards only says when; the crew can't see it from the air."""
    path, task = _of(facts, subject)
    asked = [(i, use) for i, use in enumerate(task.masks) if use.against]
    if not asked:
        return CheckResult((f"{path}.masks",), nothing=said("No mask of the task is for some of its hazards only."))
    faults = tuple(
        (f"{path}.masks[{i}].when", {"mask": label_of(facts.masks[use.mask][1])}) for i, use in asked if not use.when
    )
    return CheckResult((f"{path}.masks",), faults, tuple(f"{path}.masks[{i}].when" for i, use in asked if use.when))


def _steps_reach(facts: Facts, subject: Subject) -> CheckResult:
    """Each mask does up to the reading at which the next step begins."""
    path, task = _of(facts, subject)
    place = f"{path}.steps"
    if not task.steps:
        return CheckResult((place,), nothing=said("Nothing changes with a reading."))
    air = facts.selection.air[task.id]
    masks = {name: mask for name, (_, mask) in facts.masks.items()}
    parts = {name: part for name, (_, part) in facts.filters.items()}
    worn = {name: tests_are_qualitative(facts.description, mask.facepiece) for name, mask in masks.items()}
    faults = [
        (f"{place}[{one.number}]", {"trouble": one.told}) for one in step_troubles(task, air, path, masks, parts, worn)
    ]
    here = {agent.hazard.id for agent in air.agents}
    faults += [
        (
            f"{place}[{i}].hazard",
            {"trouble": said("`%(hazard)s` is no hazard of this task, and the step is worn", hazard=same(step.hazard))},
        )
        for i, step in enumerate(task.steps)
        if step.hazard not in here
    ]
    listed = {use.mask for use in task.masks}
    faults += [
        (
            f"{place}[{i}].mask",
            {
                "trouble": said(
                    "the %(masks)s of a step is none of the task's masks: %(unasked)s",
                    masks=label_of(masks[step.mask]),
                    unasked=_UNASKED,
                )
            },
        )
        for i, step in enumerate(task.steps)
        if step.mask and step.mask not in listed
    ]
    shown = tuple(f"{place}[{i}].over" for i, _ in enumerate(task.steps))
    return CheckResult((place,), tuple(faults), () if faults else shown)


def _steps_rise_and_end(facts: Facts, subject: Subject) -> CheckResult:
    """Two steps begin at two readings, each says a mask or that all leave, and the last one ends the work."""
    path, task = _of(facts, subject)
    place = f"{path}.steps"
    faults: list[tuple[str, dict[str, str]]] = []
    for agent, steps in steps_in_order(task, facts.selection.air[task.id]):
        for (_, _, low), (number, step, high) in pairwise(steps):
            if low == high:
                faults.append(
                    (
                        f"{place}[{number}].over",
                        {"trouble": said("two steps begin at %(over)s", over=step.over.printed)},
                    )
                )
        number, last, _ = steps[-1]
        if not last.leave:
            words = said(
                "above %(over)s of %(agent)s no step says from where on all leave",
                over=last.over.printed,
                agent=agent.hazard.agent,
            )
            faults.append((f"{place}[{number}]", {"trouble": words}))
    faults += [
        (f"{place}[{i}].action", {"trouble": told})
        for i, step in enumerate(task.steps)
        if (told := _says_otherwise(facts, step))
    ]
    return CheckResult((place,), tuple(faults), nothing=said("No steps by a reading stand open."))


def _says_otherwise(facts: Facts, step: ActionStep) -> str:
    """Return why the words of a step tell of another mask or reading than its fields, or nothing."""
    words = step.action.casefold()
    labels = {name: label_of(mask).casefold() for name, (_, mask) in facts.masks.items()}
    called = {name: " ".join(label.split()[-2:]) for name, label in labels.items()}  # without its colour
    alike = Counter(called.values())
    named = [name for name in labels if labels[name] in words or (alike[called[name]] == 1 and called[name] in words)]
    if step.mask and named and step.mask not in named:
        return said(
            "“%(action)s” names another mask than the %(masks)s that it orders",
            action=step.action,
            masks=label_of(facts.masks[step.mask][1]),
        )
    levels = list(quantities_in(step.action, Dimension.CONCENTRATION))
    if levels and not any((level.value, level.unit) == (step.over.value, step.over.unit) for level in levels):
        return said("“%(action)s” names another reading than %(over)s", action=step.action, over=step.over.printed)
    return ""


def _each_role_has_a_mask(facts: Facts, subject: Subject) -> CheckResult:
    """In air that kills at once who goes in and who stands by have masks, where roles are told apart."""
    path, task = _of(facts, subject)
    told = {use.role for use in task.masks}
    if told <= {None} or not facts.selection.air[task.id].is_immediately_dangerous:
        return CheckResult(
            (f"{path}.masks",), nothing=said("No roles are told apart, or the air does not kill at once.")
        )
    missing = [role for role in (Role.ENTRANT, Role.STANDBY) if role not in told and None not in told]
    faults = tuple((f"{path}.masks", {"role": role.value}) for role in missing)
    shown = tuple(f"{path}.masks[{i}].role" for i, use in enumerate(task.masks) if use.role)
    return CheckResult((f"{path}.masks",), faults, () if faults else shown)


ALTERNATIVE_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "each-hazard-has-a-mask": _each_hazard_has_a_mask,
    "condition-is-told": _condition_is_told,
    "kept-apart-by-more-than-words": _kept_apart_by_more_than_words,
    "steps-reach": _steps_reach,
    "steps-rise-and-end": _steps_rise_and_end,
    "each-role-has-a-mask": _each_role_has_a_mask,
}
