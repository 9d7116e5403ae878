"""Who may do which task, in which mask, or every reason why not."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.people import Person
from progdoc.model.description.workplace import Task

__all__ = ["Assignment", "Bar", "Choice", "Roster"]


@dataclass(frozen=True, slots=True, order=True)
class Bar:
    """One reason why not."""

    code: str
    what: str
    citation: str


@dataclass(frozen=True, slots=True)
class Choice:
    """A mask issued to the person and allowed in the task, with all that speaks against it."""

    mask: str
    label: str
    size: str
    fit_tested_until: date | None
    bars: tuple[Bar, ...]  # in their order, each once


@dataclass(frozen=True, slots=True)
class Assignment:
    """One person and one task."""

    person: Person
    task: Task
    is_named: bool  # the task names the person among those who do it
    is_mask_required: bool
    choices: tuple[Choice, ...]
    bars: tuple[Bar, ...]  # where no mask comes into question at all
    reasons: tuple[Bar, ...] = ()  # every one why not in a mask, each once; none where some mask will do
    escape_masks: tuple[str, ...] = ()  # what hangs at hand for getting out, by name
    is_held_back: bool = False  # nobody could count on getting out, with a mask worn or without one

    @property
    def good(self) -> tuple[Choice, ...]:
        """The masks in which the person may do the task."""
        return tuple(choice for choice in self.choices if not choice.bars)

    @property
    def may(self) -> bool:
        """Whether the person may do the task; where a mask is worn by choice, it may also be done without."""
        return bool(self.good) or not (self.is_mask_required or self.is_held_back)


@dataclass(frozen=True, slots=True)
class Roster:
    """Who may do what. Pairs of people and tasks are many, so that each is judged when it is asked for."""

    people: tuple[Person, ...]
    tasks: tuple[Task, ...]  # of our people, in which somebody wears a mask, in the order of the description
    masked: Mapping[str, tuple[Task, ...]]  # those in which people of a group do; "" for all whom none binds apart
    named: Mapping[str, tuple[Task, ...]]  # by person: those that name them
    assignment: Callable[[Person, Task], Assignment]  # whether a person may do a task, and why not

    def all_pairs(self) -> Iterator[Assignment]:
        """Yield an assignment for every person and task, person by person."""
        return self.pairs_of(self.people)

    def pairs_of(self, people: Iterable[Person]) -> Iterator[Assignment]:
        """Yield the same of some people."""
        return (self.assignment(person, task) for person in people for task in self.masked_for(person))

    def masked_for(self, person: Person) -> tuple[Task, ...]:
        """Return the tasks in which a person would wear a mask: a policy may ask it of some alone."""
        return self.masked.get(person.group or "", self.masked[""])

    def of_person(self, person: Person) -> tuple[Assignment, ...]:
        """Return the assignments of one person for the tasks that name them."""
        return tuple(self.assignment(person, task) for task in self.named.get(person.id, ()))
