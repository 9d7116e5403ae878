"""The firm's own calendar: what is overdue by it, what it says no time of, and where it is looser than the law."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from progdoc.calc.calendar_days import window_end_after
from progdoc.calc.due_dates import is_overdue
from progdoc.core.numbers import long_date
from progdoc.core.said import said
from progdoc.model.description.calendar_entries import CalendarEntry, Routine
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.intervals import Cycle, cycle_of, cycles, own, shortest
from progdoc.rules.in_force.own_calendar import months_of, next_day, what_words, when_words
from progdoc.rules.in_force.policy_reach import origin_of
from progdoc.rules.judged.calendar_results import CalendarDay
from progdoc.rules.judged.figure_results import InForce
from progdoc.rules.lookup.telling_words import is_told
from progdoc.rules.requirement import Subject

__all__ = ["CALENDAR_CHECKS", "calendar_days", "set_by"]

# The figure of the law, or of whoever asks for more, that a routine may not be looser than.
_FIGURES = {
    Routine.FIT_TEST: ("fit-test-interval",),
    Routine.TRAINING: ("training-interval",),
    Routine.EVALUATION: ("evaluation-interval",),
    Routine.FLOW_TEST: ("flow-test-interval",),
}
_OF_PEOPLE = (Routine.FIT_TEST, Routine.TRAINING)
_A_YEAR = 366  # days; our own figure
_WITHIN_A_YEAR = (
    Routine.EVALUATION,
    Routine.CONSULTATION,
    Routine.INSPECTION,
    Routine.CLEANING,
    Routine.FILTER_CHANGE,
    Routine.SORBENT_CHANGE,
    Routine.AIR_TEST,
    Routine.DRILL,
)

# Of which records the law sets how long they are kept, and from when.
_OF_HEALTH = {
    Routine.MEDICAL_REVIEW: ("medical-records-kept", said(" from the day on which somebody left")),
    Routine.AIR_MONITORING: ("exposure-records-kept", ""),
}


def set_by(facts: Facts, entry: CalendarEntry) -> str:
    """Return who set it: the policy, whoever is named, or the firm's practice."""
    for policy in facts.description.policies:
        if policy.id == entry.policy:
            return origin_of(policy)
    return (
        said("practice of the firm, set by %(set_by)s", set_by=entry.set_by)
        if entry.set_by
        else said("practice of the firm")
    )


def calendar_days(facts: Facts) -> dict[str, CalendarDay]:
    """Return by its id how each entry of the calendar stands."""
    return {
        entry.id: CalendarDay(what_words(entry), when_words(entry), set_by(facts, entry), next_day(entry))
        for entry in facts.description.calendar
    }


def _overdue(is_of_policy: bool) -> Callable[[Facts, Subject], CheckResult]:
    def check(facts: Facts, subject: Subject) -> CheckResult:
        entry, path = facts.value_at(subject.path), f"{subject.path}.last_done"
        if (entry.policy is not None) is not is_of_policy:
            return CheckResult((path,), nothing=said("Somebody else set it."))
        due = next_day(entry)
        if due is None:
            return CheckResult((path,), nothing=said("When it was last done is not said, or it goes by no calendar."))
        words = {"last": long_date(entry.last_done), "due": long_date(due), "when": when_words(entry)}
        cites = {"citation": set_by(facts, entry)} if is_of_policy else {}
        return result_at(path, {**words, **cites} if is_overdue(due, facts.as_of) else None)

    return check


def _says_when(facts: Facts, subject: Subject) -> CheckResult:
    entry, path = facts.value_at(subject.path), subject.path
    told: dict[str, Any] = {"every": entry.every, "window": entry.window, "once_per": entry.once_per}
    shown = [f"{path}.{name}" for name, value in told.items() if value is not None]
    shown += [f"{path}.weekdays"] if entry.weekdays else []
    return CheckResult((path,), () if shown else ((path, {}),), shown=tuple(shown[:1]))


def _law_of(facts: Facts, entry: CalendarEntry) -> tuple[Cycle, ...]:
    """Return the intervals that bind all whom an entry is for; what binds some of them alone is told beside it."""
    tasks = [task for _, task in facts.our_tasks]
    masks = [facts.masks[name][1] for name in entry.masks] or [mask for _, mask in facts.masks.values()]
    bound = [facts]
    if entry.routine in _OF_PEOPLE:
        whom = (person for _, person in facts.present if not entry.groups or person.group in entry.groups)
        bound = list(dict.fromkeys(map(facts.of, whom))) or bound
    each = [[*cycles(one.rules, name, tasks, masks)] for one in bound for name in _FIGURES.get(entry.routine, ())]
    return tuple(one for one in each[0] if all(one in others for others in each)) if each else ()


def _not_looser(facts: Facts, subject: Subject) -> CheckResult:
    """The interval of an entry is no longer than that of the law, or of whoever asks for more."""
    entry, path = facts.value_at(subject.path), f"{subject.path}.every"
    mine, asked = shortest(facts.as_of, own(entry.every)), shortest(facts.as_of, _law_of(facts, entry))
    if mine is None or asked is None:
        return CheckResult((path,), nothing=said("It has no interval, or nobody else sets one."))
    is_looser = mine.from_day(facts.as_of) > asked.from_day(facts.as_of)
    words = {"found": mine.text, "most": asked.text, "asked_by": asked.basis, "citation": asked.basis}
    return result_at(path, words if is_looser else None)


def _window_holds(facts: Facts, subject: Subject) -> CheckResult:
    """Once a year within some months lets more than the interval go by from one to the next."""
    entry, path = facts.value_at(subject.path), f"{subject.path}.window"
    asked = shortest(facts.as_of, _law_of(facts, entry))
    if entry.window is None or asked is None or entry.every is not None:
        return CheckResult((path,), nothing=said("It has no window alone, or nobody else sets an interval."))
    first, last = months_of(entry.window)
    early = date(facts.as_of.year, first, 1)
    late = window_end_after(early, first, last)
    words = {"when": when_words(entry), "most": asked.text, "asked_by": asked.basis}
    return result_at(path, words if late > asked.from_day(early) else None)


def _kept_long_enough(facts: Facts, subject: Subject) -> CheckResult:
    """The record of a fit test is kept until the next one, which is the longest interval away at most."""
    entry, path = facts.value_at(subject.path), f"{subject.path}.kept_for"
    kept = shortest(facts.as_of, own(entry.kept_for))
    until = shortest(facts.as_of, _law_of(facts, entry)) if entry.routine is Routine.FIT_TEST else None
    if kept is None or until is None:
        return CheckResult(
            (path,), nothing=said("How long its record is kept is not said, or no next one ends that time.")
        )
    is_short = kept.from_day(facts.as_of) < until.from_day(facts.as_of)
    return result_at(path, {"found": kept.text, "least": until.text} if is_short else None)


def _not_given_out_as_law(facts: Facts, subject: Subject) -> CheckResult:
    """No law or agency is said to have set what comes round, where neither sets a time for it."""
    entry, path = facts.value_at(subject.path), f"{subject.path}.set_by"
    if entry.set_by is None or entry.routine in _FIGURES:
        return CheckResult((path,), nothing=said("No law is named, or one sets the time."))
    is_law = is_told("agencies", entry.set_by) or is_told("names_the_law", entry.set_by)
    faults = ((path, {"text": entry.set_by, "what": what_words(entry)}),) if is_law else ()
    return CheckResult((path,), faults, nothing=said("No law or agency is named."))


def _not_too_seldom(facts: Facts, subject: Subject) -> CheckResult:
    """What keeps masks and air in order comes round within our own figure, where the law sets none."""
    entry, path = facts.value_at(subject.path), f"{subject.path}.every"
    mine = shortest(facts.as_of, own(entry.every))
    if mine is None or entry.routine not in _WITHIN_A_YEAR:
        return CheckResult((path,), nothing=said("It has no interval, or may come seldom."))
    is_seldom = (mine.from_day(facts.as_of) - facts.as_of).days > _A_YEAR
    faults = ((path, {"found": mine.text, "what": what_words(entry)}),) if is_seldom else ()
    return CheckResult((path,), faults, nothing=said("It comes round within a year."))


def _kept_as_of_health(facts: Facts, subject: Subject) -> CheckResult:
    """The record of an evaluation, or of a measurement, is kept for the years that the law has such records kept."""
    entry, path = facts.value_at(subject.path), f"{subject.path}.kept_for"
    value, from_when = _OF_HEALTH.get(entry.routine, ("", ""))
    kept = shortest(facts.as_of, own(entry.kept_for))
    least = facts.rules.law[value] if value else None
    if least is None or least.value is None or kept is None:
        return CheckResult((path,), nothing=said("It is no record of health, or how long it is kept is not said."))
    until = shortest(facts.as_of, (cycle_of(InForce(least.value, least.text, least.citation)),))
    is_short = until is not None and kept.from_day(facts.as_of) < until.from_day(facts.as_of)
    words = {"found": kept.text, "least": least.text, "from_when": from_when, "citation": least.citation}
    return result_at(path, words if is_short else None)


def _inspection_kept(facts: Facts, subject: Subject) -> CheckResult:
    """What an inspection of masks for emergencies found is kept until the next one replaces it."""
    entry, path = facts.value_at(subject.path), f"{subject.path}.kept_for"
    masks = [facts.masks[name][1] for name in entry.masks] or [mask for _, mask in facts.masks.values()]
    of_emergencies = [mask for mask in masks if mask.emergency]
    kept = shortest(facts.as_of, own(entry.kept_for))
    if entry.routine is not Routine.INSPECTION or not of_emergencies or kept is None:
        return CheckResult((path,), nothing=said("It is no inspection of emergency masks, or the time is not said."))
    tasks = [task for _, task in facts.our_tasks]
    until = shortest(facts.as_of, cycles(facts.rules, "emergency-inspection-interval", tasks, of_emergencies))
    is_short = until is not None and kept.from_day(facts.as_of) < until.from_day(facts.as_of)
    return result_at(path, {"found": kept.text, "least": until.text if until else ""} if is_short else None)


CALENDAR_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "practice-not-overdue": _overdue(is_of_policy=False),
    "policy-date-not-overdue": _overdue(is_of_policy=True),
    "calendar-says-when": _says_when,
    "calendar-not-given-out-as-law": _not_given_out_as_law,
    "calendar-not-too-seldom": _not_too_seldom,
    "calendar-not-looser": _not_looser,
    "window-within-interval": _window_holds,
    "record-kept-until-next": _kept_long_enough,
    "record-kept-as-long-as-of-health": _kept_as_of_health,
    "inspection-kept-until-next": _inspection_kept,
}
