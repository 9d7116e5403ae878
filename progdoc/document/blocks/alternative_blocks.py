"""Which mask when, by whom, and from which reading on: the short tables of a task that has more than one answer."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import replace

from progdoc.core.languages import ENGLISH, Language
from progdoc.document.blocks.selection_blocks import masks_that_fail
from progdoc.document.tree.nodes import Block, Cell, Column, Inline, Row, Strong, Table, Text
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.result import Judged

__all__ = ["alternative_blocks"]


def alternative_blocks(judged: Judged, language: Language = ENGLISH) -> dict[str, tuple[Block, ...]]:
    """Return for every task "alternatives.ID" and "steps.ID"; empty where there is one answer only."""
    found: dict[str, tuple[Block, ...]] = {}
    for path, task in judged.index.tasks.values():
        found[f"alternatives.{task.id}"] = _alternatives(judged, path, task, language)
        found[f"steps.{task.id}"] = _steps(judged, path, task, language)
    return found


def _with_parts(
    judged: Judged, mask: str, filters: tuple[str, ...], path: str, language: Language
) -> tuple[Inline, ...]:
    named = label_of(judged.index.masks[mask][1])
    parts = ", ".join(label_of(judged.index.filters[part][1]) for part in filters)
    if not language.original:
        return (Text(f"{named} with {parts}" if parts else named, path),)
    own = Text(named, path, language.original)
    return (own, Text(f" {language.say('with')} "), replace(own, text=parts)) if parts else (own,)


def _alternatives(judged: Judged, path: str, task: Task, language: Language) -> tuple[Block, ...]:
    if not any(use.told_apart for use in task.masks):
        return ()
    agents = {hazard.id: hazard.agent for hazard in judged.description.hazards}
    failing, own = masks_that_fail(judged), language.original
    rows = tuple(
        Row(
            f"alternatives.{task.id}.row{i + 1}",
            (
                Cell(
                    (Text(use.when, f"{path}.masks[{i}].when", own) if use.when else Text(language.say("At any time")),)
                ),
                Cell((Text(language.say(use.role.value if use.role else "everybody")),)),
                Cell(_mask(judged, path, task, i, failing, language)),
                Cell(
                    (
                        Text(", ".join(agents[one] for one in use.against), "", own)
                        if use.against
                        else Text(language.say("all that is in the air")),
                    )
                ),
            ),
        )
        for i, use in enumerate(task.masks)
    )
    say = language.say
    columns = (Column(say("When"), 4), Column(say("Who"), 2), Column(say("Mask"), 5), Column(say("Against"), 4))
    return (Table(f"alternatives.{task.id}", say("Which mask when"), columns, rows),)


def _mask(
    judged: Judged, path: str, task: Task, i: int, failing: Container[tuple[str, str]], language: Language
) -> tuple[Inline, ...]:
    use = task.masks[i]
    named = _with_parts(judged, use.mask, use.filters, f"{path}.masks[{i}].mask", language)
    fails = (task.id, use.mask) in failing
    return (*named, Text(": "), Strong((Text(language.say("not shown to protect")),))) if fails else named


def _steps(judged: Judged, path: str, task: Task, language: Language) -> tuple[Block, ...]:
    agents = {hazard.id: hazard.agent for hazard in judged.description.hazards}
    say, own = language.say, language.original
    rows = tuple(
        Row(
            f"steps.{task.id}.row{i + 1}",
            (
                Cell((Text(f"{step.over.printed} {agents[step.hazard]}", f"{path}.steps[{i}].over", own),)),
                Cell((Text(step.action, f"{path}.steps[{i}].action", own),)),
                Cell(
                    (Strong((Text(say("leave; nobody goes in")),)),)
                    if step.leave
                    else _with_parts(judged, step.mask, step.filters, "", language)
                    if step.mask
                    else (Text(say("as before")),)
                ),
            ),
        )
        for i, step in enumerate(task.steps)
    )
    columns = (Column(say("From this reading on"), 3), Column(say("What is done"), 5), Column(say("Mask"), 5))
    return (Table(f"steps.{task.id}", say("What is done when a reading rises"), columns, rows),) if rows else ()
