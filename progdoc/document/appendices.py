"""The appendices made from the computation: hazards, worked calculations, requirement matrix, references."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from progdoc.core.report import Status
from progdoc.core.worked import Worked
from progdoc.document.answers import short_citation
from progdoc.document.evidence import evidence_by_code
from progdoc.document.nodes import Block, Cell, Column, Formula, Inline, Paragraph, Reference, Row, Section, Table, Text
from progdoc.document.selection_blocks import level_words, limit_words
from progdoc.rules.judge import Judged
from progdoc.rules.requirement import Requirement

__all__ = ["appendix_blocks", "matrix_rows", "worked_figures"]


def appendix_blocks(
    judged: Judged, answers: Mapping[str, tuple[str, ...]], numbers: Mapping[str, str]
) -> dict[str, tuple[Block, ...]]:
    """Return the blocks of the appendices by name. `numbers`: of the sections that answer, by id."""
    return {
        "hazard-table": _hazards(judged),
        "calculations": _calculations(judged),
        "matrix": _matrix(judged, answers, numbers),
        "references": _references(judged),
    }


def _cell(words: str, path: str = "") -> Cell:
    return Cell((Text(words, path),))


def _hazards(judged: Judged) -> tuple[Block, ...]:
    rows = tuple(
        Row(
            f"hazard-table.{agent.hazard.id}",
            (
                _cell(air.task.name, f"{air.path}.name"),
                _cell(agent.hazard.agent, f"{agent.path}.agent"),
                _cell(", ".join(agent.substance.cas) if agent.substance else "–"),
                _cell(agent.hazard.form.value.replace("-", " ") if agent.hazard.form else "not stated"),
                _cell(level_words(agent), f"{agent.path}.exposure"),
                _cell(limit_words(agent)),
            ),
        )
        for air in judged.facts.selection.air.values()
        for agent in air.agents
    )
    if not rows:
        return ()
    columns = (
        Column("Task", 3),
        Column("Agent", 3),
        Column("CAS", 2),
        Column("Form", 2),
        Column("Level and evidence", 4),
        Column("Limit", 4),
    )
    return (Table("hazard-table.all", "All hazards", columns, rows),)


def worked_figures(judged: Judged) -> tuple[Worked, ...]:
    """Return every figure the document relies on, in the order of tasks."""
    return tuple(figure for figures in _figures_by_task(judged).values() for figure in figures)


def _figures_by_task(judged: Judged) -> dict[str, tuple[Worked, ...]]:
    selection = judged.facts.selection
    found: dict[str, tuple[Worked, ...]] = {}
    for task, air in selection.air.items():
        here: dict[str, Worked] = {}
        for agent in air.agents:
            here.update((ratio.worked.id, ratio.worked) for ratio in agent.ratios)
        if air.mixture is not None:
            here[air.mixture.id] = air.mixture
        for (other, _), verdict in selection.masks.items():
            if other == task:
                here.update((ceiling.worked.id, ceiling.worked) for ceiling in verdict.ceilings)
        for (other, _, _), change in judged.facts.cartridge_changes.items():
            if other == task:
                here.update((worked.id, worked) for worked in change.worked)
        found[task] = tuple(here.values())
    return found


def _calculations(judged: Judged) -> tuple[Block, ...]:
    return tuple(
        Section(
            f"calculations.tasks.{task}",
            judged.facts.tasks[task][1].name,
            tuple(_calculation(worked) for worked in figures),
        )
        for task, figures in _figures_by_task(judged).items()
        if figures
    )


def _calculation(worked: Worked) -> Section:
    identity = f"calculations.{worked.id}"
    inputs = Table(
        f"{identity}.inputs",
        "",
        (Column("Input", 3), Column("Value", 2, True), Column("From", 6)),
        tuple(
            Row(f"{identity}.{i}", (_cell(p.name), _cell(p.printed), _cell(p.origin)))
            for i, p in enumerate(worked.inputs)
        ),
    )
    rounding = {"up": ", rounded up", "down": ", rounded down", "nearest": ""}[worked.rounding.value]
    result = Formula(f"{identity}.result", f"{worked.formula}\n= {worked.printed}{rounding}")
    notes: list[Block] = [Paragraph(f"{identity}.note{i}", (Text(note),)) for i, note in enumerate(worked.notes)]
    source = Paragraph(f"{identity}.source", (Text(f"Rule: {worked.citation}."),))
    return Section(identity, worked.name, (inputs, result, *notes, source))


def matrix_rows(
    judged: Judged, answers: Mapping[str, tuple[str, ...]]
) -> list[tuple[Requirement, Status, tuple[str, ...], str]]:
    """Return one row a requirement: it, how it stands over all its subjects, where answered, on what evidence."""
    worst = (Status.GAP, Status.UNDETERMINED, Status.MET, Status.NOT_APPLICABLE)
    by_code: dict[str, list[Status]] = {}
    evidence = evidence_by_code(judged)
    for verdict in judged.verdicts:
        by_code.setdefault(verdict.requirement.code, []).append(verdict.status)
    rows = []
    for requirement in judged.catalogue.in_force(judged.facts.as_of):
        statuses = by_code.get(requirement.code, [Status.NOT_APPLICABLE])
        status = next(s for s in worst if s in statuses)
        shown = evidence.get(requirement.code, "")
        rows.append((requirement, status, answers.get(requirement.code, ()), shown))
    return rows


def _matrix(judged: Judged, answers: Mapping[str, tuple[str, ...]], numbers: Mapping[str, str]) -> tuple[Block, ...]:
    rows = matrix_rows(judged, answers)
    asked = tuple(
        Row(
            f"matrix.{requirement.code}",
            (
                _cell(_paragraphs(requirement)),
                _cell(f"{requirement.code}: {requirement.duty}"),
                _cell(status.value.replace("-", " ")),
                Cell(tuple(_places(places, numbers))) if places else _cell("–"),
                _cell(evidence or "–"),
            ),
        )
        for requirement, status, places, evidence in rows
        if status is not Status.NOT_APPLICABLE
    )
    spared = tuple(
        Row(
            f"matrix.{requirement.code}",
            (_cell(_paragraphs(requirement)), _cell(f"{requirement.code}: {requirement.duty}")),
        )
        for requirement, status, _, _ in rows
        if status is Status.NOT_APPLICABLE
    )
    columns = (
        Column("Paragraph", 4),
        Column("Duty", 7),
        Column("Status", 2),
        Column("Answered in", 2),
        Column("Evidence", 5),
    )
    found: list[Block] = [Table("matrix.all", "Every duty that binds here, and where it is answered", columns, asked)]
    if spared:
        few = (Column("Paragraph", 4), Column("Duty", 16))
        found.append(Table("matrix.spared", "Duties that do not apply to the work described", few, spared))
    return tuple(found)


def _paragraphs(requirement: Requirement) -> str:
    return "; ".join(dict.fromkeys(map(short_citation, (requirement.citation, *requirement.also))))


def _places(places: Iterable[str], numbers: Mapping[str, str]) -> Iterable[Inline]:
    for i, place in enumerate(places):
        if i:
            yield Text(", ")
        yield Reference(place, numbers[place])


def _references(judged: Judged) -> tuple[Block, ...]:
    used = {c.source.id: c.source for v in judged.verdicts for c in (v.requirement.citation, *v.requirement.also)}
    rows = tuple(
        Row(
            f"references.{source.id}",
            (_cell(source.short), _cell(f"{source.title}. {source.publisher}, {source.edition}.")),
        )
        for source in sorted(used.values())
    )
    return (Table("references.all", "", (Column("Short name", 2), Column("Source", 7)), rows),)
