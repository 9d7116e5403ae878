"""Our `dataclass` does what that of the standard library does, which is asked beside it, and writes nothing before."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from collections.abc import Callable
from typing import Any

import pytest

from progdoc.core.late_dataclass import dataclass

WHAT = {"frozen": True, "slots": True}


def made(by: Callable[..., Any], **more: bool) -> Any:
    """Return a class with a field of each kind."""

    @by(**{**WHAT, **more})
    class Thing:
        """A thing."""

        name: str
        size: float = 1.5
        parts: list[str] = dataclasses.field(default_factory=list, compare=False, repr=False)

        def doubled(self) -> float:
            return self.size * 2

    return Thing


BOTH = (dataclasses.dataclass, dataclass)


def told(work: Callable[[Any], Any], **more: bool) -> list[Any]:
    """Return what the same piece of work gives with a class of either."""
    found = []
    for by in BOTH:
        kind = made(by, **more)
        try:
            found.append(work(kind))
        except Exception as fault:
            found.append((type(fault), str(fault)))
    return found


WORK: list[Callable[[Any], Any]] = [
    lambda kind: repr(kind("a")),
    lambda kind: kind("a", 2).doubled(),
    lambda kind: kind(size=3, name="b") == kind("b", 3.0, ["not compared"]),
    lambda kind: kind("a") == "a",
    lambda kind: hash(kind("a")) == hash(kind("a", parts=["x"])),
    lambda kind: kind(),
    lambda kind: kind("a", nosuch=1),
    lambda kind: kind("a").parts is kind("a").parts,
    lambda kind: setattr(kind("a"), "name", "b"),
    lambda kind: delattr(kind("a"), "name"),
    lambda kind: repr(dataclasses.replace(kind("a"), size=4)),
    lambda kind: dataclasses.asdict(kind("a", parts=["x"])),
    lambda kind: [(field.name, field.type, field.compare) for field in dataclasses.fields(kind)],
    lambda kind: dataclasses.is_dataclass(kind) and dataclasses.is_dataclass(kind("a")),
    lambda kind: repr(copy.copy(kind("a"))) + repr(copy.deepcopy(kind("a"))),
    lambda kind: (kind.__slots__, kind.__match_args__, kind.__doc__, kind.__qualname__, kind.__module__),
    lambda kind: hasattr(kind("a"), "__dict__"),
    lambda kind: sorted([kind("b"), kind("a", 2), kind("a", 1)]).__repr__(),
    lambda kind: kind("a") < 1,
    lambda kind: kind("a", 1) >= kind("a", 0.5),
]


@pytest.mark.parametrize("more", [{}, {"order": True}, {"frozen": False}], ids=str)
def test_it_does_the_same_as_the_standard_library(more: dict[str, bool]) -> None:
    for number, work in enumerate(WORK):
        theirs, ours = told(work, **more)
        assert theirs == ours, number


@dataclass(frozen=True, slots=True)
class Kept:
    name: str


def test_one_goes_through_a_pickle() -> None:
    assert pickle.loads(pickle.dumps(Kept("a"))) == Kept("a")


def test_what_is_never_called_is_never_written() -> None:
    kind = made(dataclass)
    assert kind.__init__.__name__ == "_init"
    kind("a")
    assert kind.__init__.__name__ == "__init__"
    assert kind.__eq__.__name__ == "first"
    assert kind("a") == kind("a")
    assert kind.__eq__.__name__ == "__eq__"
