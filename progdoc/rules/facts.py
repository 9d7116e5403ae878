"""The description, indexed once for a day of evaluation, so that every rule looks things up in constant time."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from progdoc.core.diagnostics import Location
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.masks import Filter, Mask
from progdoc.model.description.people import Person
from progdoc.model.description.program import Program
from progdoc.model.description.workplace import DoneBy, Task, Use
from progdoc.rules.cartridge_life.schedules import CartridgeChange, cartridge_changes
from progdoc.rules.masks.selection import Selection
from progdoc.rules.reasons import Reason
from progdoc.rules.requirement import Subject

__all__ = ["Facts", "Relevant", "label_of"]

_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


@dataclass(frozen=True, slots=True)
class Relevant:
    """The tasks and masks a subject has to do with, each with its place in the description."""

    tasks: tuple[tuple[str, Task], ...]
    masks: tuple[tuple[str, Mask], ...]


def label_of(thing: Any) -> str:
    """Return what people call a described thing: its name, its make and model, or its id."""
    name = getattr(thing, "name", None)
    if name:
        return str(name)
    made = " ".join(part for part in (getattr(thing, "make", None), getattr(thing, "model", None)) if part)
    return made or str(thing.id)


class Facts:
    """Everything the rules may ask of a description on a given day."""

    def __init__(
        self,
        description: Program,
        locate: Callable[[str], Location],
        as_of: date,
        selection: Selection,
    ) -> None:
        self.description = description
        self.locate = locate
        self.as_of = as_of
        self.selection = selection
        self.answers: dict[tuple[str, str, tuple[str, ...]], Any] = {}  # kept by `predicates.holds`

    # ---- places ---------------------------------------------------------------------------------------

    def value_at(self, path: str) -> Any:
        """Return what stands at a dotted path; nothing said, and an empty list, are None."""
        value: Any = self.description
        for name, index in _STEP.findall(path):
            if value is None:
                return None
            value = value[int(index)] if index else getattr(value, name)
        return None if value == () else value

    # ---- indexes --------------------------------------------------------------------------------------

    @cached_property
    def tasks(self) -> dict[str, tuple[str, Task]]:
        return {t.id: (f"tasks[{i}]", t) for i, t in enumerate(self.description.tasks)}

    @cached_property
    def masks(self) -> dict[str, tuple[str, Mask]]:
        return {m.id: (f"masks[{i}]", m) for i, m in enumerate(self.description.masks)}

    @cached_property
    def filters(self) -> dict[str, tuple[str, Filter]]:
        return {f.id: (f"filters[{i}]", f) for i, f in enumerate(self.description.filters)}

    @cached_property
    def people(self) -> dict[str, tuple[str, Person]]:
        return {p.id: (f"people[{i}]", p) for i, p in enumerate(self.description.people)}

    @cached_property
    def our_tasks(self) -> tuple[tuple[str, Task], ...]:
        """The tasks that the firm's own people do."""
        return tuple(pair for pair in self.tasks.values() if pair[1].done_by is DoneBy.OUR_PEOPLE)

    @cached_property
    def tasks_by_person(self) -> dict[str, tuple[tuple[str, Task], ...]]:
        found: dict[str, list[tuple[str, Task]]] = {}
        for pair in self.our_tasks:
            for person in pair[1].people:
                found.setdefault(person, []).append(pair)
        return {person: tuple(tasks) for person, tasks in found.items()}

    @cached_property
    def tasks_by_mask(self) -> dict[str, tuple[tuple[str, Task], ...]]:
        found: dict[str, list[tuple[str, Task]]] = {}
        for pair in self.our_tasks:
            for use in pair[1].masks:
                found.setdefault(use.mask, []).append(pair)
        return {mask: tuple(tasks) for mask, tasks in found.items()}

    @cached_property
    def filters_in_use(self) -> frozenset[str]:
        return frozenset(f for _, task in self.our_tasks for use in task.masks for f in use.filters)

    @cached_property
    def cartridge_changes(self) -> dict[tuple[str, str, str], CartridgeChange]:
        """When each gas cartridge is changed, by task, mask and filter."""
        return cartridge_changes(self.description, self.selection.air)

    @cached_property
    def hazards_by_task(self) -> dict[str, tuple[tuple[str, Hazard], ...]]:
        found: dict[str, list[tuple[str, Hazard]]] = {}
        for i, hazard in enumerate(self.description.hazards):
            found.setdefault(hazard.task, []).append((f"hazards[{i}]", hazard))
        return {task: tuple(hazards) for task, hazards in found.items()}

    def is_needed(self, task: Task) -> bool:
        """Return whether the air of a task calls for a mask, whatever was declared."""
        return self.selection.is_needed(task.id)

    def is_worn(self, task: Task) -> bool:
        """Return whether a mask is required in a task, by declaration or by its air."""
        return task.use is Use.REQUIRED or self.is_needed(task)

    def masks_of(self, task: Task) -> tuple[tuple[str, Mask], ...]:
        return tuple(self.masks[use.mask] for use in task.masks)

    def reasons(self, subject: Subject) -> tuple[Reason, ...]:
        """Return why a hazard is not assessed, or a mask does not do in a task."""
        return self.selection.reasons.get(subject.ids, ())

    # ---- what decides whether a duty applies ------------------------------------------------------------

    @cached_property
    def _found_relevant(self) -> dict[tuple[str, ...], Relevant]:
        return {}

    def relevant_to(self, subject: Subject) -> Relevant:
        """Return the tasks and masks that decide whether a duty applies to a subject."""
        # What is relevant to a mask in a task is the same for every wearer, so these are kept once for all of them.
        key = (subject.kind, *(subject.ids[1:] if subject.kind == "in-task" else subject.ids))
        known = self._found_relevant.get(key)
        if known is None:
            known = self._in_task(subject) if subject.kind == "in-task" else self._relevant_to(subject)
            self._found_relevant[key] = known
        return known

    def _in_task(self, subject: Subject) -> Relevant:
        """The one task that a subject's ids name, and the one mask, if they name one."""
        named = [text.partition(".") for text in subject.ids]
        return Relevant(
            tuple(self.tasks[name] for kind, _, name in named if kind == "tasks"),
            tuple(self.masks[name] for kind, _, name in named if kind == "masks"),
        )

    def _relevant_to(self, subject: Subject) -> Relevant:
        ids = [text.partition(".")[2] for text in subject.ids]
        match subject.kind:
            case "task" | "hazard":
                task = self.tasks[ids[0]]
                return Relevant((task,), self.masks_of(task[1]))
            case "mask-use":
                return Relevant((self.tasks[ids[0]],), (self.masks[ids[1]],))
            case "mask" | "unit":
                return Relevant(self.tasks_by_mask.get(ids[0], ()), (self.masks[ids[0]],))
            case "wearer":
                tasks = self.tasks_by_person.get(ids[0], ())
                issued = tuple(self.masks[m.mask] for m in self.people[ids[0]][1].masks)
                return Relevant(tasks, issued)
            case "worn-mask":
                mask = self.masks[ids[1]]
                tasks = self.tasks_by_person.get(ids[0], ())
                return Relevant(tuple(t for t in tasks if any(u.mask == ids[1] for u in t[1].masks)), (mask,))
            case "filter":
                tasks = tuple(t for t in self.our_tasks if any(ids[0] in u.filters for u in t[1].masks))
                return Relevant(tasks, ())
            case "schedule":
                return Relevant(self.our_tasks, ())
            case _:
                used = {use.mask for _, task in self.our_tasks for use in task.masks}
                # An emergency mask hangs on the wall, and an escape mask on the belt, whether or not a task names it.
                at_hand = (p for p in self.masks.values() if p[1].id in used or p[1].emergency or p[1].escape_only)
                return Relevant(self.our_tasks, tuple(at_hand))
