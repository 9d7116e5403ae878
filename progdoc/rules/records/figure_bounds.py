"""Figures beyond what they can be: a mask of no weight, a site nine thousand feet below the sea, a year of 500 days.

The bounds of every numeric field are data, `figure_bounds.csv`; where a side has none, its column `why` says who judges
it. What is held against another figure stands in `contradictions.py`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

from progdoc.core.numbers import stated_text
from progdoc.model.description.fields import field_at, said_in
from progdoc.model.description.quantities import Quantity, in_unit, is_comparable, unit_symbol
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.table_files import Row, number_or_none, table_rows
from progdoc.rules.requirement import Subject

__all__ = ["figure_trouble", "figures_out_of_bounds", "record_figures"]


def figure_trouble(place: str, value: object) -> str:
    """Return what is odd about a figure at a place, lists marked; nothing where it can be so.

    >>> figure_trouble("masks[].weight", Quantity(0.0, "g", "0 g"))
    'weight 0 g; 5 g is the least that is known of'
    >>> figure_trouble("tasks[].days_per_year", 366)
    ''
    """
    if isinstance(value, bool) or not isinstance(value, Quantity | int | float):
        return ""
    for row in _bounds().get(place, ()):
        number, unit = _measured(value, row["unit"])
        least, most = number_or_none(row["least"]), number_or_none(row["most"])
        if number is None:
            continue
        bound, side = (least, "least") if least is not None and number < least else (most, "most")
        if bound is None or (side == "most" and number <= bound):
            continue
        field = field_at(place)
        called = field.title if field else place
        said = value.printed if isinstance(value, Quantity) else stated_text(value)
        figure = row[side] if "." in row[side] else f"{int(bound):,}"
        shown = " ".join(filter(None, (figure, unit)))
        return f"{called.lower()} {said}; {shown} is the {side} that is known of"
    return ""


def _measured(value: Quantity | float, unit: str) -> tuple[float | None, str]:
    """Return the number in the unit of a row and that unit as printed; none where they measure different things."""
    if not isinstance(value, Quantity):
        return (None if unit else float(value)), ""
    if not unit:
        return None, ""
    is_held = is_comparable(value, Quantity(1.0, unit, f"1 {unit}"))
    return (in_unit(value, unit), unit_symbol(unit)) if is_held else (None, "")


@cache
def _bounds() -> dict[str, tuple[Row, ...]]:
    found: dict[str, tuple[Row, ...]] = {}
    for row in table_rows("figure_bounds"):
        found[row["place"]] = (*found.get(row["place"], ()), row)
    return found


def figures_out_of_bounds(facts: Facts) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield each odd figure of the firm's own work, the records of its people apart."""
    ours = {task.id for _, task in facts.our_tasks}
    without_people = facts.description.model_copy(update={"people": ()})
    for path, trouble in _troubles(said_in(without_people)):
        thing = _thing_at(facts, path)
        task = getattr(thing, "task", None) or (thing.id if path.startswith("tasks[") else None)
        if task is None or task in ours:
            yield path, {"trouble": f"{label_of(thing) if thing is not None else _group_of(path)}: {trouble}"}


def _group_of(path: str) -> str:
    group = field_at(re.sub(r"\[\d+\]", "[]", path).rpartition(".")[0])
    return group.title.lower() if group else path


def _thing_at(facts: Facts, path: str) -> Any:
    """Return the entry of a list of the description in which a place lies."""
    entry = re.match(r"[a-z_]+\[\d+\]", path)
    return facts.value_at(entry[0]) if entry else None


def _troubles(said: Iterable[tuple[str, Any]]) -> Iterator[tuple[str, str]]:
    for path, value in said:
        trouble = figure_trouble(re.sub(r"\[\d+\]", "[]", path), value)
        if trouble:
            yield path, trouble


def record_figures(facts: Facts, subject: Subject) -> CheckResult:
    """The same of the records of one wearer."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.fit_tests"
    tests = ((f"{path}[{i}]", test) for i, test in enumerate(person.fit_tests))
    faults = tuple(
        (place, {"trouble": trouble}) for at, test in tests for place, trouble in _troubles(said_in(test, at))
    )
    return CheckResult((path,), faults, nothing="No figure of the records is beyond what can be.")
