"""Which work nobody may start as things stand, and which of the people named for it, in one list for every output.

It reads what the selection and the roster say, and judges nothing itself: whatever bars has become a reason there.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping

from progdoc.core.barred import Barred, Why
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.assignment_results import Assignment, Roster
from progdoc.rules.judged.mask_results import OfGroup, Selection
from progdoc.rules.requirement import Verdict

__all__ = ["barred_people", "barred_work", "barring_codes"]


def barred_work(selection: Selection, tasks: Iterable[Task]) -> tuple[Barred, ...]:
    """Return what bars each of these tasks, whoever does it; the tasks of our own people are asked about."""
    return tuple(one for task in tasks for one in _of_task(selection, task))


def _of_task(selection: Selection, task: Task) -> Iterator[Barred]:
    named = dict.fromkeys(use.mask for use in task.masks)
    barred = tuple(mask for mask in named if selection.masks[task.id, mask].bars)
    if not named and selection.air[task.id].is_worn:
        yield Barred(task.id, Why.NO_MASK)
    if barred:
        yield Barred(task.id, Why.MASKS, barred)
    if selection.escape[task.id].bars:
        yield Barred(task.id, Why.WAY_OUT)
    if selection.entry[task.id]:
        yield Barred(task.id, Why.RESCUE)


def barring_codes(selection: Selection) -> frozenset[str]:
    """Return the codes of what bars work here, for everybody."""
    bars = [one.bars for one in selection.masks.values()]
    bars += [escape.bars for escape in selection.escape.values()]
    return frozenset(reason.code for reasons in (*bars, *selection.entry.values()) for reason in reasons if reason.code)


def barred_people(
    roster: Roster,
    barred: Iterable[Barred],
    still_open: Iterable[Verdict],
    for_groups: Mapping[str, Iterable[OfGroup]],
) -> tuple[Barred, ...]:
    """Return how many of those whom a task names may not do it, where others may: what is on record keeps them.

    Whoever has nothing open on record and a mask that nobody may be kept from is not held against the task again: the
    people of a firm are many.
    """
    shut = {one.task for one in barred if one.why is not Why.MASKS}
    of_masks = {one.task: set(one.masks) for one in barred if one.why is Why.MASKS}
    good = {task.id: {use.mask for use in task.masks} - of_masks.get(task.id, set()) for task in roster.tasks}
    left = {task.id for task in roster.tasks if task.id not in shut and (good[task.id] or not task.masks)}
    kept_from: dict[tuple[str, str | None], set[str]] = {}  # by task and group, masks that do for others alone
    for task_id, those in for_groups.items():
        for one in those:
            kept_from |= {(task_id, group): {worn.mask.id for worn in one.barred} for group in one.groups}
    open_to = frozenset(_with_open_records(still_open))
    counted: dict[str, list[Why | None]] = {}
    for person in roster.people:
        masks = {issued.mask for issued in person.masks}
        for task in roster.named.get(person.id, ()):
            if task.id in left:
                fit = (masks & good[task.id]) - kept_from.get((task.id, person.group), set())
                is_clear = person.id not in open_to and bool(fit) and not task.escape_masks
                why = None if is_clear else _kept_from(roster.assignment(person, task), good[task.id])
                counted.setdefault(task.id, []).append(why)
    return tuple(
        Barred(task.id, why, (), found.count(why), len(found))
        for task in roster.tasks
        for found in (counted.get(task.id, []),)
        for why in (Why.PEOPLE, Why.CHOICE)
        if why in found
    )


def _kept_from(one: Assignment, good: Collection[str]) -> Why | None:
    """Return from what somebody is kept: the work, or a mask worn by choice that others may wear."""
    if not one.may:
        return Why.PEOPLE
    is_offered = any(choice.mask in good for choice in one.choices)
    return Why.CHOICE if is_offered and not one.good else None


def _with_open_records(still_open: Iterable[Verdict]) -> Iterator[str]:
    """Yield the ids of people of whom something is open that bars them from some work."""
    for verdict in still_open:
        if verdict.requirement.bars == "person":
            yield verdict.subject.ids[0].partition(".")[2]
