"""The references: the sources of what a program rests on, each of them and no other, and figures to be confirmed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from progdoc.core.citations import Citation, Source
from progdoc.core.late_dataclass import dataclass
from progdoc.core.report import Status
from progdoc.core.said import said, same
from progdoc.core.worked import Worked
from progdoc.document.tree.nodes import Block, Column, Row, Table
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.workplace import Industry
from progdoc.rules.judged.result import Judged
from progdoc.rules.requirement import PARTS, Requirement, part_of

__all__ = ["AtHand", "at_hand", "paragraphs_here", "reference_tables"]


@dataclass(frozen=True, slots=True)
class AtHand:
    """Which parts of the law and which standards of single agents a program has to do with."""

    parts: frozenset[str]
    standards: frozenset[str]  # of agents in its air
    others: frozenset[str]  # of agents that are not


def at_hand(judged: Judged) -> AtHand:
    """Return what a program has to do with; every part where no task, or not every task, says its industry."""
    tasks = [task for _, task in judged.index.our_tasks]
    said = {task.industry for task in tasks if task.industry is not None}
    industries = said if said and all(task.industry for task in tasks) else set(Industry)
    agents = (agent.substance for air in judged.selection.air.values() for agent in air.agents)
    standards = frozenset(name for agent in agents if agent for _, name in agent.standards)
    parts = frozenset(PARTS[industry] for industry in industries)
    return AtHand(parts, standards, judged.agent_standards - standards)


def paragraphs_here(requirement: Requirement, here: AtHand) -> tuple[Citation, ...]:
    """Return the paragraphs of a duty; of twins in several parts of the law, and of standards, those at hand."""
    cited = (requirement.citation, *requirement.also)
    known = tuple(citation for citation in cited if citation.source.short not in here.others) or cited
    parts = {part for citation in known if (part := part_of(citation))}
    shared = parts & here.parts
    if len(parts) < len(PARTS) - 1 or not shared:
        return known
    return tuple(citation for citation in known if part_of(citation) in ("", *shared))


def reference_tables(judged: Judged, figures: Iterable[Worked]) -> tuple[Block, ...]:
    """Return the sources of duties that apply or may, of findings, of limits in use and of what was worked out."""
    cited = {citation.source.id for citation in _of_duties(judged)}
    told = (*_of_air(judged), *_of_figures(figures), *(one.citation for one in judged.findings))
    texts = " ; ".join(dict.fromkeys(told))  # many hazards have the citations of one
    used = [source for source in judged.sources if source.id in cited or _is_named(source, texts)]
    rows = tuple(
        Row(
            f"references.{source.id}",
            (
                text_cell(same(source.short)),
                text_cell(f"{source.title}. {source.publisher}, {source.edition}."),
            ),
        )
        for source in sorted(used)
    )
    table = Table("references.all", "", (Column(said("Short name"), 2), Column(said("Source"), 7)), rows)
    return (table, *_borrowed(judged))


def _of_duties(judged: Judged) -> Iterator[Citation]:
    here = at_hand(judged)
    stands = (one.verdict for one in judged.verdicts.alike())
    asked = (v.requirement for v in stands if v.status is not Status.NOT_APPLICABLE)
    for requirement in {(one.code, one.state): one for one in asked}.values():
        yield from paragraphs_here(requirement, here)


def _of_air(judged: Judged) -> Iterator[str]:
    """The limits that the air is set against, or would be; the IDLH values; the reasons, and the standards' duties."""
    for air in judged.selection.air.values():
        for agent in air.agents:
            limits = [ratio.limit for ratio in agent.ratios] or [x for x in agent.limits if x.value is not None][:1]
            yield from (limit.citation for limit in limits)
            yield agent.floor_basis
            if agent.danger is not None and not agent.danger.is_by_policy:
                yield _IDLH
    for verdict in judged.selection.masks.values():
        yield verdict.credit.citation
        yield from (reason.words.get("citation", "") for reason in verdict.reasons)
    yield from (duty.citation for duties in judged.selection.duties.values() for duty in duties)


def _of_figures(figures: Iterable[Worked]) -> Iterator[str]:
    for figure in figures:
        yield figure.citation
        yield from (given.origin for given in figure.inputs)
        yield from figure.notes


_IDLH = "NIOSH IDLH values"


def _is_named(source: Source, texts: str) -> bool:
    """Return whether citations name a source; a section also without its title before it."""
    name = source.short.removeprefix("29 CFR ")
    return re.search(rf"(?<![\d.]){re.escape(name)}(?!\d)", texts) is not None


_SUPPORT = {
    "two-sources": said("two secondary sources"),
    "one-source": said("one secondary source"),
    "from-memory": said("memory"),
}


def _borrowed(judged: Judged) -> tuple[Block, ...]:
    """Return the figures that are not law and that nobody has confirmed, once for the whole program."""
    rows = tuple(
        Row(
            f"references.borrowed.{one.id}",
            tuple(map(text_cell, (one.what, one.value, one.source, _SUPPORT[one.support]))),
        )
        for one in judged.borrowed
    )
    columns = (
        Column(said("Figure to confirm"), 4),
        Column(said("Used"), 2),
        Column(said("Source"), 5),
        Column(said("Rests on"), 3),
    )
    return (Table("references.borrowed", "", columns, rows, is_dense=True),) if rows else ()
