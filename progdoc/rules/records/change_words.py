"""Looks at the words by which a crew changes its cartridges: by a moment that comes in time, and not by the nose.

The words are data (`catalogue/tables/telling_words.yaml`); what they mean in hours is held against the longest time
in use that the schedule allows. The clock runs from the opening of a cartridge, worn or not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from progdoc.core.numbers import interval_words
from progdoc.model.description.fields import texts_in
from progdoc.model.description.quantities import Dimension, in_unit
from progdoc.model.description.upkeep import Schedule
from progdoc.rules.air.levels import worked_minutes
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.telling_words import is_told, left_to_the_nose
from progdoc.rules.lookup.text_intervals import intervals_in, quantities_in
from progdoc.rules.requirement import Subject

__all__ = ["CHANGE_WORD_CHECKS"]

_MINUTES_IN_DAY = 1440
_DAYS_IN_MONTH = 30  # no month is taken for longer than it is
_RESTS_ON = ("data", "reliance")
_HAIR = 1.0 + 1e-9  # minutes come from hours times 60


def _not_by_the_senses(facts: Facts, subject: Subject) -> CheckResult:
    """A change that waits for a smell, and names no moment that comes in any case."""
    path, plan = f"{subject.path}.change", facts.value_at(subject.path)
    if plan.change is None or said_by(plan.change) is not Said.ANSWER:
        return CheckResult((path,), nothing="Nobody says when it is changed.")
    return result_at(path, {"text": plan.change} if left_to_the_nose(plan.change) else None)


def _words_keep_hours(facts: Facts, subject: Subject) -> CheckResult:
    """What the words mean comes no later than the longest time in use beside them."""
    path, hours = f"{subject.path}.change", f"{subject.path}.after"
    plan = facts.value_at(subject.path)
    if plan.change is None or plan.after is None or said_by(plan.change) is not Said.ANSWER:
        return CheckResult((path, hours), nothing="No words stand beside hours.")
    allowed = in_unit(plan.after, "min")
    late = max(((minutes, words) for minutes, words in _meant(facts, plan) if minutes > allowed * _HAIR), default=None)
    if late is None:
        return CheckResult((path, hours))
    words = {"text": plan.change, "found": late[1], "after": plan.after.printed}
    return CheckResult((path, hours), ((path, words),))


def _meant(facts: Facts, plan: Schedule) -> Iterator[tuple[float, str]]:
    """Yield what the words of a schedule mean, in minutes from the opening of a cartridge, and in words."""
    for found in quantities_in(plan.change or "", Dimension.DURATION):
        yield in_unit(found, "min"), found.printed
    for interval in intervals_in(plan.change or ""):
        days = float(interval.days + interval.months * _DAYS_IN_MONTH)
        if days > 1:
            yield days * _MINUTES_IN_DAY, f"“{interval.words}”"
    if is_told("by_the_shift", plan.change or "") and not is_told("sooner_than_the_shift", plan.change or ""):
        for task_id in plan.tasks:
            task = facts.tasks[task_id][1]
            in_use = worked_minutes(task) if task.duration is None else in_unit(task.duration, "min")
            yield in_use, f"{interval_words(in_use)} in use"


def _data_reach(facts: Facts, subject: Subject) -> CheckResult:
    """Where the words for what a schedule rests on name hours, the longest of them reaches as far as the schedule."""
    hours, plan = f"{subject.path}.after", facts.value_at(subject.path)
    texts = [entry for entry in texts_in(plan, subject.path) if entry[0].rpartition(".")[2] in _RESTS_ON]
    named = [(path, text, found) for path, text in texts for found in quantities_in(text, Dimension.DURATION)]
    if plan.after is None or not named:
        return CheckResult((hours, *(path for path, _ in texts)), nothing="No words name hours beside the schedule's.")
    path, text, longest = max(named, key=lambda entry: in_unit(entry[2], "min"))
    if in_unit(plan.after, "min") <= in_unit(longest, "min") * _HAIR:
        return CheckResult((path, hours))
    return CheckResult((path, hours), ((path, {"text": text, "found": longest.printed, "after": plan.after.printed}),))


CHANGE_WORD_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "change-not-by-the-senses": _not_by_the_senses,
    "change-words-keep-hours": _words_keep_hours,
    "data-reach-as-far": _data_reach,
}
