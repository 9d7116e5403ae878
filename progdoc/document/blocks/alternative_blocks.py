"""Which mask when, by whom, and from which reading on: the short tables of a task that has more than one answer."""

from __future__ import annotations

from collections.abc import Container

from progdoc.document.blocks.selection_blocks import masks_that_fail
from progdoc.document.tree.nodes import Block, Cell, Column, Inline, Row, Strong, Table, Text
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.result import Judged

__all__ = ["alternative_blocks"]


def alternative_blocks(judged: Judged) -> dict[str, tuple[Block, ...]]:
    """Return for every task "alternatives.ID" and "steps.ID"; empty where there is one answer only."""
    found: dict[str, tuple[Block, ...]] = {}
    for path, task in judged.index.tasks.values():
        found[f"alternatives.{task.id}"] = _alternatives(judged, path, task)
        found[f"steps.{task.id}"] = _steps(judged, path, task)
    return found


def _with_parts(judged: Judged, mask: str, filters: tuple[str, ...]) -> str:
    parts = [label_of(judged.index.filters[part][1]) for part in filters]
    return f"{label_of(judged.index.masks[mask][1])}{' with ' if parts else ''}{', '.join(parts)}"


def _alternatives(judged: Judged, path: str, task: Task) -> tuple[Block, ...]:
    if not any(use.told_apart for use in task.masks):
        return ()
    agents = {hazard.id: hazard.agent for hazard in judged.description.hazards}
    failing = masks_that_fail(judged)
    rows = tuple(
        Row(
            f"alternatives.{task.id}.row{i + 1}",
            (
                Cell((Text(use.when, f"{path}.masks[{i}].when") if use.when else Text("At any time"),)),
                Cell((Text(use.role.value if use.role else "everybody"),)),
                Cell(_mask(judged, path, task, i, failing)),
                Cell((Text(", ".join(agents[one] for one in use.against) or "all that is in the air"),)),
            ),
        )
        for i, use in enumerate(task.masks)
    )
    columns = (Column("When", 4), Column("Who", 2), Column("Mask", 5), Column("Against", 4))
    return (Table(f"alternatives.{task.id}", "Which mask when", columns, rows),)


def _mask(judged: Judged, path: str, task: Task, i: int, failing: Container[tuple[str, str]]) -> tuple[Inline, ...]:
    use = task.masks[i]
    named = Text(_with_parts(judged, use.mask, use.filters), f"{path}.masks[{i}].mask")
    fails = (task.id, use.mask) in failing
    return (named, Text(": "), Strong((Text("not shown to protect"),))) if fails else (named,)


def _steps(judged: Judged, path: str, task: Task) -> tuple[Block, ...]:
    agents = {hazard.id: hazard.agent for hazard in judged.description.hazards}
    rows = tuple(
        Row(
            f"steps.{task.id}.row{i + 1}",
            (
                Cell((Text(f"{step.over.printed} {agents[step.hazard]}", f"{path}.steps[{i}].over"),)),
                Cell((Text(step.action, f"{path}.steps[{i}].action"),)),
                Cell(
                    (
                        Strong((Text("leave; nobody goes in"),))
                        if step.leave
                        else Text(_with_parts(judged, step.mask, step.filters) if step.mask else "as before"),
                    )
                ),
            ),
        )
        for i, step in enumerate(task.steps)
    )
    columns = (Column("From this reading on", 3), Column("What is done", 5), Column("Mask", 5))
    return (Table(f"steps.{task.id}", "What is done when a reading rises", columns, rows),) if rows else ()
