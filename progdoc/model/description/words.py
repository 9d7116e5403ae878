"""What is described, in its user's own words: what a thing is called, and what a value says."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from enum import StrEnum
from typing import Any

from progdoc.core.said import said_as, said_date, said_join
from progdoc.model.description.quantities import Quantity

__all__ = ["as_printed", "as_written", "label_of", "schedule_label"]


def label_of(thing: Any) -> str:
    """Return what people call a described thing: its name, its make and model, or its id."""
    name = getattr(thing, "name", None)
    if name:
        return str(name)
    made = " ".join(part for part in (getattr(thing, "make", None), getattr(thing, "model", None)) if part)
    return made or str(thing.id)


def schedule_label(schedule: Any, filters: Iterable[Any], tasks: Iterable[Any]) -> str:
    """Return what people call a change schedule, which has no name: its cartridge, and the tasks that it is for.

    What it names and nobody describes stands by its id.
    """
    called = {("filter", one.id): label_of(one) for one in filters} | {("task", one.id): label_of(one) for one in tasks}
    worn_in = said_join((called.get(("task", task), task) for task in schedule.tasks), ", ")
    return said_join((called.get(("filter", schedule.filter), schedule.filter), " (", worn_in, ")"), "")


def as_printed(value: Any) -> str:
    """Return a value as a page shows it: quantities with their unit's own sign.

    >>> as_printed((True, Quantity(500.0, "ug/m3", "500 ug/m3")))
    'yes, 500 µg/m³'
    """
    if isinstance(value, tuple):
        return said_join(map(as_printed, value), ", ")
    if isinstance(value, bool | StrEnum):
        return said_as(as_written(value), as_written(value).replace("-", " "))
    if isinstance(value, date):
        return said_date(as_written(value), value)
    return value.printed if isinstance(value, Quantity) else as_written(value)


def as_written(value: Any) -> str:
    """Return a value as the user wrote it.

    >>> as_written((True, Quantity(20.0, "min", "20 min")))
    'yes, 20 min'
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, tuple):
        return ", ".join(map(as_written, value))
    return value.value if isinstance(value, StrEnum) else str(value)
