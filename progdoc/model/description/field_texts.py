"""Every text of the model that a form shows: titles, descriptions, what may be chosen; gathered to be translated."""

from __future__ import annotations

import importlib
import typing
from collections.abc import Iterator
from enum import StrEnum
from typing import Any

from pydantic import BaseModel

from progdoc.model.description.fields import choice_text, kind_text, named_text
from progdoc.model.description.scalars import PROTOCOLS

__all__ = ["texts_of_module"]

_SUGGESTED = {"scalars": (*PROTOCOLS, "yes", "no")}  # what a form lists that no class of the module does


def texts_of_module(name: str) -> Iterator[str]:
    """Yield the texts of one module of the description, "people", in the order in which they stand there.

    >>> next(texts_of_module("people"))
    'cleared'
    """
    module = importlib.import_module(f"{__package__}.{name}")
    for kind in vars(module).values():
        if isinstance(kind, type) and kind.__module__ == module.__name__:
            yield from _texts_of(kind)
    yield from map(choice_text, _SUGGESTED.get(name, ()))


def _texts_of(kind: type) -> Iterator[str]:
    if issubclass(kind, StrEnum):
        yield from map(choice_text, kind)
    if issubclass(kind, BaseModel):
        if "kind" in kind.model_fields:
            yield kind_text(kind)
        for name, field in kind.model_fields.items():
            yield field.title or name
            yield field.description or ""
            yield named_text(field.description or "")
            yield from map(choice_text, _choices(field.annotation))


def _choices(kind: Any) -> Iterator[str]:
    """Yield what a closed list names that has no type of its own."""
    if typing.get_origin(kind) is typing.Literal:
        yield from map(str, typing.get_args(kind))
    else:
        for part in typing.get_args(kind):
            yield from _choices(part)
