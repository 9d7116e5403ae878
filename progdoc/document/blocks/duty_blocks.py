"""What the standards of single agents ask beside the mask, each duty once: a table for the section on the tasks."""

from __future__ import annotations

from progdoc.core.said import said, said_join, same
from progdoc.document.tree.nodes import Block, Cell, Column, Row, Table, Text
from progdoc.rules.judged.result import Judged

__all__ = ["duty_blocks"]


def duty_blocks(judged: Judged) -> dict[str, tuple[Block, ...]]:
    """Return "standard-duties": agent, duty, paragraph; a duty of some of an agent's tasks alone names them."""
    tasks_of: dict[str, list[str]] = {}  # by agent
    found: dict[tuple[str, str, str], list[str]] = {}  # tasks, by agent, duty and paragraph
    paths: dict[str, str] = {}
    for air in judged.selection.air.values():
        for agent in air.agents:
            name = agent.hazard.agent
            paths.setdefault(name, f"{agent.path}.agent")
            tasks_of.setdefault(name, []).append(air.task.name)
            for duty in judged.selection.duties[agent.hazard.id]:
                if not duty.is_medical:
                    found.setdefault((name, duty.text, duty.citation), []).append(air.task.name)
    rows = tuple(
        Row(
            f"standard-duties.{n}",
            (
                Cell((Text(name, paths[name]),)),
                Cell(
                    (
                        Text(
                            words
                            if len(tasks) == len(tasks_of[name])
                            else said("%(tasks)s: %(words)s", tasks=said_join(tasks, ", "), words=words)
                        ),
                    )
                ),
                Cell((Text(same(citation)),)),
            ),
        )
        for n, ((name, words, citation), tasks) in enumerate(sorted(found.items(), key=lambda one: one[0][0]), start=1)
    )
    columns = (Column(said("Agent"), 3), Column(said("What its standard asks"), 10), Column(said("Paragraph"), 4))
    return {"standard-duties": (Table("standard-duties.all", "", columns, rows),) if rows else ()}
