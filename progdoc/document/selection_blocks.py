"""Task by task: what is in the air, what protects, and the verdict, as tables and notices."""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.core.numbers import number_text, text_of
from progdoc.document.nodes import Block, Cell, Column, Notice, Paragraph, Row, Strong, Table, Text
from progdoc.model.quantities import unit_symbol
from progdoc.rules.exposure import Assessment
from progdoc.rules.facts import label_of
from progdoc.rules.judge import Judged
from progdoc.rules.requirement import Verdict
from progdoc.rules.selection import MaskVerdict, TaskAir

__all__ = ["level_words", "limit_words", "selection_blocks"]


def selection_blocks(judged: Judged) -> dict[str, tuple[Block, ...]]:
    """Return for every task the blocks "air.ID" (its agents), "protection.ID" (its masks), "danger.ID"."""
    found: dict[str, tuple[Block, ...]] = {}
    for path, task in judged.facts.tasks.values():
        air = judged.facts.selection.air[task.id]
        verdicts = [
            judged.facts.selection.masks[task.id, use.mask] for use in task.masks if _has(judged, task.id, use.mask)
        ]
        found[f"air.{task.id}"] = (_agents(air),) if air.agents else ()
        found[f"protection.{task.id}"] = (_masks(air, verdicts),) if verdicts and air.agents else ()
        found[f"danger.{task.id}"] = _danger(judged, air, path)
    return found


def _has(judged: Judged, task: str, mask: str) -> bool:
    return (task, mask) in judged.facts.selection.masks


def _text(words: str, path: str = "") -> Cell:
    return Cell((Text(words, path),))


def level_words(agent: Assessment) -> str:
    """Return what is known of the level, in a phrase."""
    governing = agent.governing
    if governing is not None:
        return f"{text_of(governing.level.value, unit_symbol(governing.level.unit), 'up')}, {governing.level.basis}"
    if agent.is_unknown:
        return "not known"
    return agent.floor_basis or "no level that can be measured"


def limit_words(agent: Assessment) -> str:
    """Return the limit that governs, with its kind and source."""
    governing = agent.governing
    if governing is not None:
        limit = governing.limit
        amount = text_of(governing.level.limit_value, unit_symbol(limit.unit))
        return f"{amount} {limit.kind.value.replace('-', ' ')} ({limit.citation})"
    numeric = next((limit for limit in agent.limits if limit.value is not None), None)
    if numeric is not None and numeric.value is not None:
        return f"{text_of(numeric.value, unit_symbol(numeric.unit))} {numeric.kind.value} ({numeric.citation})"
    return "none published"


def _agents(air: TaskAir) -> Table:
    rows = tuple(
        Row(
            f"air.{air.task.id}.{agent.hazard.id}",
            (
                _text(agent.hazard.agent, f"{agent.path}.agent"),
                _text(agent.hazard.form.value.replace("-", " ") if agent.hazard.form else "not stated"),
                _text(level_words(agent), f"{agent.path}.exposure"),
                _text(limit_words(agent)),
                _text(_ratio_words(agent)),
            ),
        )
        for agent in air.agents
    )
    columns = (
        Column("Agent", 3),
        Column("Form", 2),
        Column("Level and evidence", 5),
        Column("Limit", 4),
        Column("Times the limit", 2, True),
    )
    return Table(f"air.{air.task.id}", f"What is in the air: {air.task.name}", columns, rows)


def _ratio_words(agent: Assessment) -> str:
    if agent.hazard_ratio is not None:
        return number_text(agent.hazard_ratio, "up")
    return "unknown" if agent.is_unknown else "–"


def _masks(air: TaskAir, verdicts: Iterable[MaskVerdict]) -> Table:
    needed = "only masks for immediately dangerous air" if air.danger else _needed_words(air)
    rows = tuple(
        Row(
            f"protection.{air.task.id}.{v.mask.id}",
            (
                _text(label_of(v.mask), f"{v.path}.mask"),
                _text("none" if v.credit.apf is None else number_text(v.credit.apf, "down")),
                _text(needed),
                _text("; ".join(f"{c.agent}: {c.printed}" for c in v.ceilings) or "–"),
                Cell((Strong((Text("No, see the gap report" if v.reasons else "Yes"),)),)),
            ),
        )
        for v in verdicts
    )
    columns = (
        Column("Mask", 4),
        Column("Protection factor", 2, True),
        Column("Needed", 2),
        Column("May be worn up to", 5),
        Column("Protects", 2),
    )
    return Table(f"protection.{air.task.id}", f"What protects: {air.task.name}", columns, rows)


def _needed_words(air: TaskAir) -> str:
    above = "over " if air.needed.strictly_above else ""
    return f"{above}{number_text(air.needed.value, 'up')}" if air.needed.value else "–"


def _danger(judged: Judged, air: TaskAir, path: str) -> tuple[Block, ...]:
    """Return a notice for every mask that does not protect in this task."""
    bad: list[Verdict] = [
        v
        for v in judged.verdicts
        if v.requirement.per == "mask-use" and v.diagnostics and f"tasks.{air.task.id}" in v.subject.ids
    ]
    if not bad:
        return ()
    identity = f"danger.{air.task.id}"
    words = [d.what for v in bad for d in v.diagnostics if d.severity == "required"]
    if not words:
        return ()
    blocks = tuple(Paragraph(f"{identity}.p{i + 1}", (Text(text, path),)) for i, text in enumerate(words))
    return (Notice(identity, "danger", blocks),)
