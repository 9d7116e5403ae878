"""Keeps once what is said alike of many people: a crew is trained in one go, and has the same masks.

Of ten thousand people their records would take five times the room. Nobody can tell the difference, as nothing of a
description is changed once it was read; whoever looks at records one after another may know that by the object alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from enum import Enum
from typing import Any

from pydantic import ValidationError

from progdoc.model.description.base import Described

__all__ = ["shared_as_read"]

_AT_A_TIME = 500  # entries
_PLAIN = frozenset({str, int, bool, type(None), date})  # told by their value alone; of others the text counts, too


def shared_as_read(values: Any, validated: Callable[[Any], tuple[Described, ...]]) -> tuple[Described, ...]:
    """Return a list as `validated` makes it, some entries at a time, so that few are there before they share records.

    Faults are told of the whole list, by the places of its entries.
    """
    if not isinstance(values, list) or len(values) <= _AT_A_TIME:
        found = validated(values)
        _share_records(found, {})
        return found
    kept: dict[Any, Any] = {}
    made: list[Described] = []
    try:
        for start in range(0, len(values), _AT_A_TIME):
            some = validated(values[start : start + _AT_A_TIME])
            _share_records(some, kept)
            made += some
    except ValidationError:
        return validated(values)
    return tuple(made)


def _share_records(people: Iterable[Described], kept: dict[Any, Any]) -> None:
    """Let people of whom the same is said have the same record of it: for those whom nobody else has seen."""
    for person in people:
        _share_in(person, kept)


def _share_in(thing: Described, kept: dict[Any, Any]) -> None:
    fields, said = thing.__dict__, thing.model_fields_set
    for name in said:
        value = fields[name]
        if isinstance(value, (tuple, Described)):
            fields[name] = _shared(value, kept)
    object.__setattr__(thing, "__pydantic_fields_set__", kept.setdefault(frozenset(said), said))


def _shared(value: Any, kept: dict[Any, Any]) -> Any:
    """Return what is kept of all that is equal in everything that was said; parts that are kept go by who they are."""
    if isinstance(value, tuple):
        inner = tuple([_shared(one, kept) for one in value])
        return kept.setdefault((tuple, *map(_mark, inner)), inner)
    if isinstance(value, Described):
        _share_in(value, kept)
        marks = ((name, _mark(one)) for name, one in value.__dict__.items() if name in value.model_fields_set)
        return kept.setdefault((type(value), *marks), value)
    return value


def _mark(value: Any) -> Any:
    if type(value) in _PLAIN or isinstance(value, Enum):
        return (type(value), value)
    return id(value)
