"""Work that nobody may start as things stand, in the words that every output begins with.

It is worked out once, from the judged description: what papers, roster and cards refuse is told here, and nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from progdoc.core.late_dataclass import dataclass

__all__ = ["Barred", "Why", "barred_words"]


class Why(StrEnum):
    """What stands in the way, worst first."""

    NO_MASK = "no-mask"  # one has to be worn, and none is named
    MASKS = "masks"  # those named are not shown to protect, or may not be worn
    WAY_OUT = "way-out"  # nobody could count on getting out
    RESCUE = "rescue"  # nobody could be got out of air that kills at once
    PEOPLE = "people"  # others may start it; what is on record of these keeps them from it
    CHOICE = "by-choice"  # likewise from wearing a mask in it, which nobody asks them to


@dataclass(frozen=True, slots=True)
class Barred:
    """A task, and what bars it. Never names a person."""

    task: str  # its id
    why: Why
    masks: tuple[str, ...] = ()  # ids of those that it is barred in
    people: int = 0  # how many of those whom the task names
    named: int = 0  # how many it names

    @property
    def is_for_all(self) -> bool:
        """Whether it is the work that is barred, not single people."""
        return self.why not in (Why.PEOPLE, Why.CHOICE)


def barred_words(one: Barred, names: Mapping[str, str]) -> str:
    """Return who may not start what, in a phrase; `names` by kind and id.

    >>> barred_words(Barred("scrape", Why.MASKS, ("half", "dust")), {"tasks.scrape": "Scraping"})
    'nobody may start “Scraping” in “half” or “dust”'
    """
    task = f"“{names.get(f'tasks.{one.task}', one.task)}”"
    masks = [f"“{names.get(f'masks.{mask}', mask)}”" for mask in one.masks]
    if not one.is_for_all:
        who = "the one person" if one.named == 1 else f"{one.people} of the {one.named} people"
        return f"{who} named for {task} may not {'start it' if one.why is Why.PEOPLE else 'wear a mask in it'}"
    if one.why is Why.MASKS:
        return f"nobody may start {task} in {_either(masks)}"
    return f"nobody may start {task} {_BEFORE[one.why]}"


_BEFORE = {
    Why.NO_MASK: "yet: no mask is named for it",
    Why.WAY_OUT: "before a mask to get out in hangs at hand",
    Why.RESCUE: "before all is there that going in and getting people out takes",
}


def _either(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
