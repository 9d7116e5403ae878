"""The description, indexed once: everything in it is found by its id, its place or who has to do with it."""

from __future__ import annotations

import re
from functools import cached_property, lru_cache
from typing import Any

from progdoc.model.description.hazards import Hazard
from progdoc.model.description.masks import Filter, Mask
from progdoc.model.description.people import Person
from progdoc.model.description.program import Program
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import DoneBy, Task

__all__ = ["Index"]

_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


@lru_cache(maxsize=4096)  # the catalogue asks for the same places again and again
def _steps_of(path: str) -> tuple[tuple[str, str], ...]:
    return tuple(_STEP.findall(path))


class Index:
    """Looks things up in constant time; each is given with its place in the description. It judges nothing."""

    def __init__(self, description: Program) -> None:
        self.description = description

    def value_at(self, path: str) -> Any:
        """Return what stands at a dotted path; nothing said, and an empty list, are None."""
        value: Any = self.description
        for name, index in _steps_of(path):
            if value is None:
                return None
            value = value[int(index)] if index else getattr(value, name)
        return None if value == () else value

    def is_stated(self, path: str) -> bool:
        """Whether something was typed at a dotted path: a default that nobody wrote states nothing."""
        value: Any = self.description
        for name, index in _steps_of(path):
            if index:
                value = value[int(index)] if value is not None and int(index) < len(value) else None
            elif value is None or name not in value.model_fields_set:
                return False
            else:
                value = getattr(value, name)
        return path != "" and value is not None and value != ()

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
    def present(self) -> tuple[tuple[str, Person], ...]:
        """Everybody who has not left."""
        return tuple(pair for pair in self.people.values() if pair[1].left is None)

    @cached_property
    def paper_languages(self) -> tuple[str, ...]:
        """The codes of the languages in which papers are made: those the program names, and of everybody here."""
        of_people = (person.own_language for _, person in self.present if person.own_language)
        return tuple(dict.fromkeys((*self.description.program.languages, *of_people)))

    @cached_property
    def names(self) -> dict[str, str]:
        """What people call each task, mask, filter, person and agent, by its id in subjects: "tasks.scrape-sashes"."""
        of = self.description
        kinds: dict[str, tuple[Any, ...]] = {
            "tasks": of.tasks,
            "masks": of.masks,
            "filters": of.filters,
            "people": of.people,
        }
        named = {f"{kind}.{thing.id}": label_of(thing) for kind, things in kinds.items() for thing in things}
        return named | {f"hazards.{hazard.id}": hazard.agent for hazard in of.hazards}

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
    def groups_by_task(self) -> dict[str, frozenset[str | None]]:
        """The groups of those who do each task."""
        of = {person.id: person.group for person in self.description.people}
        return {task.id: frozenset(of.get(who) for who in task.people) for _, task in self.tasks.values()}

    @cached_property
    def tasks_by_mask(self) -> dict[str, tuple[tuple[str, Task], ...]]:
        found: dict[str, list[tuple[str, Task]]] = {}
        for pair in self.our_tasks:
            for use in pair[1].masks:
                found.setdefault(use.mask, []).append(pair)
        return {mask: tuple(tasks) for mask, tasks in found.items()}

    @cached_property
    def tasks_by_escape_mask(self) -> dict[str, tuple[tuple[str, Task], ...]]:
        """The tasks of our people in which a mask hangs at hand for getting out."""
        found: dict[str, list[tuple[str, Task]]] = {}
        for pair in self.our_tasks:
            for mask in dict.fromkeys(pair[1].escape_masks):
                found.setdefault(mask, []).append(pair)
        return {mask: tuple(tasks) for mask, tasks in found.items()}

    def is_kept(self, mask: Mask) -> bool:
        """Whether a mask hangs on the wall or on the belt for an emergency or an escape."""
        return mask.emergency or mask.escape_only or mask.id in self.tasks_by_escape_mask

    def is_in_routine_use(self, mask: Mask) -> bool:
        """Whether a mask is not kept for emergencies or escape, or is worn at other work too."""
        tasks = self.tasks_by_mask.get(mask.id, ())
        return not mask.escape_only and (not mask.emergency or any(not task.emergency_only for _, task in tasks))

    @cached_property
    def filters_in_use(self) -> frozenset[str]:
        return frozenset(f for _, task in self.our_tasks for use in task.masks for f in use.filters)

    @cached_property
    def hazards_by_task(self) -> dict[str, tuple[tuple[str, Hazard], ...]]:
        found: dict[str, list[tuple[str, Hazard]]] = {}
        for i, hazard in enumerate(self.description.hazards):
            found.setdefault(hazard.task, []).append((f"hazards[{i}]", hazard))
        return {task: tuple(hazards) for task, hazards in found.items()}

    def masks_of(self, task: Task) -> tuple[tuple[str, Mask], ...]:
        return tuple(self.masks[use.mask] for use in task.masks)
