"""A comparison to be handed on: without any change that names a worker; what was left out stays counted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from progdoc.comparison.changes import Cause, Change, Comparison, Direction, Topic

__all__ = ["barred_and_free", "barred_by_time", "public_part"]


def public_part(comparison: Comparison) -> Comparison:
    """Return the comparison without any change that names a worker, and without any cause that does."""
    left_out = [c for c in (*comparison.meaning, *comparison.description) if c.is_restricted]
    return replace(
        comparison,
        meaning=_public(comparison.meaning),
        description=_public(comparison.description),
        kept_up=_public(comparison.kept_up),
        withheld=len(left_out),
        withheld_less=sum(change.direction is Direction.LESS for change in left_out),
        withheld_barred=tuple(map(len, barred_and_free(left_out))),
        withheld_edits=sum(change.topic is Topic.EDIT for change in left_out),
        withheld_aged=len(barred_by_time(left_out)),
        withheld_kept_up=sum(change.is_restricted for change in comparison.kept_up),
    )


def barred_and_free(changes: Iterable[Change]) -> tuple[list[Change], list[Change], list[Change]]:
    """Return which people may no longer do a task by an edit, which may now, and which only for lack of a record."""
    tasks = [c for c in changes if _is_task_of_a_person(c) and c.cause is not Cause.TIME]
    wanted = (Direction.LESS, Direction.MORE, Direction.NOT_ASKED)
    barred, free, unrecorded = ([c for c in tasks if c.direction is direction] for direction in wanted)
    return barred, free, unrecorded


def barred_by_time(changes: Iterable[Change]) -> list[Change]:
    """Return which people may no longer do a task because something of theirs ran out."""
    return [c for c in changes if _is_task_of_a_person(c) and c.cause is Cause.TIME and c.direction is Direction.LESS]


def _is_task_of_a_person(change: Change) -> bool:
    return change.topic is Topic.PERSON and change.what == "task of a wearer"


def _public(changes: Iterable[Change]) -> tuple[Change, ...]:
    return tuple(
        replace(change, causes=tuple(cause for cause in change.causes if not cause.is_restricted))
        for change in changes
        if not change.is_restricted
    )
