"""Which tasks one person may do on one day.

How often a task is done says nothing of which days: a weekly task and a daily one meet. Only what the firm says
itself keeps two tasks apart (`never_same_day`), and only where a year has days enough for both. Where nobody says who
does a task, anybody may.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from progdoc.model.description.workplace import DoneBy, Task
from progdoc.rules.air.surveillance import days_in_year
from progdoc.rules.lookup.telling_words import is_told
from progdoc.rules.lookup.text_intervals import weekdays_in

__all__ = ["fit_into_a_year", "groups_of_one_day", "met_by_the_same", "same_weekday"]

_DAYS_IN_YEAR = 365
_ONE_OF = re.compile(r"\bor\b|\b(?:first|last|third|fourth|not|never|except|without)\b", re.IGNORECASE)


def groups_of_one_day(tasks: Sequence[Task]) -> tuple[tuple[Task, ...], ...]:
    """Return the largest sets of two tasks or more that one person may do on one day, each once."""
    ours = [task for task in tasks if task.done_by is DoneBy.OUR_PEOPLE]
    people = dict.fromkeys(person for task in ours for person in task.people)
    by_person: dict[str, list[Task]] = {person: [] for person in people}
    for task in ours:
        for person in dict.fromkeys(task.people) or people:
            by_person[person].append(task)
    of_each = [tuple(done) for done in by_person.values()] or [tuple(ours)]
    sets = {tuple(task.id for task in done): done for done in of_each if len(done) > 1}
    found = (group for done in sets.values() for group in _kept_together(done))
    return tuple({tuple(task.id for task in group): group for group in found if len(group) > 1}.values())


def met_by_the_same(task: Task, tasks: Sequence[Task]) -> list[Task]:
    """Return the tasks that somebody who does a task may do too: the only ones that can stand in a group with it."""
    who = frozenset(task.people)
    if not who:
        return list(tasks)
    return [one for one in tasks if not one.people or not who.isdisjoint(one.people)]


def fit_into_a_year(one: Task, other: Task) -> bool:
    """Return whether a year has days enough for days of their own of two tasks; without a figure one day is needed."""
    if same_weekday(one, other):
        return False
    days = [_days_of_whole_year(task) for task in (one, other)]
    return sum(1 if day is None else day for day in days) <= _DAYS_IN_YEAR


def same_weekday(one: Task, other: Task) -> str:
    """Return a day of the week on which both tasks are said to be done, or nothing.

    Where a day is only one of several (“Monday or Friday”), or not of every week, nothing is said of it.
    """
    texts = [task.frequency or "" for task in (one, other)]
    if any(is_told("part_of_year", text) or _ONE_OF.search(text) for text in texts):
        return ""
    first, second = map(weekdays_in, texts)
    return min(first & second, default="")


def _days_of_whole_year(task: Task) -> int | None:
    """Return on how many days a task is done; None for words that are of a part of the year."""
    if task.days_per_year is None and (task.frequency is None or is_told("part_of_year", task.frequency)):
        return None
    return days_in_year(task)


def _kept_together(done: Sequence[Task]) -> Iterator[tuple[Task, ...]]:
    """Yield the largest sets of which no two are kept apart; what is kept apart from nothing belongs to each."""
    named = {task.id: task for task in done}
    apart: dict[str, set[str]] = {}
    for task in done:
        for other in dict.fromkeys(task.never_same_day):
            if other == task.id or other not in named or not fit_into_a_year(task, named[other]):
                continue
            apart.setdefault(task.id, set()).add(other)
            apart.setdefault(other, set()).add(task.id)
    meets = {name: set(apart) - away - {name} for name, away in apart.items()}
    for clique in _cliques(set(), set(apart), set(), meets):
        yield tuple(task for task in done if task.id in clique or task.id not in apart)


def _cliques(
    chosen: set[str], open_: set[str], left_out: set[str], meets: dict[str, set[str]]
) -> Iterator[frozenset[str]]:
    """Yield the maximal cliques of a graph (Bron and Kerbosch, Commun. ACM 16 (1973) 575, with a pivot)."""
    if not open_ and not left_out:
        yield frozenset(chosen)
        return
    pivot = max(sorted(open_ | left_out), key=lambda name: len(meets[name] & open_))
    for name in sorted(open_ - meets[pivot]):
        yield from _cliques(chosen | {name}, open_ & meets[name], left_out & meets[name], meets)
        open_ = open_ - {name}
        left_out = left_out | {name}
