"""What the annex is made of: hazards, worked calculations, requirement matrix, references."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from progdoc.core.paragraphs import MAIN_STANDARD, sort_key, steps_of
from progdoc.core.report import Status
from progdoc.core.worked import Worked
from progdoc.document.blocks.answers import in_quotes, short_citation
from progdoc.document.blocks.evidence_blocks import evidence_table
from progdoc.document.blocks.evidence_words import evidence_by_code
from progdoc.document.blocks.selection_blocks import level_words, limit_words
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Column,
    Formula,
    Inline,
    Paragraph,
    Reference,
    Row,
    Section,
    Table,
    Text,
)
from progdoc.rules.judged.result import Judged
from progdoc.rules.requirement import Requirement

__all__ = ["annex_blocks", "matrix_rows", "worked_figures"]

_UPPER = re.compile(r"(29 CFR [\d.]+)?\(\w+\)|Appendix [A-D](-\d)?")


def annex_blocks(
    judged: Judged, answers: Mapping[str, tuple[str, ...]], numbers: Mapping[str, str]
) -> dict[str, tuple[Block, ...]]:
    """Return the blocks of the annex by name. `numbers`: of the sections that answer, by id."""
    return {
        "hazard-table": (*_hazards(judged), *evidence_table(judged)),
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
        for air in judged.selection.air.values()
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
    selection = judged.selection
    found: dict[str, tuple[Worked, ...]] = {}
    for task, air in selection.air.items():
        here: dict[str, Worked] = {}
        for agent in air.agents:
            here.update((ratio.worked.id, ratio.worked) for ratio in agent.ratios)
        if air.mixture is not None:
            here[air.mixture.id] = air.mixture
        for (other, _), verdict in selection.masks.items():
            if other == task:
                here.update((muc.worked.id, muc.worked) for muc in verdict.mucs)
        for (other, _, _), change in judged.cartridge_changes.items():
            if other == task:
                here.update((worked.id, worked) for worked in change.worked)
        found[task] = tuple(here.values())
    return found


def _calculations(judged: Judged) -> tuple[Block, ...]:
    return tuple(
        Section(
            f"calculations.tasks.{task}",
            judged.index.tasks[task][1].name,
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
            Row(f"{identity}.{i}", (_cell(p.name), _cell(p.printed), _cell(in_quotes(p.origin))))
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
    for requirement in judged.requirements:
        statuses = by_code.get(requirement.code, [Status.NOT_APPLICABLE])
        status = next(s for s in worst if s in statuses)
        shown = evidence.get(requirement.code, "")
        rows.append((requirement, status, answers.get(requirement.code, ()), shown))
    return rows


def _matrix(judged: Judged, answers: Mapping[str, tuple[str, ...]], numbers: Mapping[str, str]) -> tuple[Block, ...]:
    """Return the duties that bind, a row each, and those that do not by their codes; `matrix.csv` has every word."""
    rows = sorted(matrix_rows(judged, answers), key=lambda row: _place_in_the_law(row[0]))
    asked = tuple(
        Row(
            f"matrix.{requirement.code}",
            (
                _cell(_paragraphs(requirement)),
                _cell(f"{requirement.code}: {requirement.duty}"),
                _cell(status.value.replace("-", " ")),
                Cell(tuple(_places(places, numbers))) if places else _cell("–"),
                _cell(evidence.replace("procedures.", "") or "–"),
            ),
        )
        for requirement, status, places, evidence in rows
        if status is not Status.NOT_APPLICABLE
    )
    columns = (
        Column("Paragraph", 7),
        Column("Duty", 17),
        Column("Status", 5),
        Column("Answered in", 5),
        Column("Evidence", 9),
    )
    title = "Every duty that binds here, and where it is answered"
    idle = [requirement for requirement, status, _, _ in rows if status is Status.NOT_APPLICABLE]
    return (Table("matrix.all", title, columns, asked, is_dense=True), *_not_applicable(idle))


def _not_applicable(requirements: Iterable[Requirement]) -> Iterator[Block]:
    """Yield the codes of duties that do not apply, by the paragraph of the law they belong to."""
    by_place: dict[str, list[str]] = {}
    for requirement in requirements:
        by_place.setdefault(_upper_paragraph(requirement), []).append(requirement.code)
    rows = tuple(
        Row(f"matrix.spared.{n}", (_cell(place), _cell(", ".join(sorted(codes)))))
        for n, (place, codes) in enumerate(by_place.items(), start=1)
    )
    if rows:
        columns = (Column("Paragraph", 7), Column("Duties", 36))
        yield Table("matrix.spared", "Duties that do not apply to the work described", columns, rows, is_dense=True)


def _place_in_the_law(requirement: Requirement) -> tuple[Any, ...]:
    """Sort by paragraph, this standard before all others."""
    steps = steps_of(str(requirement.citation))
    return (steps[0] != MAIN_STANDARD, sort_key(steps), requirement.code)


def _upper_paragraph(requirement: Requirement) -> str:
    """Return the letter under which a duty stands, "(i)", or its appendix, "Appendix B-2"."""
    found = _UPPER.match(short_citation(requirement.citation))
    return found[0] if found else short_citation(requirement.citation)


def _paragraphs(requirement: Requirement) -> str:
    """Return the paragraphs of a duty, without those that only stand above another of them."""
    cited = list(dict.fromkeys(map(short_citation, (requirement.citation, *requirement.also))))
    return "; ".join(one for one in cited if not any(other.startswith(f"{one}(") for other in cited))


def _places(places: Iterable[str], numbers: Mapping[str, str]) -> Iterable[Inline]:
    for i, place in enumerate(places):
        if i:
            yield Text(", ")
        yield Reference(place, numbers[place])


def _references(judged: Judged) -> tuple[Block, ...]:
    """Return the sources of duties that apply or may, and of the limits that the air is set against."""
    limits = " ".join(
        f"{ratio.limit.citation} "
        for air in judged.selection.air.values()
        for agent in air.agents
        for ratio in agent.ratios
    )
    used = {
        c.source.id: c.source
        for v in judged.verdicts
        for c in (v.requirement.citation, *v.requirement.also)
        if v.status is not Status.NOT_APPLICABLE or re.search(rf"{re.escape(c.source.short)}(?!\d)", limits)
    }
    rows = tuple(
        Row(
            f"references.{source.id}",
            (_cell(source.short), _cell(f"{source.title}. {source.publisher}, {source.edition}.")),
        )
        for source in sorted(used.values())
    )
    table = Table("references.all", "", (Column("Short name", 2), Column("Source", 7)), rows)
    return (table, *_borrowed(judged))


_SUPPORT = {"two-sources": "two secondary sources", "one-source": "one secondary source", "from-memory": "memory"}


def _borrowed(judged: Judged) -> tuple[Block, ...]:
    """Return the figures that are not law and that nobody has confirmed, once for the whole program."""
    rows = tuple(
        Row(
            f"references.borrowed.{one.id}", tuple(map(_cell, (one.what, one.value, one.source, _SUPPORT[one.support])))
        )
        for one in judged.borrowed
    )
    columns = (Column("Figure to confirm", 4), Column("Used", 2), Column("Source", 5), Column("Rests on", 3))
    return (Table("references.borrowed", "", columns, rows, is_dense=True),) if rows else ()
