"""Which things of a description refer to each other: a task, its hazards, masks, filters and change schedules.

People are left out: whoever does many tasks would tie all of them to one another.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from progdoc.model.description.base import Described
from progdoc.model.description.program import Program

__all__ = ["related"]

_KINDS = ("tasks", "hazards", "masks", "filters")
_SCHEDULES = ("schedules", "procedures.filter_changes.schedules")  # as verdicts call them, and by their place


def related(*programs: Program) -> Mapping[str, frozenset[str]]:
    """Return the things that a thing refers to or is referred to by, in any of the programs, by its place."""
    found: dict[str, set[str]] = {}
    for program in programs:
        places: dict[str, list[str]] = {}
        for place, thing in _things(program):
            places.setdefault(str(getattr(thing, "id", "")), []).append(place)
        for place, thing in _things(program):
            for word in _words(thing):
                for other in places.get(word, ()):
                    if other != place:
                        found.setdefault(place, set()).add(other)
                        found.setdefault(other, set()).add(place)
    return {place: frozenset(others) for place, others in found.items()}


def _things(program: Program) -> Iterator[tuple[str, Described]]:
    for kind in _KINDS:
        yield from ((f"{kind}.{thing.id}", thing) for thing in getattr(program, kind))
    for plan in program.procedures.filter_changes.schedules:
        yield from ((f"{kind}.{plan.id}", plan) for kind in _SCHEDULES)


def _words(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _words(item)
    elif isinstance(value, Described):
        for name in type(value).model_fields:
            yield from _words(getattr(value, name))
