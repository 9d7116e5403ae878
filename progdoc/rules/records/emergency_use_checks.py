"""Looks at what is said to be for emergencies: whether task, reason and mask say the same.

A mask for emergencies has duties of its own: it hangs at hand and marked, it is looked at each month. Called one thing
in the task and another among the masks, it would have the duties of neither.
"""

from __future__ import annotations

from collections.abc import Callable

from progdoc.core.said import said
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task, WhyMasks
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.requirement import Subject

__all__ = ["EMERGENCY_USE_CHECKS"]


def _is_for_emergencies(task: Task) -> bool:
    return task.emergency_only or task.why_masks is WhyMasks.EMERGENCY


def _kept_for_emergencies(facts: Facts, subject: Subject) -> CheckResult:
    """A mask worn in an emergency only is one that is kept for emergencies."""
    task_path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    path, mask = facts.masks[subject.ids[1].partition(".")[2]]
    read = (f"{task_path}.emergency_only", f"{path}.emergency")
    if not _is_for_emergencies(task):
        return CheckResult(read, nothing=said("The mask is worn at routine work here."))
    return CheckResult(read, () if mask.emergency else ((f"{path}.emergency", {"task": label_of(task)}),), (read[1],))


def _reason_as_use(facts: Facts, subject: Subject) -> CheckResult:
    """Work for which masks are said to be for emergencies only is declared as such."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    read = (f"{path}.why_masks", f"{path}.emergency_only")
    if task.why_masks is not WhyMasks.EMERGENCY:
        return CheckResult(read, nothing=said("That masks are for emergencies only is not given as the reason."))
    return CheckResult(read, () if task.emergency_only else ((read[1], {}),), (read[1],))


def _reason_as_air(facts: Facts, subject: Subject) -> CheckResult:
    """Where a mask is said to be only wanted, no limit is passed."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    read = (f"{path}.why_masks",)
    if task.why_masks is not WhyMasks.WANTED:
        return CheckResult(read, nothing=said("That a mask is only wanted is not given as the reason."))
    return CheckResult(read, ((read[0], {}),) if facts.selection.air[task.id].needs_mask else (), read)


def _not_at_routine_work(facts: Facts, subject: Subject) -> CheckResult:
    """A mask that is kept for emergencies is not the one worn at routine work."""
    task_path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    path, mask = facts.masks[subject.ids[1].partition(".")[2]]
    read = (f"{path}.emergency", f"{task_path}.emergency_only")
    if not mask.emergency:
        return CheckResult(read, nothing=said("It is not kept for emergencies."))
    return CheckResult(read, () if _is_for_emergencies(task) else ((read[0], {"task": label_of(task)}),), (read[1],))


def _none_beside_some(facts: Facts, _subject: Subject) -> CheckResult:
    """Where emergencies are listed, nobody says why none is foreseeable."""
    plan = facts.description.procedures.emergencies
    read = ("procedures.emergencies.none_because", "procedures.emergencies.foreseeable")
    if plan.none_because is None or not plan.foreseeable:
        return CheckResult(read, nothing=said("Emergencies are listed, or why there is none, and not both."))
    return CheckResult(read, ((read[0], {"text": plan.none_because, "first": plan.foreseeable[0].what}),))


EMERGENCY_USE_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "emergency-mask-kept-as-one": _kept_for_emergencies,
    "emergency-reason-as-use": _reason_as_use,
    "reason-as-air": _reason_as_air,
    "emergency-mask-not-routine": _not_at_routine_work,
    "none-foreseen-or-some": _none_beside_some,
}
