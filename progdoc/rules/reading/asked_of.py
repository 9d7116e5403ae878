"""The ways in which a fact is asked for: of each task, of each mask, or at a place of the description.

What is relevant follows from the subject: for the program all tasks and masks of our people, for a task its own, for
a wearer the tasks that name them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from progdoc.model.description.masks import Mask
from progdoc.model.description.workplace import DoneBy, Task
from progdoc.rules.facts import Facts
from progdoc.rules.requirement import Fact, Subject

__all__ = ["Predicate", "any_of", "at_place", "denied", "equals", "given", "of_masks", "of_tasks"]

Predicate = Callable[[Facts, Subject], Fact]


def any_of(answers: Iterable[tuple[str, bool | None]]) -> Fact:
    """Join answers by place: one true is true; else one unknown is unknown; else false."""
    given = list(answers)
    paths = tuple(path for path, _ in given)
    if any(answer is True for _, answer in given):
        return Fact(True, paths)
    ask = tuple(path for path, answer in given if answer is None)
    return Fact(None if ask else False, paths, ask)


def of_tasks(field: str, test: Callable[[Any], bool]) -> Predicate:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        def answer(task: Task) -> bool | None:
            value = getattr(task, field)
            return None if value is None else test(value)

        tasks = facts.relevant_to(subject).tasks
        return any_of((f"{path}.{field}", answer(t)) for path, t in tasks if t.done_by is DoneBy.OUR_PEOPLE)

    return predicate


def of_masks(field: str, test: Callable[[Mask], bool | None]) -> Predicate:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        return any_of((f"{path}.{field}", test(m)) for path, m in facts.relevant_to(subject).masks)

    return predicate


def at_place(path: str, test: Callable[[Any], bool]) -> Predicate:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        place = subject.path + path if path.startswith(".") else path
        value = facts.value_at(place)
        return Fact(None, (place,), (place,)) if value is None else Fact(test(value), (place,))

    return predicate


def given(path: str) -> Predicate:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        place = subject.path + path if path.startswith(".") else path
        return Fact(facts.value_at(place) is not None, (place,))

    return predicate


def equals(wanted: Any) -> Callable[[Any], bool]:
    return lambda value: bool(value == wanted)


def denied(answer: bool | None) -> bool | None:
    return None if answer is None else not answer
