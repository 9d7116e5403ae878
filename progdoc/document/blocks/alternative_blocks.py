"""Which mask when, by whom, and from which reading on: the short tables of a task that has more than one answer."""

from __future__ import annotations

from collections.abc import Container

from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said_in
from progdoc.document.blocks.selection_blocks import masks_that_fail
from progdoc.document.tree.nodes import Block, Cell, Column, Inline, Row, Strong, Table, Text
from progdoc.document.tree.spoken_text import spoken, spoken_cell
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import MaskUse, Task
from progdoc.rules.judged.result import Judged

__all__ = ["alternative_blocks"]


def alternative_blocks(judged: Judged, language: Language = ENGLISH) -> dict[str, tuple[Block, ...]]:
    """Return for every task "alternatives.ID" and "steps.ID"; empty where there is one answer only."""
    found: dict[str, tuple[Block, ...]] = {}
    for path, task in judged.index.tasks.values():
        found[f"alternatives.{task.id}"] = _alternatives(judged, path, task, language)
        found[f"steps.{task.id}"] = _steps(judged, path, task, language)
    return found


def _with_parts(judged: Judged, mask: str, filters: tuple[str, ...], language: Language) -> str:
    named = language.own(label_of(judged.index.masks[mask][1]))
    parts = language.own(", ".join(label_of(judged.index.filters[part][1]) for part in filters))
    return language.say("%(mask)s with %(filters)s", mask=named, filters=parts) if parts else named


def _alternatives(judged: Judged, path: str, task: Task, language: Language) -> tuple[Block, ...]:
    if not any(use.told_apart for use in task.masks):
        return ()
    say, own = language.say, language.own
    agents = {hazard.id: hazard.agent for hazard in judged.description.hazards}
    failing = masks_that_fail(judged)
    is_grounded = any(use.because or use.found_absent for use in task.masks)
    rows = tuple(
        Row(
            f"alternatives.{task.id}.row{i + 1}",
            (
                spoken_cell(language, own(use.when), f"{path}.masks[{i}].when")
                if use.when
                else spoken_cell(language, say("At any time")),
                spoken_cell(language, say(use.role.value if use.role else "everybody")),
                Cell(_mask(judged, path, task, i, failing, language)),
                spoken_cell(
                    language,
                    ", ".join(said_in(language, agents[one]) for one in use.against) or say("all that is in the air"),
                ),
                *([spoken_cell(language, _ground(language, use), f"{path}.masks[{i}].because")] if is_grounded else []),
            ),
        )
        for i, use in enumerate(task.masks)
    )
    columns = [Column(say("When"), 4), Column(say("Who"), 2), Column(say("Mask"), 5), Column(say("Against"), 4)]
    if is_grounded:
        columns.append(Column(say("Why"), 5))
    return (Table(f"alternatives.{task.id}", say("Which mask when"), tuple(columns), rows),)


def _ground(language: Language, use: MaskUse) -> str:
    """Return why other hazards are not in the air then, with the day on which that was measured."""
    why = language.own(use.because or "")
    if use.found_absent is None:
        return why
    day = language.date(use.found_absent)
    return language.say("%(why)s (measured on %(day)s)", why=why, day=day) if why else day


def _mask(
    judged: Judged, path: str, task: Task, i: int, failing: Container[tuple[str, str]], language: Language
) -> tuple[Inline, ...]:
    use = task.masks[i]
    named = spoken(language, _with_parts(judged, use.mask, use.filters, language), f"{path}.masks[{i}].mask")
    fails = (task.id, use.mask) in failing
    return (*named, Text(": "), Strong((Text(language.say("not shown to protect")),))) if fails else named


def _steps(judged: Judged, path: str, task: Task, language: Language) -> tuple[Block, ...]:
    say, own = language.say, language.own
    agents = {hazard.id: hazard.agent for hazard in judged.description.hazards}
    rows = tuple(
        Row(
            f"steps.{task.id}.row{i + 1}",
            (
                spoken_cell(
                    language, f"{step.over.printed} {said_in(language, agents[step.hazard])}", f"{path}.steps[{i}].over"
                ),
                spoken_cell(language, own(step.action), f"{path}.steps[{i}].action"),
                Cell((Strong((Text(say("leave; nobody goes in")),)),))
                if step.leave
                else spoken_cell(
                    language,
                    _with_parts(judged, step.mask, step.filters, language) if step.mask else say("as before"),
                ),
            ),
        )
        for i, step in enumerate(task.steps)
    )
    columns = (Column(say("From this reading on"), 3), Column(say("What is done"), 5), Column(say("Mask"), 5))
    return (Table(f"steps.{task.id}", say("What is done when a reading rises"), columns, rows),) if rows else ()
