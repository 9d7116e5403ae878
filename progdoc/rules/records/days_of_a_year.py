"""Work that takes more hours or days than a year has: which of the figures is wrong, nobody can tell from here."""

from __future__ import annotations

from collections.abc import Callable
from math import fsum

from progdoc.core.numbers import counted
from progdoc.core.said import said, said_join
from progdoc.model.description.quantities import Quantity, in_unit
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.air.same_day import fit_into_a_year, same_weekday
from progdoc.rules.air.surveillance import days_in_year, most_days
from progdoc.rules.check_result import CheckResult, contradicted
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.telling_words import is_told
from progdoc.rules.requirement import Subject

__all__ = ["YEAR_CHECKS"]

_DAYS_OF_A_YEAR = 366  # at the most: the bound of what is taken for a slip is our choice, no source
_HOURS_OF_A_DAY = 24.0


def _hours_of_a_wearer(facts: Facts, subject: Subject) -> CheckResult:
    """What somebody does in a year takes more hours than a year has, each task on all the days that are said."""
    tasks = facts.relevant_to(subject).tasks
    paths = tuple(f"{path}.{name}" for path, _ in tasks for name in ("duration", "days_per_year", "frequency"))
    if len(tasks) < 2:
        return CheckResult(paths, nothing=said("No two tasks name this wearer."))
    hours = fsum(_hours_a_year(task) for _, task in tasks)
    of_a_year = _DAYS_OF_A_YEAR * _HOURS_OF_A_DAY
    if hours <= of_a_year:
        return contradicted(paths, ())
    names = said_join((said("“%(task)s”", task=label_of(task)) for _, task in tasks if _hours_a_year(task)), ", ")
    words = {"tasks": names, "hours": f"{hours:,.0f}", "year": f"{of_a_year:,.0f}"}
    return CheckResult(paths, ((f"{tasks[0][0]}.duration", words),))


def _hours_a_year(task: Task) -> float:
    """The hours of a task in a year; 0 where nobody says on how many days, or for how long."""
    days: float | None = None if task.days_per_year is None else float(task.days_per_year)
    if days is None and task.frequency and not is_told("part_of_the_year", task.frequency):
        found = most_days(task.frequency)
        days = None if found is None else float(found)
    duration: Quantity | None = task.duration
    return 0.0 if days is None or duration is None else days * in_unit(duration, "h")


def _apart_in_a_year(facts: Facts, subject: Subject) -> CheckResult:
    """Two tasks of the same people that are kept apart need no more days together than a year has."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place = f"{path}.never_same_day"
    if not task.never_same_day:
        return CheckResult((place,), nothing=said("No task is kept apart from it."))
    others = [facts.tasks[name][1] for name in task.never_same_day if name != task.id]
    clash = next((o for o in others if _share_people(task, o) and not fit_into_a_year(task, o)), None)
    if clash is None:
        return CheckResult((place,))
    weekday = same_weekday(task, clash)
    one, other = days_in_year(task), days_in_year(clash)
    days = said("on %(one)s and %(other)s a year", one=one, other=counted(other or 0, "day"))
    if one is None or other is None:
        days = said("one on all days of the year, the other on days that nobody has counted")
    when = said("both on a %(weekday)s", weekday=weekday.capitalize()) if weekday else days
    return CheckResult((place,), ((place, {"other": clash.name, "when": when}),))


def _share_people(one: Task, other: Task) -> bool:
    return not one.people or not other.people or bool(set(one.people) & set(other.people))


YEAR_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "apart-on-days-there-are": _apart_in_a_year,
    "hours-fit-into-a-year": _hours_of_a_wearer,
}
