"""What a comparison finds: a flat list of changes, each with its place, both sides, and which way it moves protection.

`mirrored` turns a comparison round; comparing the other way round must give the same.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Any

__all__ = ["Cause", "Change", "Comparison", "Direction", "Kind", "Side", "mirrored", "towards", "worst_first"]


class Kind(StrEnum):
    """What happened to a thing."""

    ADDED = "added"
    REMOVED = "removed"
    MOVED = "moved"  # to another place among its like, or into another section
    RENAMED = "renamed"  # it goes by another name or id, and is the same thing
    REWORDED = "reworded"  # words or choices
    FIGURE_CHANGED = "figure-changed"
    VERDICT_CHANGED = "verdict-changed"
    FINDING_APPEARED = "finding-appeared"
    FINDING_VANISHED = "finding-vanished"
    FINDING_CHANGED = "finding-changed"


class Direction(StrEnum):
    """Which way a change moves the protection of wearers, or what is asked for it."""

    LESS = "less-protection"
    MORE = "more-protection"
    NEUTRAL = "neutral"


class Cause(StrEnum):
    """What brought a change about."""

    DESCRIPTION = "description"
    RULES = "rules"  # another version of progdoc's rules
    TIME = "time"  # the day of evaluation moved on


@dataclass(frozen=True, slots=True)
class Change:
    """One change. Empty `old` or `new`: nothing stands there, or it is not to be repeated."""

    kind: Kind
    place: str  # by stable ids: "tasks.scrape-sashes.masks", "people.jo-marsh"
    what: str  # for people: "Protection factor needed in “Scraping sashes”"
    old: str = ""
    new: str = ""
    direction: Direction = Direction.NEUTRAL
    is_restricted: bool = False  # names a worker
    cause: Cause = Cause.DESCRIPTION
    was: str = ""  # the place on the old side, where a thing changed its id


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two that are compared."""

    name: str  # as the user typed it
    title: str
    revision: str
    rules: str  # "us-federal 2026.1", by which it was issued, or by which it is judged now
    is_issued: bool


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything that changed, in three parts: what it means, what was described, what is printed."""

    old: Side
    new: Side
    on: date
    meaning: tuple[Change, ...]
    description: tuple[Change, ...]
    text: tuple[Change, ...]
    words_taken_out: int = 0
    words_put_in: int = 0
    withheld: int = 0  # left out of a comparison to be handed on: they name workers
    withheld_less: int = 0  # of these, how many may lower protection

    @property
    def is_empty(self) -> bool:
        counts = (self.words_taken_out, self.words_put_in, self.withheld)
        return not (self.meaning or self.description or self.text or any(counts))


_OPPOSITE_KIND = {
    Kind.ADDED: Kind.REMOVED,
    Kind.REMOVED: Kind.ADDED,
    Kind.FINDING_APPEARED: Kind.FINDING_VANISHED,
    Kind.FINDING_VANISHED: Kind.FINDING_APPEARED,
}
_OPPOSITE_DIRECTION = {Direction.LESS: Direction.MORE, Direction.MORE: Direction.LESS}


def mirrored(changes: Iterable[Change]) -> tuple[Change, ...]:
    """Return the changes as they are seen the other way round."""
    turned = (
        replace(
            change,
            kind=_OPPOSITE_KIND.get(change.kind, change.kind),
            old=change.new,
            new=change.old,
            place=change.was or change.place,
            was=change.place if change.was else "",
            direction=_OPPOSITE_DIRECTION.get(change.direction, change.direction),
        )
        for change in changes
    )
    return worst_first(turned)


def towards(old: Any, new: Any, rising: Direction) -> Direction:
    """Return the direction of a rise from old to new, or the opposite of it for a fall.

    >>> towards(12, 24, Direction.LESS).value, towards(24, 12, Direction.LESS).value
    ('less-protection', 'more-protection')
    """
    if old == new:
        return Direction.NEUTRAL
    return rising if new > old else _OPPOSITE_DIRECTION[rising]


_FIRST = (Direction.LESS, Direction.MORE, Direction.NEUTRAL)


def worst_first(changes: Iterable[Change]) -> tuple[Change, ...]:
    """Return the changes sorted: what lowers protection first, then by place."""
    return tuple(sorted(changes, key=lambda c: (_FIRST.index(c.direction), c.place, c.what, c.kind, c.old, c.new)))
