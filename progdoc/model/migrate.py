"""Descriptions in an earlier format, brought to the present one while they are read.

A revision that was issued years ago must still be readable, and comparable with today's. Each step leads from
one format to the next and only gives known things their present names: what it meant stays, and every value
keeps its place in the file, so that findings still point at what was typed.

Format 0 is what was written before the first release of progdoc: `employer` for the organisation,
`respirators` for the masks, and one sampled `level` straight under a hazard.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from progdoc.model.yaml.yaml_reader import Description, with_part
from progdoc.model.yaml.yaml_tree import Node

__all__ = ["FORMAT", "migrated"]

FORMAT = 1  # of today


def migrated(description: Description) -> Description:
    """Return the description in today's format; one whose format is unknown as it is, to be refused by the caller."""
    written = description.values.get("format")
    known = {str(number): number for number in _STEPS}
    if not isinstance(written, str) or written not in known:
        return description
    for number in range(known[written], FORMAT):
        description = _STEPS[number](description)
    return description


def _from_0(description: Description) -> Description:
    found = _renamed_top(description, {"employer": "organisation", "respirators": "masks"})
    for task in _items(found, "tasks"):
        _rename(task, {"respirators": "masks"})
        for use in _list(task, "masks"):
            _rename(use, {"respirator": "mask"})
    for hazard in _items(found, "hazards"):
        _level_as_sample(hazard)
    for person in _items(found, "people"):
        _rename(person, {"respirators": "masks"})
        for inner in (*_list(person, "masks"), *_list(person, "fit_tests")):
            _rename(inner, {"respirator": "mask"})
    format_file, number = found.parts["format"][0]
    found = with_part(found, "format", [(format_file, replace(number, content="1"))])
    for key in ("tasks", "hazards", "people"):  # their values are made anew from the changed nodes
        if key in found.parts:
            found = with_part(found, key, found.parts[key])
    return found


_STEPS: Mapping[int, Callable[[Description], Description]] = {0: _from_0}


def _renamed_top(description: Description, names: Mapping[str, str]) -> Description:
    for old, new in names.items():
        if old in description.parts and new not in description.parts:
            parts = description.parts[old]
            is_complete = description.is_complete
            moved = with_part(with_part(description, old, []), new, parts)
            description = replace(moved, is_complete=is_complete)
    return description


def _items(description: Description, key: str) -> list[Node]:
    """Return the entries of a list that may stand in several files."""
    parts = description.parts.get(key, [])
    return [item for _, node in parts if isinstance(node.content, list) for item in node.content]


def _list(node: Node, key: str) -> list[Node]:
    inner = node.content.get(key) if isinstance(node.content, dict) else None
    return inner.content if inner is not None and isinstance(inner.content, list) else []


def _rename(node: Node, names: Mapping[str, str]) -> None:
    if isinstance(node.content, dict):
        node.content = {names.get(name, name): inner for name, inner in node.content.items()}


def _level_as_sample(hazard: Node) -> None:
    """Turn `level`, `sampled_for`, `sampled_on` and `sampled_by` into one sample of a list."""
    if not isinstance(hazard.content, dict) or "level" not in hazard.content:
        return
    names = {"level": "concentration", "sampled_for": "duration", "sampled_on": "date", "sampled_by": "by"}
    sample = {new: hazard.content.pop(old) for old, new in names.items() if old in hazard.content}
    place = sample["concentration"]

    def at_level(content: dict[str, Node] | list[Node] | str) -> Node:
        return replace(place, content=content)

    results = at_level([at_level({**sample, "rest_of_shift": at_level("zero")})])
    hazard.content["exposure"] = at_level({"kind": at_level("samples"), "results": results})
