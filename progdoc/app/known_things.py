"""The things that a form names or begins: by which fields, and what each is called."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from progdoc.app.check import Checked
from progdoc.app.typed_places import at_path
from progdoc.core.questions import Question
from progdoc.core.said import said, said_join
from progdoc.model.description.input_fields import ONE_MORE
from progdoc.model.description.words import label_of

__all__ = ["OPENED_BY", "OWNER", "THINGS", "is_mine", "known_things", "title_with_owner"]

_OF_A_THING = re.compile(r"(?:masks|filters)\[\d+\](?=\.)")
OWNER = f"hazards{ONE_MORE}.task"
THINGS = ("tasks", "masks", "filters", "people", "organisation.sites", "attachments", "hazards")
OPENED_BY = {  # with what a thing begins; the questions about it ask the rest
    "tasks": ("name", "industry"),  # whose limits bind decides what may be typed of its air
    "hazards": ("agent", "form"),
    "organisation.sites": ("name", "address"),
    "procedures.filter_changes.schedules": (
        "filter",
        "tasks",
        "change",
        "after",
        "basis",
        "data",
        "reliance",
        "reused",
    ),
}


def title_with_owner(values: Any, question: Question, path: str, title: str) -> str:
    """Return the title of a field, with whose it is where a question about the whole program asks it of each thing."""
    found = _OF_A_THING.match(path)
    owner = at_path(values, found[0]) if found and not question.subject else None
    return said_join((str(owner.get("name", owner["id"])), title), ": ") if isinstance(owner, dict) else title


def is_mine(values: Any, question: Question, owner: str) -> Callable[[str], bool]:
    """Return whether an entry is of what the question is about: "hazards[2]"."""
    name = owner.rpartition(".")[2]
    meant = [subject.partition(".")[2] for subject in question.subject]
    return lambda path: not name or (at_path(values, path) or {}).get(name) in meant


def known_things(checked: Checked, name: str, about: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    """Yield the things of a list with what they are called; of the agents those of the tasks that are asked about."""
    found: Any = checked.loaded.program
    for step in name.split("."):
        found = getattr(found, step)
    tasks = {one.id: label_of(one) for one in checked.loaded.program.tasks} if checked.loaded.program else {}
    for thing in found:
        if name == "hazards" and about and f"tasks.{thing.task}" not in about:
            continue
        if name == "hazards":
            of = tasks.get(thing.task, thing.task)
            yield thing.id, said("%(agent)s in “%(tasks)s”", agent=thing.agent, tasks=of)
        else:
            yield thing.id, thing.title if name == "attachments" else label_of(thing)
