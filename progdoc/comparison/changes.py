"""What a comparison finds: a flat list of changes, each with its place, both sides, its cause, and what it does.

A change is an edit of the description, or an effect: something that the rules now say otherwise. An effect names the
edits that brought it about, or that time or other rules did.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from enum import IntEnum, StrEnum
from typing import Any

from progdoc.core.late_dataclass import dataclass

__all__ = ["Cause", "Change", "Comparison", "CountedPeople", "Danger", "Direction", "Kind", "Nature", "Side", "Topic"]
__all__ += ["mirrored", "towards", "worst_first"]


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
    """What a change does to the protection of wearers, or to what is known of it."""

    LESS = "less-protection"
    MORE = "more-protection"
    KNOWN = "now-known"  # nobody knew it before: neither more nor less than it was
    ASKS_LESS = "asks-less"  # the air asks for less than before
    ASKS_MORE = "asks-more"  # the air asks for more, and what is worn has grown with it
    NOT_ASKED = "no-longer-asked"  # nothing is better: what it was about is gone
    NEUTRAL = "neutral"


class Danger(IntEnum):
    """How near a change comes to somebody's lungs, worst first."""

    BREATHED = 1  # somebody may breathe it: a mask that does not protect, dangerous air, no way out
    LOST = 2  # protection, or the evidence for it, is less: nobody is shown to be harmed
    BARRED = 3  # somebody's or a device's record does not do, which keeps them from work
    DOUBT = 4  # a caution
    NONE = 5


class Topic(StrEnum):
    """What a change is about."""

    EDIT = "edit"
    MASK = "mask"
    AIR = "air"
    EVIDENCE = "evidence"  # taken out or weakened: hazards, samples, controls, policies, schedules
    DUTY = "duty"  # of the law: met, open, or not asked
    PERSON = "person"
    DUE = "due"
    FIGURE = "figure"
    FILE = "file"


class Nature(StrEnum):
    """What kind of edit it is."""

    FACT = "fact"  # figures, choices, days, what is there
    LOST = "lost"  # a fact that is no longer said: to be read, for what it bounded or showed, nobody judges then
    TEXT = "text"  # words that the law asks for, or that tell people what to do: to be read
    WORDS = "words"  # other words


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
    topic: Topic = Topic.EDIT
    danger: Danger = Danger.NONE
    citation: str = ""  # the paragraph or the policy that it is about
    nature: Nature = Nature.FACT
    field: str = ""  # of an edit: the place in the model, lists written "people[]"
    causes: tuple[Change, ...] = ()  # of an effect: the edits
    about: str = ""  # the task under which it is told, where its place does not say
    is_below: bool = False  # a figure of air that was under every limit and is: it calls for no mask
    note: str = ""  # what else names the thing, or why a change is not what it looks like

    @property
    def is_taken_out(self) -> bool:
        """Whether something was said, and nothing is said in its place."""
        return bool(self.old) and not self.new


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two that are compared."""

    name: str  # as the user typed it
    title: str
    revision: str
    rules: str  # "us-federal 2026.1", by which it was issued, or by which it is judged now
    is_issued: bool
    firm: str = ""
    day: date | None = None  # the day that it stands for
    altered: tuple[str, ...] = ()  # files of an issued revision that are not as they were issued


@dataclass(frozen=True, slots=True)
class CountedPeople:
    """How many people there were and are: in a task, or, where `task` is empty, on the list of wearers."""

    task: str  # "tasks.scrape-sashes", by the ids of the new side
    old: int
    new: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything that changed: what it means, what was described, what is printed, what lies beside it."""

    old: Side
    new: Side
    on: date
    meaning: tuple[Change, ...]
    description: tuple[Change, ...]
    text: tuple[Change, ...]
    files: tuple[Change, ...] = ()
    people: tuple[CountedPeople, ...] = ()  # how many there are, in all and in each task: nobody is named
    kept_up: tuple[Change, ...] = ()  # what time or other rules would have brought about, and was seen to
    is_read: bool = False  # whether the printed texts were compared too
    site: str = ""  # the name of the one that it is about, beside the firm as a whole; "" where it is about all
    words_taken_out: int = 0
    words_put_in: int = 0
    words_moved: int = 0
    withheld: int = 0  # left out of a comparison to be handed on: they name workers
    withheld_less: int = 0  # of these, how many may lower protection
    withheld_barred: tuple[int, ...] = (0, 0, 0)  # of these, as `public_part.barred_and_free` has them
    withheld_edits: int = 0  # of these, how many are edits
    withheld_aged: int = 0  # of these, how many time alone keeps from work
    withheld_kept_up: int = 0

    @property
    def warnings(self) -> tuple[str, ...]:
        """What a reviewer has to know before anything else."""
        return tuple(_warnings(self))

    @property
    def is_empty(self) -> bool:
        counts = (
            self.words_taken_out,
            self.words_put_in,
            self.words_moved,
            self.withheld,
            self.old.rules != self.new.rules,
        )
        return not (
            self.people or self.meaning or self.description or self.text or self.files or any(counts) or self.warnings
        )


def _warnings(of: Comparison) -> Iterable[str]:
    old, new = of.old, of.new
    if old.firm and new.firm and old.firm != new.firm:
        yield f"Two firms: {old.firm} and {new.firm}. What follows compares the program of one with that of the other."
    for label, side in (("old", old), ("new", new)):
        if side.altered:
            names = ", ".join(side.altered)
            yield f"The {label} folder was altered after it had been issued, and proves nothing any more: {names}."
    has_edits = bool(of.description or of.text or of.files or of.withheld_edits)
    if old.revision and old.revision == new.revision and has_edits:
        yield f"Both are called revision {new.revision}, and their content differs: one of them needs another number."


_OPPOSITE_KIND = {
    Kind.ADDED: Kind.REMOVED,
    Kind.REMOVED: Kind.ADDED,
    Kind.FINDING_APPEARED: Kind.FINDING_VANISHED,
    Kind.FINDING_VANISHED: Kind.FINDING_APPEARED,
}
_OPPOSITE_DIRECTION = {Direction.LESS: Direction.MORE, Direction.MORE: Direction.LESS}


def mirrored(changes: Iterable[Change]) -> tuple[Change, ...]:
    """Return edits as they are seen the other way round; comparing the other way round must give the same."""
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


_FIRST = tuple(Direction)


def worst_first(changes: Iterable[Change]) -> tuple[Change, ...]:
    """Return the changes sorted: what is nearest to somebody's lungs first, then by place."""
    return tuple(
        sorted(changes, key=lambda c: (c.danger, _FIRST.index(c.direction), c.place, c.what, c.kind, c.old, c.new))
    )
