"""Looks at a wearer's own papers: medical recommendations, training, masks issued, Appendix D.

Each check returns the places it read and, for each thing wrong, a place and the words for the placeholders
of the requirement's text. A medical reason never appears among the words: it is not in the description.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date
from functools import lru_cache

from progdoc.calc.due_dates import is_overdue
from progdoc.core.errors import ResourceError
from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join, same
from progdoc.model.description.masks import Mask
from progdoc.model.description.people import (
    MedicalEntry,
    MedicalLimit,
    Person,
    Recommendation,
    Topic,
    TrainingEntry,
)
from progdoc.model.description.policies import Policy
from progdoc.model.description.procedures import HairRule
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Effort, Task
from progdoc.rules.check_result import CheckResult, person_of, person_path, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import training_cycles
from progdoc.rules.in_force.intervals import Cycle, shortest
from progdoc.rules.in_force.policy_reach import origin_of
from progdoc.rules.in_force.rule_set import binding
from progdoc.rules.lookup.facepieces import is_tight_fitting
from progdoc.rules.lookup.medical_limits import Purpose, bars
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.records.escape_checks import usable_escape_masks
from progdoc.rules.requirement import Subject

__all__ = ["WEARER_CHECKS", "called_again_since", "latest_clearance", "training_cycle"]

_STRICTER = (Recommendation.CLEARED, Recommendation.WITH_LIMITS, Recommendation.NOT_CLEARED)

Check = Callable[[Facts, Subject], CheckResult]


# ---- medical ------------------------------------------------------------------------------------------


def latest_clearance(person: Person, as_of: date) -> MedicalEntry | None:
    """Return the newest written recommendation that exists on a day, or None.

    Of several of one day nobody knows which came last: each of them binds.
    """
    known = [entry for entry in person.medical if entry.date <= as_of]
    newest = max((entry.date for entry in known), default=None)
    same_day = [entry for entry in known if entry.date == newest]
    return _all_of_a_day(same_day) if same_day else None


def _all_of_a_day(entries: list[MedicalEntry]) -> MedicalEntry:
    strictest = max(entries, key=lambda entry: _STRICTER.index(entry.recommendation))
    if len(entries) == 1:
        return strictest
    limits = {limit for entry in entries for limit in entry.limits}
    return strictest.model_copy(
        update={
            "limits": tuple(limit for limit in MedicalLimit if limit in limits),
            "next_review": min((e.next_review for e in entries if e.next_review is not None), default=None),
            "follow_up_pending": any(entry.follow_up_pending for entry in entries),
            "copy_given": all(entry.copy_given is True for entry in entries) or None,
        }
    )


def _clearance(
    wrong: Callable[[Facts, Person, MedicalEntry | None], dict[str, str] | None],
    unless: Callable[[Person, MedicalEntry | None], str] | None = None,
) -> Check:
    """Judge the newest recommendation; `unless` says why there is nothing of the kind in it."""

    def check(facts: Facts, subject: Subject) -> CheckResult:
        person, path = person_of(facts, subject), f"{person_path(facts, subject)}.medical"
        entry = latest_clearance(person, facts.as_of)
        fault = wrong(facts, person, entry)
        why = unless(person, entry) if unless and fault is None else ""
        return CheckResult((path,), nothing=why) if why else result_at(path, fault)

    return check


def _no_review(_person: Person, entry: MedicalEntry | None) -> str:
    return "" if entry and entry.next_review else said("The professional named no day for a review.")


def _no_limits(_person: Person, entry: MedicalEntry | None) -> str:
    return "" if entry and entry.limits else said("The recommendation sets no limits.")


def _never_called_again(person: Person, _entry: MedicalEntry | None) -> str:
    return "" if any(e.reevaluate for e in person.medical) else said("Nothing has called for another evaluation.")


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


def called_again_since(person: Person, as_of: date) -> date | None:
    """Return since when another evaluation has been called for, without a recommendation that came of it."""
    open_since = [
        call.date
        for entry in person.medical
        for call in entry.reevaluate
        if call.date <= as_of
        and not any(other is not entry and call.date <= other.date <= as_of for other in person.medical)
    ]
    return min(open_since, default=None)


def _called_again(facts: Facts, person: Person, _entry: MedicalEntry | None) -> dict[str, str] | None:
    since = called_again_since(person, facts.as_of)
    return None if since is None else {"since": long_date(since)}


def _limits_unsaid(_facts: Facts, _person: Person, entry: MedicalEntry | None) -> dict[str, str] | None:
    if entry is None or entry.recommendation is not Recommendation.WITH_LIMITS:
        return None
    return None if entry.limits else {}


def _limits_ignored(facts: Facts, subject: Subject) -> CheckResult:
    """A task, or a mask issued for it, goes beyond the limits of the newest recommendation."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.medical"
    entry = latest_clearance(person, facts.as_of)
    relevant = facts.relevant_to(subject)
    if entry is None or not entry.limits:
        return CheckResult((path,), nothing=said("The recommendation sets no limits."))
    faults = []
    for _, task in relevant.tasks:
        allowed = {use.mask for use in task.masks}
        worn = [mask for _, mask in relevant.masks if mask.id in allowed]
        barred = _too_much(entry.limits, task, worn) or _no_way_out(facts, person, entry.limits, task)
        if barred or _too_hard(entry.limits, task):
            faults.append((path, {"task": label_of(task)}))
    return CheckResult((path,), tuple(faults))


def _too_hard(limits: Iterable[MedicalLimit], task: Task) -> bool:
    """Return whether the work is beyond what was cleared. How hot or how long is for the officer to judge."""
    return MedicalLimit.LIGHT_WORK_ONLY in limits and task.effort not in (None, Effort.LIGHT)


def _too_much(limits: Iterable[MedicalLimit], task: Task, worn: Iterable[Mask]) -> bool:
    return any(bars(limit, mask, _worn_for(task, mask)) for limit in limits for mask in worn)


def _worn_for(task: Task, mask: Mask) -> Purpose:
    if mask.escape_only:
        return Purpose.ESCAPE
    return Purpose.EMERGENCY if task.emergency_only or mask.emergency else Purpose.WORK


def _no_way_out(facts: Facts, person: Person, limits: Iterable[MedicalLimit], task: Task) -> bool:
    """Return whether limits bar every mask in which this person could get out; who has none is found elsewhere."""
    issued = {one.mask for one in person.masks}
    usable = usable_escape_masks(facts, task)
    own = [mask for mask in usable if is_tight_fitting(mask) is False or mask.id in issued] or usable
    return bool(own) and all(any(bars(limit, mask, Purpose.ESCAPE) for limit in limits) for mask in own)


def _heat_and_time(facts: Facts, subject: Subject) -> CheckResult:
    """A limit on heat or on the time in a mask, which no table can hold against a task: each task is asked about."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.medical"
    entry = latest_clearance(person, facts.as_of)
    if entry is None or not {MedicalLimit.LIMITED_TIME, MedicalLimit.NO_HEAT} & set(entry.limits):
        return CheckResult((path,), nothing=said("The recommendation sets no limit on heat or time."))
    faults = tuple(
        (
            path,
            {
                "task": label_of(task),
                "work": said_join(_hours_and_heat(task), "; ") or said("how long and how hot is not said"),
            },
        )
        for _, task in facts.relevant_to(subject).tasks
    )
    return CheckResult((path,), faults)


def _hours_and_heat(task: Task) -> Iterator[str]:
    if task.duration is not None:
        yield task.duration.printed
    if task.temperature_high is not None:
        yield said("up to %(temperature_high)s", temperature_high=task.temperature_high.printed)


# ---- training and the rest of a wearer's papers -------------------------------------------------------


def _trainings(person: Person, as_of: date) -> list[TrainingEntry]:
    return sorted((t for t in person.training if t.date <= as_of), key=lambda t: t.date)


def training_cycle(facts: Facts, subject: Subject, day: date) -> Cycle:
    """Return the interval that ends first for a training of a day."""
    found = shortest(day, facts.about_work(subject, _training_cycles))
    if found is None:
        raise ResourceError("the catalogue sets no interval for training")
    return found


def _training_cycles(facts: Facts, subject: Subject) -> tuple[Cycle, ...]:
    return training_cycles(facts.rules, facts.tasks_of(subject), facts.masks_about(subject))


Wrong = Callable[[Facts, Subject, list[TrainingEntry]], dict[str, str] | None]


def _training(wrong: Wrong) -> Check:
    def check(facts: Facts, subject: Subject) -> CheckResult:
        fault = wrong(facts, subject, _trainings(person_of(facts, subject), facts.as_of))
        return result_at(f"{person_path(facts, subject)}.training", fault)

    return check


def _never_trained(_facts: Facts, _subject: Subject, done: list[TrainingEntry]) -> dict[str, str] | None:
    return None if done else {}


def _training_overdue(facts: Facts, subject: Subject, done: list[TrainingEntry]) -> dict[str, str] | None:
    if not done:
        return None
    cycle = training_cycle(facts, subject, done[-1].date)
    due = cycle.from_day(done[-1].date)
    if not is_overdue(due, facts.as_of):
        return None
    return {"last_date": long_date(done[-1].date), "due_date": long_date(due), **cycle.cites}


def _topics_missing(facts: Facts, subject: Subject, done: list[TrainingEntry]) -> dict[str, str] | None:
    if not done:
        return None
    cycle = training_cycle(facts, subject, done[-1].date)
    since = [t for t in done if not is_overdue(cycle.from_day(t.date), facts.as_of)]
    covered = {topic for entry in since or done[-1:] for topic in entry.topics}
    missing = tuple(topic for topic in Topic if topic not in covered)
    return {"missing": _named(missing)} if missing else None


@lru_cache(maxsize=1024)  # a crew lacks the same
def _named(topics: tuple[Topic, ...]) -> str:
    return said_join((same(topic.value) for topic in topics), ", ")


def _knowledge_not_shown(_facts: Facts, _subject: Subject, done: list[TrainingEntry]) -> dict[str, str] | None:
    return {"last_date": long_date(done[-1].date)} if done and done[-1].knowledge_shown is not True else None


def _hair_against_policies(facts: Facts, subject: Subject) -> CheckResult:
    """A policy wants clean-shaven wearers: agreed to since it was written, and seen when last looked at."""
    person, path = person_of(facts, subject), person_path(facts, subject)
    faults = []
    for policy in binding(facts.rules, facts.tasks_of(subject), facts.masks_about(subject)):
        for field, told in _hair_told(person, policy, facts.as_of) if policy.clean_shaven else ():
            words = {"told": told, "policy": origin_of(policy), "citation": origin_of(policy)}
            faults.append((f"{path}.{field}", words))
    accepted, shaven, in_seal = (f"{path}.{field}" for field in ("hair_rule_accepted", "clean_shaven", "hair_in_seal"))
    return CheckResult((accepted, shaven, in_seal), tuple(faults), () if faults else (accepted, shaven))


def _hair_told(person: Person, policy: Policy, as_of: date) -> Iterator[tuple[str, str]]:
    """Yield, with its field, what a wearer's records hold against a policy for clean-shaven wearers."""
    agreed = person.hair_rule_accepted
    if agreed is None:
        yield "hair_rule_accepted", said("never agreed to a rule on hair")
    elif agreed > as_of:
        yield "hair_rule_accepted", said("is to agree to a rule on hair only on %(agreed)s", agreed=long_date(agreed))
    elif policy.date is not None and agreed < policy.date:
        yield "hair_rule_accepted", said("agreed on %(agreed)s to a rule from before it", agreed=long_date(agreed))
    if person.hair_in_seal:
        yield "hair_in_seal", said("hair was seen under the seal or at a valve when the face was last looked at")
    elif person.clean_shaven is None:
        yield "clean_shaven", said("nobody recorded whether the face was clean-shaven when last looked at")
    elif not person.clean_shaven:
        yield "clean_shaven", said("was not clean-shaven when the face was last looked at")


def _shaven_by_own_rule(facts: Facts, subject: Subject) -> CheckResult:
    """The firm's own rule wants clean-shaven wearers, and this one was not when last looked at."""
    shaven, rule = f"{person_path(facts, subject)}.clean_shaven", "procedures.use.hair"
    seen = person_of(facts, subject).clean_shaven
    if facts.description.procedures.use.hair is not HairRule.CLEAN_SHAVEN:
        return CheckResult((shaven, rule), nothing=said("The firm has no rule that wearers are clean-shaven."))
    if seen is None:
        return CheckResult((shaven, rule), nothing=said("Nobody recorded whether the face is clean-shaven."))
    return CheckResult((shaven, rule), () if seen else ((shaven, {}),))


def _no_mask_for_task(facts: Facts, subject: Subject) -> CheckResult:
    """A wearer in a task has none of the masks that the task allows."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.masks"
    issued = {m.mask for m in person.masks if not is_withdrawn(facts.masks[m.mask][1], facts.as_of)}
    faults = [
        (path, {"task": label_of(task), "masks": said_join((label_of(m) for _, m in facts.masks_of(task)), ", ")})
        for _, task in facts.relevant_to(subject).tasks
        if facts.is_worn(task) and task.masks and not issued & {use.mask for use in task.masks}
    ]
    if not any(facts.is_worn(task) and task.masks for _, task in facts.relevant_to(subject).tasks):
        return CheckResult((path,), nothing=said("No task that names this wearer names a mask."))
    return CheckResult((path,), tuple(faults))


def _appendix_d_not_given(facts: Facts, subject: Subject) -> CheckResult:
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.appendix_d"
    given = person.appendix_d is not None and person.appendix_d.date <= facts.as_of
    return result_at(path, None if given else {})


WEARER_CHECKS: dict[str, Check] = {
    "recommendation-on-file": _clearance(_no_recommendation),
    "cleared": _clearance(_not_cleared),
    "no-follow-up-pending": _clearance(_follow_up_pending),
    "review-not-overdue": _clearance(_review_overdue, _no_review),
    "copy-given": _clearance(_copy_not_given),
    "limits-named": _clearance(_limits_unsaid, _no_limits),
    "limits-kept": _limits_ignored,
    "heat-and-time-weighed": _heat_and_time,
    "evaluated-again-when-called-for": _clearance(_called_again, _never_called_again),
    "ever-trained": _training(_never_trained),
    "training-not-overdue": _training(_training_overdue),
    "topics-covered": _training(_topics_missing),
    "knowledge-shown": _training(_knowledge_not_shown),
    "hair-as-policy-asks": _hair_against_policies,
    "shaven-by-own-rule": _shaven_by_own_rule,
    "mask-issued": _no_mask_for_task,
    "appendix-d-given": _appendix_d_not_given,
}
