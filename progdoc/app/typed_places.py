"""What is typed at a place of the description as its file has it, before anything is read of it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from progdoc.model.description.input_fields import ONE_MORE

__all__ = ["STEP", "at_path", "typed_at"]

STEP = re.compile(r"([a-z_0-9]+)|\[(\d+)\]")


def typed_at(values: Any, path: str) -> tuple[str, ...]:
    """Return the texts that stand at a place, those of a list one by one."""
    found = at_path(values, path)
    if isinstance(found, list):
        return tuple(one for one in found if isinstance(one, str))
    return (found,) if isinstance(found, str) else ()


def at_path(values: Any, path: str) -> Any:
    """Return what is typed at a place, or None."""
    if ONE_MORE in path:
        return None
    for name, place in STEP.findall(path):
        if place and isinstance(values, list):
            values = values[int(place)]
        elif name and isinstance(values, Mapping):
            values = values.get(name)
        else:
            return None
    return values
