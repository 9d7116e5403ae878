"""What may be typed at a place of the description, as a form asks it: single fields, groups, one more of a list.

A place is written as in messages, `tasks[0].use`; one more entry of a list is `people[0].medical[+]`.
"""

from __future__ import annotations

import re
import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pydantic import BaseModel

from progdoc.model.description.fields import Field, field_at, models_at

__all__ = ["NEW", "ONE_MORE", "Input", "Kinds", "inputs_at", "things_at"]

ONE_MORE = "[+]"
NEW = "+new"  # behind a place: names of things that are not listed yet
_KIND = "kind"
_INDEX = re.compile(r"\[(?:\d+|\+)\]")

# The lists whose ids a field takes, by its name.
_THINGS = {
    "escape_masks": "masks",
    "filter": "filters",
    "filters": "filters",
    "mask": "masks",
    "masks": "masks",
    "never_same_day": "tasks",
    "people": "people",
    "sites": "organisation.sites",
    "task": "tasks",
    "tasks": "tasks",
}


@dataclass(frozen=True, slots=True)
class Input:
    """One field of a form."""

    path: str
    field: Field
    is_needed: bool  # an entry can't be read without it
    things: str = ""  # the list of which ids may be named: "people"


@dataclass(frozen=True, slots=True)
class Kinds:
    """A group that is one of several kinds; which fields it has is known once one is chosen."""

    path: str
    field: Field
    kinds: tuple[tuple[str, str], ...]  # (kind, what it is)
    chosen: str


def inputs_at(path: str, chosen: Mapping[str, str]) -> Iterator[Input | Kinds]:
    """Yield what is asked at a place; `chosen` says of which kind a group is, by its place."""
    field = field_at(_pattern(path))
    if field is None:
        raise KeyError(path)
    yield from _asked(path, field, chosen, is_needed=False)


def _asked(path: str, field: Field, chosen: Mapping[str, str], is_needed: bool) -> Iterator[Input | Kinds]:
    models = models_at(_pattern(path))
    if not models:
        yield Input(path, field, is_needed, things_at(path))
        return
    inner = f"{path}{ONE_MORE}" if field.is_list else path
    if len(models) == 1:
        yield from _fields_of(inner, models[0], chosen)
        return
    by_kind = {kind: model for model in models for kind in _kinds_of(model)}
    kind = chosen.get(inner, "")
    yield Kinds(inner, field, tuple((name, _first_line(model)) for name, model in by_kind.items()), kind)
    if kind in by_kind:
        yield from _fields_of(inner, by_kind[kind], chosen)


def _fields_of(path: str, model: type[BaseModel], chosen: Mapping[str, str]) -> Iterator[Input | Kinds]:
    for name, info in model.model_fields.items():
        place = f"{path}.{name}"
        field = field_at(_pattern(place))
        if field is None or name in ("id", _KIND):
            continue
        if ONE_MORE in path and field.is_list and field.form == "group" and not info.is_required():
            continue  # what comes later in the life of an entry is asked by a question of its own
        yield from _asked(place, field, chosen, info.is_required())


def things_at(path: str) -> str:
    """Return the list whose ids are typed at a place, or "".

    >>> things_at("tasks[0].people"), things_at("people[+].name")
    ('people', '')
    """
    name = path.rpartition(".")[2].partition("[")[0]
    return _THINGS.get(name, "") if "." in path else ""


def _pattern(path: str) -> str:
    return _INDEX.sub("[]", path)


def _kinds_of(model: type[BaseModel]) -> tuple[str, ...]:
    return tuple(map(str, typing.get_args(model.model_fields[_KIND].annotation)))


def _first_line(model: type[BaseModel]) -> str:
    return (model.__doc__ or "").strip().partition("\n")[0].rstrip(".")
