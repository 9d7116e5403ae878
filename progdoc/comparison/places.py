"""Places by id in place of places by position: "hazards[2].exposure" is "hazards.sash-lead.exposure"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

from progdoc.model.description.base import Described
from progdoc.model.description.program import Program

__all__ = ["Places", "above", "heads"]

_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


class Places:
    """The places of one description, each worked out once."""

    def __init__(self, program: Program) -> None:
        self._program = program
        self._known: dict[str, str] = {}

    def of(self, path: str) -> str:
        """Return a place by ids. Lists whose entries have none end it: what stands in them counts as one thing."""
        found = self._known.get(path)
        if found is None:
            found = self._known[path] = ".".join(self._steps(path))
        return found

    def all(self, paths: Iterable[str]) -> frozenset[str]:
        return frozenset(place for path in paths if (place := self.of(path)))

    def _steps(self, path: str) -> Iterator[str]:
        value: Any = self._program
        for name, index in _STEP.findall(path):
            if name:
                value = getattr(value, name, None)
                yield name
            elif isinstance(value, tuple) and int(index) < len(value):
                value = value[int(index)]
                identity = getattr(value, "id", None)
                if not isinstance(value, Described) or identity is None:
                    return
                yield str(identity)
            else:
                return


def above(place: str) -> Iterator[str]:
    """Yield a place and every place that it stands in, the nearest first."""
    while place:
        yield place
        place = place.rpartition(".")[0]


def heads(places: Iterable[str]) -> frozenset[str]:
    """Return the things that the places belong to: "hazards.sash-lead", "procedures.storage"."""
    return frozenset(".".join(place.split(".")[:2]) for place in places)
