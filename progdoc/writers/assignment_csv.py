"""Who may do which task, as CSV: one row a person and task."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.model.description.words import label_of
from progdoc.rules.judged.assignment_results import Assignment
from progdoc.rules.judged.result import Judged
from progdoc.writers.csv_table import csv_parts

__all__ = ["assignment_csv", "assignment_csv_parts", "assignment_rows"]

_MATRIX = ("person", "name", "task", "task_name", "named_for_it", "may_do_it", "masks", "codes", "why_not")


def assignment_csv(judged: Judged) -> bytes:
    """Return who may do which task: every person and task, with every reason why not."""
    return b"".join(assignment_csv_parts(judged))


def assignment_csv_parts(judged: Judged) -> Iterator[bytes]:
    """Yield the same, some rows at a time."""
    return csv_parts(assignment_rows(judged))


def assignment_rows(judged: Judged) -> Iterator[tuple[str, ...]]:
    """Yield the headings, then a row for every person and task."""
    yield _MATRIX
    yield from (_row(one) for one in judged.roster.all_pairs())


def _row(one: Assignment) -> tuple[str, ...]:
    masks = "; ".join(f"{choice.label} {choice.size}".rstrip() for choice in one.good)
    return (
        one.person.id,
        label_of(one.person),
        one.task.id,
        label_of(one.task),
        "yes" if one.is_named else "no",
        _answer(one),
        masks,
        "; ".join(dict.fromkeys(bar.code for bar in one.reasons if bar.code)),
        " ".join((*(bar.what for bar in one.reasons), *(() if one.is_named else ("Not named for it.",)))),
    )


def _answer(one: Assignment) -> str:
    """Return yes for whom the task names alone: for anybody else it holds only once they are named."""
    if not one.may:
        return "no"
    answer = "yes" if one.good else _without(one)
    return answer if one.is_named else f"{answer}, once named for it"


def _without(one: Assignment) -> str:
    return "with an escape mask at hand only" if one.escape_masks else "without a mask only"
