"""Work that nobody may start as things stand, in the words that every output begins with.

It is worked out once, from the judged description: what papers, roster and cards refuse is told here, and nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import marked
from progdoc.core.said import said, said_series

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
    >>> barred_words(Barred("scrape", Why.PEOPLE, people=2, named=2), {"tasks.scrape": "Scraping"})
    'none of the 2 people named for “Scraping” may start it'
    """
    task = said("“%(names)s”", names=names.get(f"tasks.{one.task}", one.task))
    masks = [said("“%(names)s”", names=names.get(f"masks.{mask}", mask)) for mask in one.masks]
    if not one.is_for_all:
        works = one.why is Why.PEOPLE
        if one.people == one.named > 1:
            return said(
                "none of the %(named)s people named for %(task)s may start it"
                if works
                else "none of the %(named)s people named for %(task)s may wear a mask in it",
                named=one.named,
                task=task,
            )
        who = (
            said("the one person")
            if one.named == 1
            else said("%(people)s of the %(named)s people", people=one.people, named=one.named)
        )
        return said(
            "%(who)s named for %(task)s may not start it"
            if works
            else "%(who)s named for %(task)s may not wear a mask in it",
            who=who,
            task=task,
        )
    if one.why is Why.MASKS:
        return said("nobody may start %(task)s in %(either)s", task=task, either=said_series(masks, "or"))
    return said(_NOT_YET[one.why], task=task)


_NOT_YET = {
    Why.NO_MASK: marked("nobody may start %(task)s yet: no mask is named for it"),
    Why.WAY_OUT: marked("nobody may start %(task)s before a mask to get out in hangs at hand"),
    Why.RESCUE: marked("nobody may start %(task)s before all is there that going in and getting people out takes"),
}
