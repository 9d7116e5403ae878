"""How many people each side of a comparison has, in all and in each task: counts, as the printed program has them.

They name nobody, so they stand in what is handed on, where a change of somebody's own records is left out.
"""

from __future__ import annotations

from progdoc.comparison.changes import CountedPeople
from progdoc.comparison.description_changes import Renames
from progdoc.rules.judged.result import Judged

__all__ = ["counted_people"]

_EVERYBODY = ""


def counted_people(old: Judged, new: Judged, renames: Renames) -> tuple[CountedPeople, ...]:
    """Return the counts that are others than they were, the whole first, then the tasks in their order."""
    before, after = _counts(old, renames), _counts(new, {})
    both = dict.fromkeys((*after, *before))
    found = (CountedPeople(task, before.get(task, 0), after.get(task, 0)) for task in both)
    return tuple(one for one in found if one.old != one.new)


def _counts(judged: Judged, renames: Renames) -> dict[str, int]:
    found = {_EVERYBODY: len(judged.roster.people)}
    for _, task in judged.index.tasks.values():
        place = f"tasks.{task.id}"
        found[renames.get(place, place)] = len(task.people)
    return found
