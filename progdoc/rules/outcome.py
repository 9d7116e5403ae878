"""What came of holding a description against a proof: shown, nothing of the kind, not said, or contradicted.

Nothing is met because no fault was found. An outcome that shows nothing and lacks nothing says that there was
nothing to judge, and why.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import field

from progdoc.core.late_dataclass import dataclass

__all__ = ["Fault", "Outcome", "all_of", "any_of"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that does not satisfy: where, what it says, what would do; and words for the placeholders."""

    path: str
    detail: str = ""
    words: dict[str, str] = field(default_factory=dict)
    is_silent: bool = False


@dataclass(frozen=True, slots=True)
class Outcome:
    """The stated facts that show a duty kept; or what is amiss; or why there is nothing to judge."""

    shown: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
    nothing: str = ""  # why nothing of the kind is there
    ask: tuple[str, ...] = ()  # the facts without which it can't be told
    read: tuple[str, ...] = ()  # every place that was looked at

    @property
    def is_shown(self) -> bool:
        return bool(self.shown) and not self.faults and not self.ask


def all_of(parts: Sequence[Outcome]) -> Outcome:
    """Join parts of which each is needed: one fault is a fault, one open question leaves all open.

    >>> all_of([Outcome(shown=("a",)), Outcome(nothing="no such mask")]).shown
    ('a',)
    """
    return Outcome(
        shown=_once(path for part in parts for path in part.shown),
        faults=tuple(fault for part in parts for fault in part.faults),
        nothing="; ".join(dict.fromkeys(part.nothing for part in parts if part.nothing)),
        ask=_once(path for part in parts for path in part.ask),
        read=_once(path for part in parts for path in part.read),
    )


def any_of(parts: Sequence[Outcome]) -> Outcome:
    """Join parts of which one is enough: the first that is shown; else what contradicts, what is silent, or nothing.

    >>> any_of([Outcome(faults=(Fault("a", is_silent=True),)), Outcome(shown=("b",))]).shown
    ('b',)
    """
    read = _once(path for part in parts for path in part.read)
    shown = next((part for part in parts if part.is_shown), None)
    if shown is not None:
        return Outcome(shown=shown.shown, read=read)
    against = [part for part in parts if any(not fault.is_silent for fault in part.faults)]
    silent = [part for part in parts if part.faults or part.ask]
    first = next(iter(against or silent or parts))
    return Outcome(faults=first.faults, nothing=first.nothing, ask=first.ask, read=read)


def _once(paths: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(paths))
