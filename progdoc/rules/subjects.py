"""The kinds of thing a requirement can be judged for, one list for each."""

from __future__ import annotations

import re
from collections.abc import Callable

from progdoc.core.said import said, same
from progdoc.model.description.words import label_of, schedule_label
from progdoc.model.description.workplace import MaskUse
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.own_calendar import what_words
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.requirement import Subject

__all__ = ["PROGRAM", "SUBJECTS"]

PROGRAM = Subject("program", (), "", said("the program"))


def _program(_facts: Facts) -> list[Subject]:
    return [PROGRAM]


def _tasks(facts: Facts) -> list[Subject]:
    return [Subject("task", (f"tasks.{t.id}",), path, label_of(t)) for path, t in facts.tasks.values()]


def _hazards(facts: Facts) -> list[Subject]:
    return [
        Subject(
            "hazard",
            (f"tasks.{h.task}", f"hazards.{h.id}"),
            f"hazards[{i}]",
            said("%(agent)s in “%(tasks)s”", agent=h.agent, tasks=label_of(facts.tasks[h.task][1])),
        )
        for i, h in enumerate(facts.description.hazards)
    ]


def _masks(facts: Facts) -> list[Subject]:
    return [Subject("mask", (f"masks.{m.id}",), path, label_of(m)) for path, m in facts.masks.values()]


def _mask_uses(facts: Facts) -> list[Subject]:
    return [
        Subject(
            "mask-use",
            (f"tasks.{task.id}", f"masks.{use.mask}"),
            f"{path}.masks[{i}]",
            said("%(worn)s in “%(task)s”", worn=_worn(facts, use), task=label_of(task)),
        )
        for path, task in facts.our_tasks
        for i, use in enumerate(task.masks)
    ]


def _worn(facts: Facts, use: MaskUse) -> str:
    """Return a mask as a finding names it: with who wears it, and when, where a task has several."""
    label = label_of(facts.masks[use.mask][1])
    return said("%(label)s (%(told_apart)s)", label=label, told_apart=use.told_apart) if use.told_apart else label


def _escape_masks(facts: Facts) -> list[Subject]:
    return [
        Subject(
            "escape-mask",
            (f"tasks.{task.id}", f"masks.{mask}"),
            f"{path}.escape_masks[{i}]",
            said("%(masks)s, at hand in “%(task)s”", masks=label_of(facts.masks[mask][1]), task=label_of(task)),
        )
        for path, task in facts.our_tasks
        for i, mask in enumerate(task.escape_masks)
    ]


def _filters(facts: Facts) -> list[Subject]:
    return [Subject("filter", (f"filters.{f.id}",), path, label_of(f)) for path, f in facts.filters.values()]


def _schedules(facts: Facts) -> list[Subject]:
    base, told = "procedures.filter_changes.schedules", facts.description
    return [
        Subject("schedule", (f"schedules.{s.id}",), f"{base}[{i}]", schedule_label(s, told.filters, told.tasks))
        for i, s in enumerate(facts.description.procedures.filter_changes.schedules)
    ]


def _units(facts: Facts) -> list[Subject]:
    return [
        Subject("unit", (f"masks.{mask.id}", f"units.{unit.id}"), f"{path}.units[{i}]", unit.serial or unit.id)
        for path, mask in facts.masks.values()
        if not is_withdrawn(mask, facts.as_of)
        for i, unit in enumerate(mask.units)
        if not is_withdrawn(unit, facts.as_of)
    ]


def _spare_cylinders(facts: Facts) -> list[Subject]:
    return [
        Subject("spare-cylinder", (f"cylinders.{c.id}",), f"cylinders[{i}]", c.serial or c.id)
        for i, c in enumerate(facts.description.cylinders)
    ]


def _posts(facts: Facts) -> list[Subject]:
    return [
        Subject("post", (f"posts.{p.id}",), f"posts[{i}]", label_of(p)) for i, p in enumerate(facts.description.posts)
    ]


def _wearers(facts: Facts) -> list[Subject]:
    return [Subject("wearer", (f"people.{p.id}",), path, label_of(p)) for path, p in facts.present]


def _people_of_posts(facts: Facts) -> list[Subject]:
    here = {person.id: (path, person) for path, person in facts.present}
    return [
        Subject("post-person", (f"people.{who}", f"posts.{post.id}"), path, label_of(person))
        for post in facts.description.posts
        for who in dict.fromkeys(post.people)
        if who in here
        for path, person in (here[who],)
    ]


def _leavers(facts: Facts) -> list[Subject]:
    return [
        Subject("leaver", (f"people.{p.id}",), path, label_of(p))
        for path, p in facts.people.values()
        if p.left is not None
    ]


def _worn_masks(facts: Facts) -> list[Subject]:
    return [
        Subject(
            "worn-mask",
            (f"people.{person.id}", f"masks.{issued.mask}"),
            f"{path}.masks[{i}]",
            said("%(person)s, %(masks)s", person=label_of(person), masks=label_of(facts.masks[issued.mask][1])),
        )
        for path, person in facts.present
        for i, issued in enumerate(person.masks)
        if not is_withdrawn(facts.masks[issued.mask][1], facts.as_of)
    ]


def _empty_texts(facts: Facts) -> list[Subject]:
    """The texts that only hold the place of an answer; of all others there is nothing to say."""
    return [
        Subject("text", (), path, said("“%(text)s” under `%(path)s`", text=text, path=same(path)))
        for path, text in facts.empty_texts
        if not _PERSON.match(path)
    ]


def _empty_texts_of_people(facts: Facts) -> list[Subject]:
    return [
        Subject(
            "text",
            (f"people.{facts.description.people[int(person[1])].id}",),
            path,
            said("“%(text)s” under `%(path)s`", text=text, path=same(path)),
        )
        for path, text in facts.empty_texts
        if (person := _PERSON.match(path))
    ]


_PERSON = re.compile(r"people\[(\d+)\]")


def _calendar(facts: Facts) -> list[Subject]:
    return [
        Subject("calendar-entry", (f"calendar.{entry.id}",), f"calendar[{i}]", what_words(entry))
        for i, entry in enumerate(facts.description.calendar)
    ]


SUBJECTS: dict[str, Callable[[Facts], list[Subject]]] = {
    "program": _program,
    "task": _tasks,
    "hazard": _hazards,
    "mask": _masks,
    "mask-use": _mask_uses,
    "escape-mask": _escape_masks,
    "filter": _filters,
    "schedule": _schedules,
    "unit": _units,
    "spare-cylinder": _spare_cylinders,
    "post": _posts,
    "calendar-entry": _calendar,
    "wearer": _wearers,
    "worn-mask": _worn_masks,
    "leaver": _leavers,
    "post-person": _people_of_posts,
    "empty-text": _empty_texts,
    "empty-text-of-people": _empty_texts_of_people,
}
