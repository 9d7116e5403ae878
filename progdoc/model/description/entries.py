"""Entries of a description's lists and groups before they stand in a file: what they may hold, and what stands there.

Whatever can't be read counts as not there; when the file is read, the fault is told with its place.
"""

from __future__ import annotations

import typing
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from progdoc.model.description.program import Program
from progdoc.model.description.program_reader import read_program

__all__ = ["Shape", "fields_of", "program_of", "says_already", "shape_of"]

Shape = type[BaseModel]


def shape_of(owner: Shape, name: str) -> Shape:
    """Return what the entries of a list are, or a group."""
    pending: list[Any] = [owner.model_fields[name].annotation]
    while pending:
        kind = pending.pop()
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            return kind
        pending += [part for part in typing.get_args(kind) if part is not Ellipsis]
    raise ValueError(f"{owner.__name__}.{name} holds no entries")


def fields_of(shape: Shape) -> dict[str, bool]:
    """Return the names of an entry's fields in their order, and whether each is a list."""
    return {name: typing.get_origin(field.annotation) is tuple for name, field in shape.model_fields.items()}


def says_already(owner: Any, name: str, entry: Mapping[str, Any] | str, is_one_more: bool) -> bool:
    """Whether a part of the description has an entry in its list, or a value in its place, as it would be typed."""
    stands, shape = getattr(owner, name), type(owner)
    if is_one_more and isinstance(entry, str):
        return entry in stands
    try:
        if is_one_more:
            return shape_of(shape, name).model_validate(entry) in stands
        needed = {key: getattr(owner, key) for key, field in shape.model_fields.items() if field.is_required()}
        return bool(getattr(shape.model_validate({**needed, name: entry}), name) == stands)
    except ValidationError:
        return False


def program_of(values: Mapping[str, Any]) -> Program | None:
    """Return the description that plain values make; None where they make none."""
    try:
        return read_program(values)
    except ValidationError:
        return None
