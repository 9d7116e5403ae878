"""What the kind of work puts into the air, as far as the firm itself says so, and no hazard of the task is.

Whoever names a metal that is welded has named an agent of the air; where nobody describes it, its level is unknown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from progdoc.model.description.special_work import HotPlace
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.lookup.hot_work_agents import freed_by

__all__ = ["Undescribed", "is_in_confined_space", "undescribed"]


class Undescribed(NamedTuple):
    """Something that the work puts into the air and that is no hazard of its task."""

    code: str  # the finding that asks for it
    field: str  # of the task, where the firm named it
    what: str
    because: str


def undescribed(task: Task, agents: Sequence[Assessment]) -> Iterator[Undescribed]:
    """Return what the firm's own answers say is in the air and nobody describes as a hazard."""
    known = {agent.substance.id for agent in agents if agent.substance}
    yield from _of_hot_work(task, known)


def _of_hot_work(task: Task, known: set[str]) -> Iterator[Undescribed]:
    for metal in task.hot_work.metals if task.hot_work else ():
        freed = freed_by(metal.value)
        if freed is not None and known.isdisjoint(freed.agents):
            because = f"hot work on {metal.value.replace('-', ' ')}"
            yield Undescribed("HOT-007", "hot_work.metals", freed.words, because)


def is_in_confined_space(task: Task) -> bool:
    """Return whether a task is done in a confined space by one of its answers at least."""
    return task.confined_space is True or (task.hot_work is not None and task.hot_work.place is HotPlace.CONFINED)
