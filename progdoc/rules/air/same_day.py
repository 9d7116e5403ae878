"""Which tasks one person may do on one day.

How often a task is done says nothing of which days: a weekly task and a daily one meet. Only what the firm says
itself keeps two tasks apart (`never_same_day`), and not where each is done on more than half of the days of a year:
two such tasks meet, whatever is arranged, unless a figure says that one person does them less often. Where nobody says
who does a task, anybody may.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from progdoc.model.description.workplace import DoneBy, Task
from progdoc.rules.air.surveillance import most_days
from progdoc.rules.lookup.telling_words import is_told

__all__ = ["days_said", "groups_of_one_day", "have_to_meet"]

_HALF_A_YEAR = 183  # days


def groups_of_one_day(tasks: Sequence[Task]) -> tuple[tuple[Task, ...], ...]:
    """Return the largest sets of two tasks or more that one person may do on one day, each once."""
    ours = [task for task in tasks if task.done_by is DoneBy.OUR_PEOPLE]
    people = dict.fromkeys(person for task in ours for person in task.people)
    of_each = [tuple(task for task in ours if person in task.people or not task.people) for person in people]
    of_each = of_each or [tuple(ours)]
    sets = {tuple(task.id for task in done): done for done in of_each if len(done) > 1}
    found = (group for done in sets.values() for group in _kept_together(done))
    return tuple({tuple(task.id for task in group): group for group in found if len(group) > 1}.values())


def have_to_meet(one: Task, other: Task) -> bool:
    """Return whether two tasks of the same people are each done on so many days that some day has both."""
    is_shared = not (one.people and other.people) or bool(set(one.people) & set(other.people))
    return is_shared and min(days_said(one), days_said(other)) > _HALF_A_YEAR


def days_said(task: Task) -> int:
    """Return on how many days of a year a task is said to be done, by its figure or its words; 0 where neither tells.

    >>> days_said(Task(id="t", name="t", frequency="Daily")), days_said(Task(id="t", name="t", days_per_year=40))
    (365, 40)
    """
    if task.days_per_year is not None:
        return int(task.days_per_year)
    if not task.frequency or is_told("part_of_the_year", task.frequency):
        return 0
    return most_days(task.frequency) or 0


def _kept_together(done: Sequence[Task]) -> Iterator[tuple[Task, ...]]:
    """Yield the largest sets of which no two are kept apart; what is kept apart from nothing belongs to each."""
    named = {task.id: task for task in done}
    apart: dict[str, set[str]] = {}
    for task in done:
        for other in set(named) & set(task.never_same_day) - {task.id}:
            if have_to_meet(task, named[other]):
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
