"""What the annex is made of: hazards, worked calculations, requirement matrix, references."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from progdoc.core.paragraphs import MAIN_STANDARD, sort_key, steps_of
from progdoc.core.report import Status
from progdoc.core.said import capital, changed, said, said_apart, said_choice, said_join, same
from progdoc.core.worked import Rounding, Worked
from progdoc.document.blocks.answers import in_quotes, short_citation
from progdoc.document.blocks.evidence_blocks import evidence_table
from progdoc.document.blocks.evidence_words import evidence_by_code
from progdoc.document.blocks.local_rules import local_differences
from progdoc.document.blocks.reference_blocks import AtHand, at_hand, paragraphs_here, reference_tables
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
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.words import label_of
from progdoc.rules.judged.cartridge_results import CartridgeChange
from progdoc.rules.judged.mask_results import MaskVerdict
from progdoc.rules.judged.result import Judged
from progdoc.rules.requirement import Requirement

__all__ = ["annex_blocks", "matrix_rows", "worked_figures"]

_INPUTS_OF_A_ROW = 5
_ROUNDED = {Rounding.UP: said(", rounded up"), Rounding.DOWN: said(", rounded down"), Rounding.NEAREST: same("")}
_UPPER = re.compile(r"(29 CFR [\d.]+)?\(\w+\)|Appendix [A-D](-\d)?")


def annex_blocks(
    judged: Judged, answers: Mapping[str, tuple[str, ...]], numbers: Mapping[str, str]
) -> dict[str, tuple[Block, ...]]:
    """Return the blocks of the annex by name. `numbers`: of the sections that answer, by id."""
    return {
        "hazard-table": (*_hazards(judged), *evidence_table(judged)),
        "calculations": _calculations(judged),
        "local-differences": local_differences(judged),
        "matrix": _matrix(judged, answers, numbers),
        "references": reference_tables(judged, worked_figures(judged)),
    }


def _hazards(judged: Judged) -> tuple[Block, ...]:
    rows = tuple(
        Row(
            f"hazard-table.{agent.hazard.id}",
            (
                text_cell(air.task.name, f"{air.path}.name"),
                text_cell(agent.hazard.agent, f"{agent.path}.agent"),
                text_cell(same(", ".join(agent.substance.cas)) if agent.substance else "–"),
                text_cell(said_choice(agent.hazard.form) if agent.hazard.form else said("not stated")),
                text_cell(level_words(agent), f"{agent.path}.exposure"),
                text_cell(limit_words(agent)),
            ),
        )
        for air in judged.selection.air.values()
        for agent in air.agents
    )
    if not rows:
        return ()
    columns = (
        Column(said("Task"), 3),
        Column(said("Agent"), 3),
        Column(said("CAS"), 2),
        Column(said_apart("of an agent", "Form"), 2),
        Column(said("Level and evidence"), 7),
        Column(said("Limit"), 4),
    )
    return (Table("hazard-table.all", said("All hazards"), columns, rows),)


def worked_figures(judged: Judged) -> tuple[Worked, ...]:
    """Return every figure the document relies on, in the order of tasks."""
    return tuple(figure.worked for figure in _figures(judged))


class _Figure(NamedTuple):
    """A figure, what it is for, and in which task."""

    task: str
    of: str
    worked: Worked


def _figures(judged: Judged) -> Iterator[_Figure]:
    selection = judged.selection
    worn: dict[str, list[MaskVerdict]] = {}
    for (task, _), verdict in selection.masks.items():
        worn.setdefault(task, []).append(verdict)
    changes: dict[str, list[CartridgeChange]] = {}
    for (task, _, _), change in judged.cartridge_changes.items():
        changes.setdefault(task, []).append(change)
    for task, air in selection.air.items():
        name = air.task.name
        here: dict[str, _Figure] = {}
        for agent in air.agents:
            for ratio in agent.ratios:
                of = said(
                    "%(agent)s, %(kind_in_words)s", agent=agent.hazard.agent, kind_in_words=ratio.limit.kind_in_words
                )
                here[ratio.worked.id] = _Figure(name, of, ratio.worked)
        if air.mixture is not None:
            here[air.mixture.id] = _Figure(name, said("all agents together"), air.mixture)
        for verdict in worn.get(task, ()):
            for muc in verdict.mucs:
                of = said("%(agent)s, %(mask)s", agent=muc.agent, mask=label_of(verdict.mask))
                here[muc.worked.id] = _Figure(name, of, muc.worked)
        for change in changes.get(task, ()):
            here.update((worked.id, _Figure(name, worked.name, worked)) for worked in change.worked)
        yield from here.values()
    for day in selection.days:
        names = said_join((selection.air[task].task.name for task in day.tasks), "; ")
        yield _Figure(names, day.of, day.worked)


def _calculations(judged: Judged) -> tuple[Block, ...]:
    """Return the figures by their formula: one row each where the inputs fit beside one another, else a part each."""
    groups: dict[tuple[str, Rounding], list[_Figure]] = {}
    for figure in _figures(judged):
        groups.setdefault((figure.worked.formula, figure.worked.rounding), []).append(figure)
    parts: list[Section] = []
    for n, found in enumerate(groups.values(), start=1):
        if all(len(figure.worked.inputs) <= _INPUTS_OF_A_ROW for figure in found):
            parts.append(_in_rows(f"calculations.{n}", found))
        else:
            parts += [_calculation(figure.worked) for figure in found]
    return tuple(parts)


def _in_rows(identity: str, found: list[_Figure]) -> Section:
    """Return figures of one formula as a table; each row can be followed from its printed inputs."""
    first = found[0].worked
    what = changed(first.formula, _left_side)
    names = list(dict.fromkeys(each.name for figure in found for each in figure.worked.inputs))
    stand_apart = len(names) <= max(len(figure.worked.inputs) for figure in found)
    rows = tuple(
        Row(
            f"calculations.{worked.id}",
            (
                text_cell(task),
                text_cell(of),
                *_input_cells(worked, names if stand_apart else None),
                text_cell(worked.printed),
                text_cell(_told_of(worked)),
            ),
        )
        for task, of, worked in found
    )
    inputs = [Column(name, 3, True) for name in names] if stand_apart else [Column(said("Worked with"), 7)]
    columns = (
        Column(said("Task"), 5),
        Column(said("Of"), 5),
        *inputs,
        Column(said_join((what, _ROUNDED[first.rounding]), ""), 3, True),
        Column(said("Where from, and what to know"), 11),
    )
    rules = said_join(dict.fromkeys(figure.worked.citation for figure in found), "; ")
    return Section(
        identity,
        capital(what),
        (
            Formula(f"{identity}.formula", first.formula),
            Paragraph(f"{identity}.rule", (Text(said("Rule: %(rules)s.", rules=rules)),)),
            Table(f"{identity}.rows", "", columns, rows, is_dense=True),
        ),
    )


def _left_side(formula: str) -> str:
    return formula.partition(" = ")[0]


def _input_cells(worked: Worked, names: list[str] | None) -> Iterator[Cell]:
    if names is None:
        yield text_cell(
            said_join(
                (
                    said("%(each)s: %(each_printed)s", each=each.name, each_printed=each.printed)
                    for each in worked.inputs
                ),
                "; ",
            )
        )
        return
    printed = {each.name: each.printed for each in worked.inputs}
    yield from (text_cell(printed.get(name, "–")) for name in names)


def _told_of(worked: Worked) -> str:
    origins: dict[str, list[str]] = {}
    for each in worked.inputs:
        origins.setdefault(in_quotes(each.origin), []).append(each.name)
    told = [
        said("%(names)s: %(origin)s", names=said_join(names, ", "), origin=origin) for origin, names in origins.items()
    ]
    return said_join((said("%(told)s.", told=said_join(told, "; ")), *worked.notes), " ")


def _calculation(worked: Worked) -> Section:
    identity = f"calculations.{worked.id}"
    inputs = Table(
        f"{identity}.inputs",
        "",
        (Column(said("Input"), 3), Column(said("Value"), 2, True), Column(said("From"), 6)),
        tuple(
            Row(f"{identity}.{i}", (text_cell(p.name), text_cell(p.printed), text_cell(in_quotes(p.origin))))
            for i, p in enumerate(worked.inputs)
        ),
        is_dense=True,
    )
    result = Formula(
        f"{identity}.result", said_join((worked.formula, "\n= ", worked.printed, _ROUNDED[worked.rounding]), "")
    )
    notes: list[Block] = [Paragraph(f"{identity}.note{i}", (Text(note),)) for i, note in enumerate(worked.notes)]
    source = Paragraph(f"{identity}.source", (Text(said("Rule: %(citation)s.", citation=worked.citation)),))
    return Section(identity, worked.name, (inputs, result, *notes, source))


def matrix_rows(
    judged: Judged, answers: Mapping[str, tuple[str, ...]]
) -> list[tuple[Requirement, Status, tuple[str, ...], str]]:
    """Return one row a requirement: it, how it stands over all its subjects, where answered, on what evidence."""
    worst = (Status.GAP, Status.UNDETERMINED, Status.MET, Status.NOT_APPLICABLE)
    by_code: dict[str, set[Status]] = {}
    evidence = evidence_by_code(judged)
    for one in judged.verdicts.alike():
        by_code.setdefault(one.verdict.requirement.code, set()).add(one.verdict.status)
    rows = []
    for requirement in judged.requirements:
        statuses = by_code.get(requirement.code, {Status.NOT_APPLICABLE})
        status = next(s for s in worst if s in statuses)
        shown = evidence.get(requirement.code, "")
        rows.append((requirement, status, answers.get(requirement.code, ()), shown))
    return rows


def _matrix(judged: Judged, answers: Mapping[str, tuple[str, ...]], numbers: Mapping[str, str]) -> tuple[Block, ...]:
    """Return the duties that bind, a row each, and those that do not by their codes; `matrix.csv` has every word."""
    rows = sorted(matrix_rows(judged, answers), key=lambda row: _place_in_the_law(row[0]))
    here = at_hand(judged)
    asked = tuple(
        Row(
            f"matrix.{requirement.code}",
            (
                text_cell(_paragraphs(requirement, here)),
                text_cell(said("%(code)s: %(duty)s", code=same(requirement.code), duty=requirement.duty)),
                text_cell(said_choice(status)),
                Cell(tuple(_places(places, numbers))) if places else text_cell("–"),
                text_cell(changed(evidence, _without_procedures) or "–"),
            ),
        )
        for requirement, status, places, evidence in rows
        if status is not Status.NOT_APPLICABLE
    )
    columns = (
        Column(said("Paragraph"), 7),
        Column(said("Duty"), 17),
        Column(said("Status"), 5),
        Column(said("Answered in"), 5),
        Column(said("Evidence"), 12),
    )
    title = said("Every duty that binds here, and where it is answered")
    idle = [requirement for requirement, status, _, _ in rows if status is Status.NOT_APPLICABLE]
    return (Table("matrix.all", title, columns, asked, is_dense=True), *_not_applicable(idle))


def _not_applicable(requirements: Iterable[Requirement]) -> Iterator[Block]:
    """Yield the codes of duties that do not apply, by the paragraph of the law they belong to."""
    by_place: dict[str, list[str]] = {}
    for requirement in requirements:
        by_place.setdefault(_upper_paragraph(requirement), []).append(requirement.code)
    rows = tuple(
        Row(f"matrix.spared.{n}", (text_cell(same(place)), text_cell(same(", ".join(sorted(codes))))))
        for n, (place, codes) in enumerate(by_place.items(), start=1)
    )
    if rows:
        columns = (Column(said("Paragraph"), 7), Column(said("Duties"), 36))
        yield Table(
            "matrix.spared", said("Duties that do not apply to the work described"), columns, rows, is_dense=True
        )


def _without_procedures(places: str) -> str:
    return places.replace("procedures.", "")


def _place_in_the_law(requirement: Requirement) -> tuple[Any, ...]:
    """Sort by paragraph, this standard before all others."""
    steps = steps_of(str(requirement.citation))
    return (steps[0] != MAIN_STANDARD, sort_key(steps), requirement.code)


def _upper_paragraph(requirement: Requirement) -> str:
    """Return the letter under which a duty stands, "(i)", or its appendix, "Appendix B-2"."""
    found = _UPPER.match(short_citation(requirement.citation))
    return found[0] if found else short_citation(requirement.citation)


def _paragraphs(requirement: Requirement, here: AtHand) -> str:
    """Return the paragraphs of a duty, without those that only stand above another of them."""
    cited = list(dict.fromkeys(map(short_citation, paragraphs_here(requirement, here))))
    return same("; ".join(one for one in cited if not any(other.startswith(f"{one}(") for other in cited)))


def _places(places: Iterable[str], numbers: Mapping[str, str]) -> Iterable[Inline]:
    for i, place in enumerate(places):
        if i:
            yield Text(", ")
        yield Reference(place, numbers[place])
