"""Looks at the words by which a crew changes its cartridges: by a moment that comes in time, and not by the nose.

The words are data (`catalogue/tables/telling_words.yaml`); what they mean in hours is held against the longest time
in use that the schedule allows. The clock runs from the opening of a cartridge, worn or not.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from progdoc.core.numbers import interval_words, number_text
from progdoc.core.said import said, said_join
from progdoc.model.description.fields import texts_in
from progdoc.model.description.quantities import Dimension, Quantity, in_unit, is_comparable, parse_quantity
from progdoc.model.description.upkeep import Schedule
from progdoc.model.description.workplace import Task
from progdoc.rules.air.same_day import groups_of_one_day
from progdoc.rules.air.shift_levels import worked_minutes
from progdoc.rules.cartridge_life.vapours import may_be_vapour
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.spelt_times import blocks_in, shifts_in
from progdoc.rules.lookup.telling_words import at_no_hour, is_told, left_to_the_nose
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
        return CheckResult((path,), nothing=said("Nobody says when it is changed."))
    return result_at(path, {"text": plan.change} if left_to_the_nose(plan.change) else None)


def _not_refused(facts: Facts, subject: Subject) -> CheckResult:
    """A schedule by which a filter is never changed: it needs none, and what is said of it is printed."""
    path, plan = f"{subject.path}.change", facts.value_at(subject.path)
    if plan.change is None:
        return CheckResult((path,), nothing=said("Nobody says when it is changed."))
    return result_at(path, {"text": plan.change} if said_by(plan.change) is Said.REFUSAL else None)


def _words_keep_hours(facts: Facts, subject: Subject) -> CheckResult:
    """What the words mean comes no later than the longest time in use beside them."""
    path, hours = f"{subject.path}.change", f"{subject.path}.after"
    plan = facts.value_at(subject.path)
    if plan.change is None or plan.after is None or said_by(plan.change) is not Said.ANSWER:
        return CheckResult((path, hours), nothing=said("No words stand beside hours."))
    allowed = in_unit(plan.after, "min")
    late = max(((minutes, words) for minutes, words in _meant(facts, plan) if minutes > allowed * _HAIR), default=None)
    if late is None:
        return CheckResult((path, hours))
    words = {"text": plan.change, "found": late[1], "after": plan.after.printed}
    return CheckResult((path, hours), ((path, words),))


def _meant(facts: Facts, plan: Schedule) -> Iterator[tuple[float, str]]:
    """Yield what the words of a schedule mean, in minutes from the opening of a cartridge, and in words."""
    blocks = (parse_quantity(block, Dimension.DURATION) for block in blocks_in(plan.change or ""))
    times = (*quantities_in(plan.change or "", Dimension.DURATION), *blocks)
    for found in times:
        yield in_unit(found, "min"), found.printed
    for found in quantities_in(plan.change or "", Dimension.INTERVAL):
        if found.unit in ("month", "year"):
            yield in_unit(found, "month") * _DAYS_IN_MONTH * _MINUTES_IN_DAY, found.printed
    for share, words in shifts_in(plan.change or ""):
        yield from (
            (float(share) * worked_minutes(facts.tasks[task][1]), said("“%(words)s”", words=words))
            for task in plan.tasks
        )
    for interval in intervals_in(plan.change or ""):
        days = float(interval.days + interval.months * _DAYS_IN_MONTH)
        if days > 1:
            yield days * _MINUTES_IN_DAY, said("“%(interval)s”", interval=interval.words)
    if (late := at_no_hour(plan.change or "")) and not times:
        yield math.inf, said("no hour of the day (“%(late)s”)", late=late)
    if is_told("by_the_task", plan.change or "") and not is_told("sooner_than_the_shift", plan.change or ""):
        lengths = (facts.tasks[task][1].duration for task in plan.tasks)
        yield from (
            (in_unit(length, "min"), said("%(length)s in use", length=length.printed)) for length in lengths if length
        )
    if is_told("by_the_shift", plan.change or "") and not is_told("sooner_than_the_shift", plan.change or ""):
        for task_id in plan.tasks:
            task = facts.tasks[task_id][1]
            in_use = worked_minutes(task) if task.duration is None else in_unit(task.duration, "min")
            yield in_use, said("%(in_use)s in use", in_use=interval_words(in_use))


def _day_keeps_hours(facts: Facts, subject: Subject) -> CheckResult:
    """A cartridge that stays on for a day serves all tasks of that day within its hours."""
    plan: Schedule = facts.value_at(subject.path)
    read = (f"{subject.path}.change", f"{subject.path}.after")
    serving = [
        one
        for one in facts.description.procedures.filter_changes.schedules
        if one.filter == plan.filter and _for_a_day(one)
    ]
    hours = {task: one for one in serving for task in one.tasks}
    if plan not in serving:
        return CheckResult(
            (*read, f"{subject.path}.fresh_for_each_task"), nothing=said("It does not stay on for a day.")
        )
    tasks = [facts.tasks[task][1] for task in hours]
    together = [group for group in _on_one_mask(tasks, plan.filter) if any(task.id in plan.tasks for task in group)]
    faults = []
    for group in together:
        parts = [(task, in_unit(task.duration, "min"), _allowed(hours[task.id])) for task in group if task.duration]
        if sum(minutes / most for _, minutes, most in parts if most) > _HAIR:
            told = said_join(
                (
                    said("%(duration)s of “%(task)s”", duration=task.duration.printed, task=task.name)
                    for task, _, _ in parts
                    if task.duration
                ),
                ", ",
            )
            faults.append((read[1], {"told": told, "after": plan.after.printed if plan.after else ""}))
    apart = tuple(f"{facts.tasks[task][0]}.never_same_day" for task in hours if facts.tasks[task][1].never_same_day)
    nothing = "" if together or apart else said("No other task of a day is done with it by the same people.")
    return CheckResult(read, tuple(faults[:1]), () if together else apart, nothing=nothing)


def _for_a_day(plan: Schedule) -> bool:
    """Whether one cartridge stays on for a day or longer, by the words of the crew."""
    words = plan.change or ""
    is_daily = is_told("by_the_shift", words) or any(found.days >= 1 or found.months for found in intervals_in(words))
    is_sooner = bool(plan.fresh_for_each_task) or is_told("sooner_than_the_shift", words)
    return is_daily and not is_sooner and plan.after is not None


def _allowed(plan: Schedule) -> float:
    return in_unit(plan.after, "min") if plan.after is not None else 0.0


def _on_one_mask(tasks: list[Task], part: str) -> Iterator[tuple[Task, ...]]:
    """Yield the tasks that one person may do on one day with the same filter on the same mask."""
    masks = dict.fromkeys(use.mask for task in tasks for use in task.masks if part in use.filters)
    for mask in masks:
        held = [task for task in tasks if any(use.mask == mask and part in use.filters for use in task.masks)]
        yield from groups_of_one_day(held)


def _data_reach(facts: Facts, subject: Subject) -> CheckResult:
    """Where the words for what a schedule rests on name hours or a level, they reach as far as schedule and air do.

    The longest time and the highest level named count, whatever else the words tell of.
    """
    hours, plan = f"{subject.path}.after", facts.value_at(subject.path)
    texts = [entry for entry in texts_in(plan, subject.path) if entry[0].rpartition(".")[2] in _RESTS_ON]
    times = [(path, text, found) for path, text in texts for found in quantities_in(text, Dimension.DURATION)]
    faults: list[tuple[str, dict[str, str]]] = []
    if plan.after is not None and times:
        path, text, longest = max(times, key=lambda entry: in_unit(entry[2], "min"))
        if in_unit(plan.after, "min") > in_unit(longest, "min") * _HAIR:
            against = said("the schedule allows %(after)s", after=plan.after.printed)
            faults.append((path, {"text": text, "found": longest.printed, "against": against}))
    levels = [(path, text, found) for path, text in texts for found in quantities_in(text, Dimension.CONCENTRATION)]
    faults += _of_thicker_air(facts, plan, levels)
    read = tuple(dict.fromkeys((hours, *(path for path, _ in texts), *(path for path, _ in faults))))
    if faults or times or levels:
        return CheckResult(read, tuple(faults))
    return CheckResult(read, nothing=said("No words name hours or a level beside the schedule's."))


def _of_thicker_air(
    facts: Facts, plan: Schedule, levels: list[tuple[str, str, Quantity]]
) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield words that name no level as high as that of a vapour in a task: in cleaner air a cartridge lasts longer."""
    for task in plan.tasks:
        for agent in facts.selection.air[task].agents if task in facts.selection.air else ():
            if agent.load is None or not may_be_vapour(agent):
                continue
            here = Quantity(agent.load, agent.unit, f"{number_text(agent.load, 'up')} {agent.unit}")
            named = [entry for entry in levels if is_comparable(entry[2], here)]
            path, text, highest = max(named, key=lambda entry: in_unit(entry[2], agent.unit), default=("", "", here))
            if in_unit(highest, here.unit) * _HAIR < here.value:
                against = said(
                    "the air of “%(task)s” has %(level)s of %(agent)s",
                    task=agent.task.name, level=here.printed, agent=agent.hazard.agent,
                )  # fmt: skip
                yield path, {"text": text, "found": highest.printed, "against": against}


CHANGE_WORD_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "change-not-refused": _not_refused,
    "change-not-by-the-senses": _not_by_the_senses,
    "change-words-keep-hours": _words_keep_hours,
    "data-reach-as-far": _data_reach,
    "day-of-tasks-keeps-hours": _day_keeps_hours,
}
