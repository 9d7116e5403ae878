"""Looks at records: the few proofs that need more than one field and the day of evaluation.

Each check returns the places it read and, for each thing wrong, a place and the words for the placeholders
of the requirement's text. A medical reason never appears among the words: it is not in the description.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

from progdoc.calc.due import due_date, is_overdue
from progdoc.core.numbers import long_date
from progdoc.model.masks import Facepiece, Mode
from progdoc.model.people import (
    MedicalEntry,
    MedicalLimit,
    Person,
    Recommendation,
    Topic,
    TrainingEntry,
)
from progdoc.model.workplace import Effort, Use
from progdoc.rules.check_result import CheckResult, person_of, person_path, result_at
from progdoc.rules.facts import Facts, label_of
from progdoc.rules.fit_checks import FIT_CHECKS
from progdoc.rules.requirement import Subject
from progdoc.rules.upkeep_checks import UPKEEP_CHECKS

__all__ = ["CHECKS", "latest_clearance", "training_due"]

_YEAR_MONTHS = 12  # 29 CFR 1910.134(k)(5)


# ---- medical ------------------------------------------------------------------------------------------


def latest_clearance(person: Person, as_of: date) -> MedicalEntry | None:
    """Return the newest written recommendation that exists on a day, or None."""
    known = [entry for entry in person.medical if entry.date <= as_of]
    return max(known, key=lambda entry: entry.date, default=None)


def _clearance(wrong: Callable[[Facts, Person, MedicalEntry | None], dict[str, str] | None]) -> Check:
    def check(facts: Facts, subject: Subject) -> CheckResult:
        person = person_of(facts, subject)
        fault = wrong(facts, person, latest_clearance(person, facts.as_of))
        return result_at(f"{person_path(facts, subject)}.medical", fault)

    return check


def _no_recommendation(_facts: Facts, _person: Person, entry: MedicalEntry | None) -> dict[str, str] | None:
    return {} if entry is None else None


def _not_cleared(_facts: Facts, _person: Person, entry: MedicalEntry | None) -> dict[str, str] | None:
    return {} if entry is not None and entry.recommendation is Recommendation.NOT_CLEARED else None


def _follow_up_pending(_facts: Facts, _person: Person, entry: MedicalEntry | None) -> dict[str, str] | None:
    return {} if entry is not None and entry.follow_up_pending else None


def _review_overdue(facts: Facts, _person: Person, entry: MedicalEntry | None) -> dict[str, str] | None:
    if entry is None or entry.next_review is None or not is_overdue(entry.next_review, facts.as_of):
        return None
    return {"due": long_date(entry.next_review)}


def _copy_not_given(_facts: Facts, _person: Person, entry: MedicalEntry | None) -> dict[str, str] | None:
    return {} if entry is not None and entry.copy_given is not True else None


def _limits_ignored(facts: Facts, person: Person, entry: MedicalEntry | None) -> dict[str, str] | None:
    if entry is None or not entry.limits:
        return None
    against = set(entry.limits)
    for _, task in facts.tasks_by_person.get(person.id, ()):
        worn = [facts.masks[i.mask][1] for i in person.masks if any(u.mask == i.mask for u in task.masks)]
        if against & {MedicalLimit.POWERED_ONLY, MedicalLimit.NO_NEGATIVE_PRESSURE} and any(
            mask.mode is Mode.AIR_PURIFYING for mask in worn
        ):
            return {"task": label_of(task)}
        if MedicalLimit.LIGHT_WORK_ONLY in against and task.effort not in (None, Effort.LIGHT):
            return {"task": label_of(task)}
        if MedicalLimit.NO_SCBA in against and any(
            mask.mode in (Mode.SCBA_DEMAND, Mode.SCBA_PRESSURE_DEMAND) for mask in worn
        ):
            return {"task": label_of(task)}
        if MedicalLimit.NO_EMERGENCY in against and (task.emergency_only or any(m.emergency for m in worn)):
            return {"task": label_of(task)}
    return None


# ---- training and the rest of a wearer's papers -------------------------------------------------------


def _trainings(person: Person, as_of: date) -> list[TrainingEntry]:
    return sorted((t for t in person.training if t.date <= as_of), key=lambda t: t.date)


def training_due(person: Person, as_of: date) -> date | None:
    """Return the last day on which the newest training counts, or None without one."""
    done = _trainings(person, as_of)
    return due_date(done[-1].date, months=_YEAR_MONTHS) if done else None


def _training(wrong: Callable[[Facts, list[TrainingEntry]], dict[str, str] | None]) -> Check:
    def check(facts: Facts, subject: Subject) -> CheckResult:
        fault = wrong(facts, _trainings(person_of(facts, subject), facts.as_of))
        return result_at(f"{person_path(facts, subject)}.training", fault)

    return check


def _never_trained(_facts: Facts, done: list[TrainingEntry]) -> dict[str, str] | None:
    return None if done else {}


def _training_overdue(facts: Facts, done: list[TrainingEntry]) -> dict[str, str] | None:
    if not done:
        return None
    due = due_date(done[-1].date, months=_YEAR_MONTHS)
    if not is_overdue(due, facts.as_of):
        return None
    return {"last_date": long_date(done[-1].date), "due_date": long_date(due)}


def _topics_missing(facts: Facts, done: list[TrainingEntry]) -> dict[str, str] | None:
    if not done:
        return None
    since = [t for t in done if not is_overdue(due_date(t.date, months=_YEAR_MONTHS), facts.as_of)]
    covered = {topic for entry in since or done[-1:] for topic in entry.topics}
    missing = [topic.value for topic in Topic if topic not in covered]
    return {"missing": ", ".join(missing)} if missing else None


def _knowledge_not_shown(_facts: Facts, done: list[TrainingEntry]) -> dict[str, str] | None:
    return {"last_date": long_date(done[-1].date)} if done and done[-1].knowledge_shown is not True else None


def _no_mask_for_task(facts: Facts, subject: Subject) -> CheckResult:
    """A wearer in a task has none of the masks that the task allows."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.masks"
    issued = {m.mask for m in person.masks}
    faults = [
        (path, {"task": label_of(task), "masks": ", ".join(label_of(m) for _, m in facts.masks_of(task))})
        for _, task in facts.tasks_by_person.get(person.id, ())
        if facts.is_worn(task) and task.masks and not issued & {use.mask for use in task.masks}
    ]
    return CheckResult((path,), tuple(faults))


def _appendix_d_not_given(facts: Facts, subject: Subject) -> CheckResult:
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.appendix_d"
    given = person.appendix_d is not None and person.appendix_d.date <= facts.as_of
    return result_at(path, None if given else {})


# ---- the workplace ------------------------------------------------------------------------------------


def _person_unknown_to_records(facts: Facts, subject: Subject) -> CheckResult:
    """A task in which a mask is required names nobody who does it."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    return result_at(f"{path}.people", None if task.people else {})


def _nothing_assessed(facts: Facts, subject: Subject) -> CheckResult:
    """A task in which masks are worn has no hazard described."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    return result_at(path, None if task.id in facts.hazards_by_task else {})


def _no_task_needs_judging(facts: Facts, _subject: Subject) -> CheckResult:
    """No task at all is described: nobody has looked for hazards."""
    return result_at("tasks", None if facts.description.tasks else {})


def _too_little_choice(facts: Facts, subject: Subject) -> CheckResult:
    """One model in one size is no choice; two of either are the least that can be called one (our reading)."""
    by_kind: dict[Facepiece, set[tuple[str, str]]] = {}
    place: dict[Facepiece, str] = {}
    for path, mask in facts.reach(subject).masks:
        if mask.facepiece is None or mask.escape_only:
            continue
        place.setdefault(mask.facepiece, path)
        by_kind.setdefault(mask.facepiece, set()).update((mask.id, size) for size in mask.sizes)
    faults = [
        (f"{place[kind]}.sizes", {"kind": kind.value.replace("-", " ")})
        for kind, offered in by_kind.items()
        if len(offered) < 2 and kind not in (Facepiece.HOOD, Facepiece.HELMET, Facepiece.LOOSE_FITTING)
    ]
    return CheckResult(tuple(f"{path}.sizes" for path in place.values()), tuple(faults))


def _approval_misspelt(facts: Facts, subject: Subject) -> CheckResult:
    """A NIOSH approval number has one of six shapes; which kinds it covers can't be told from it."""
    path = f"{subject.path}.approval"
    approval = facts.value_at(path)
    return result_at(path, None if approval is None or _APPROVAL.fullmatch(approval) else {"approval": approval})


def _filter_kind_unknown(facts: Facts, subject: Subject) -> CheckResult:
    part = facts.value_at(subject.path)
    known = part.particulate is not None or part.gases or part.agents
    return result_at(f"{subject.path}.particulate", None if known else {})


def _no_schedule(facts: Facts, subject: Subject) -> CheckResult:
    """A gas or vapour cartridge worn in a task has neither an indicator that suits nor a change schedule."""
    path, part = facts.filters[subject.ids[0].partition(".")[2]]
    base = "procedures.filter_changes.schedules"
    if part.esli_for and part.esli_suits:
        return CheckResult((f"{path}.esli_suits", base))
    schedules = facts.description.procedures.filter_changes.schedules
    planned = {task for s in schedules if s.filter == part.id for task in s.tasks}
    faults = [
        (base, {"task": label_of(task), "cartridge": label_of(part)})
        for _, task in facts.reach(subject).tasks
        if task.id not in planned
    ]
    return CheckResult((base, f"{path}.esli_for"), tuple(faults))


def _declared_voluntary(facts: Facts, subject: Subject) -> CheckResult:
    """A task is called voluntary, or mask-free, though its air calls for a mask."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    wrong = task.use in (Use.VOLUNTARY, Use.NONE) and facts.is_needed(task)
    return result_at(f"{path}.use", {"use": task.use.value if task.use else ""} if wrong else None)


_APPROVAL = re.compile(r"TC-(?:84A-[0-9]{3,5}|13F-[0-9]+|14G-[0-9]+|19C-[0-9]+|21C-[0-9]+|23C-[0-9]+)[A-Z]{0,6}")

Check = Callable[[Facts, Subject], CheckResult]

CHECKS: dict[str, Check] = {
    "recommendation-on-file": _clearance(_no_recommendation),
    "cleared": _clearance(_not_cleared),
    "no-follow-up-pending": _clearance(_follow_up_pending),
    "review-not-overdue": _clearance(_review_overdue),
    "copy-given": _clearance(_copy_not_given),
    "limits-kept": _clearance(_limits_ignored),
    "ever-trained": _training(_never_trained),
    "training-not-overdue": _training(_training_overdue),
    "topics-covered": _training(_topics_missing),
    "knowledge-shown": _training(_knowledge_not_shown),
    "mask-issued": _no_mask_for_task,
    "appendix-d-given": _appendix_d_not_given,
    "people-named": _person_unknown_to_records,
    "hazards-described": _nothing_assessed,
    "tasks-described": _no_task_needs_judging,
    "choice-offered": _too_little_choice,
    "approval-shaped": _approval_misspelt,
    "filter-kind-given": _filter_kind_unknown,
    "change-scheduled": _no_schedule,
    "use-declared-rightly": _declared_voluntary,
    **FIT_CHECKS,
    **UPKEEP_CHECKS,
}
