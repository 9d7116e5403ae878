"""Figures of a description beyond what they can be, told with the thing that they are said of.

The bounds stand in `lookup/likely_figures.py`; what is held against another figure in `contradictions.py`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

from progdoc.core.said import said
from progdoc.model.description.fields import field_at, said_in
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.likely_figures import figure_trouble
from progdoc.rules.requirement import Subject

__all__ = ["figures_out_of_bounds", "record_figures"]


def figures_out_of_bounds(facts: Facts) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield each odd figure of the firm's own work, the records of its people apart."""
    ours = {task.id for _, task in facts.our_tasks}
    without_people = facts.description.model_copy(update={"people": ()})
    for path, trouble in _troubles(said_in(without_people)):
        thing = _thing_at(facts, path)
        task = getattr(thing, "task", None) or (thing.id if path.startswith("tasks[") else None)
        if task is None or task in ours:
            yield (
                path,
                {
                    "trouble": said(
                        "%(thing)s: %(trouble)s",
                        thing=label_of(thing) if thing is not None else _group_of(path),
                        trouble=trouble,
                    )
                },
            )


def _group_of(path: str) -> str:
    group = field_at(re.sub(r"\[\d+\]", "[]", path).rpartition(".")[0])
    return group.title.lower() if group else path


def _thing_at(facts: Facts, path: str) -> Any:
    """Return the entry of a list of the description in which a place lies."""
    entry = re.match(r"[a-z_]+\[\d+\]", path)
    return facts.value_at(entry[0]) if entry else None


def _troubles(stated: Iterable[tuple[str, Any]]) -> Iterator[tuple[str, str]]:
    for path, value in stated:
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
    return CheckResult((path,), faults, nothing=said("No figure of the records is beyond what can be."))
