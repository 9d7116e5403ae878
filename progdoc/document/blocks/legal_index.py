"""The way from the law into the program: each paragraph with the main sections that answer its duties."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from progdoc.core.report import Status
from progdoc.core.report_order import section_of
from progdoc.core.said import said, said_join
from progdoc.document.blocks.reference_blocks import at_hand, paragraphs_here
from progdoc.document.tree.nodes import Block, Cell, Column, Inline, Reference, Row, Section, Table, Text
from progdoc.model.description.workplace import DoneBy
from progdoc.rules.judged.result import Judged

__all__ = ["legal_index"]

_RESPIRATORS = "29 CFR 1910.134"
_ROWS_OF_A_PAGE = 40  # of a dense table, each of one or two lines
_WEIGHED = ("EXP-003", "SEL-001")  # where an agent is held against its limit, and a mask chosen
_OTHERS = 2  # where rules beside the standard stand in the order of the index
_APPENDIX = re.compile(r"Appendix ([A-D](?:-\d)?)")


def legal_index(
    judged: Judged, answers: Mapping[str, tuple[str, ...]], sections: Iterable[Section], numbers: Mapping[str, str]
) -> tuple[Block, ...]:
    """Return the index as a table, in the order of the law.

    `answers`: the sections that answer each code; `numbers`: of sections, by id.
    """
    main = {inner: section.id for section in sections for inner in _ids(section)}
    order = list(dict.fromkeys(main.values()))
    found: dict[str, set[str]] = {}
    here = at_hand(judged)
    stands = (one.verdict for one in judged.verdicts.alike())
    used = {verdict.requirement.code for verdict in stands if verdict.status is not Status.NOT_APPLICABLE}
    for requirement in judged.requirements:
        places = {main[place] for place in answers.get(requirement.code, ())}
        for citation in paragraphs_here(requirement, here) if places else ():
            if requirement.code not in used and citation.source.short != _RESPIRATORS:
                continue  # a standard of an agent that is not in this air
            found.setdefault(section_of(str(citation)), set()).update(places)
            if (appendix := _APPENDIX.search(str(citation))) and citation.source.short == _RESPIRATORS:
                found.setdefault(said("Appendix %(appendix)s", appendix=appendix[1]), set()).update(places)
    weighed = {main[place] for code in _WEIGHED for place in answers.get(code, ())}
    for standard in _standards_here(judged) if weighed else ():
        found.setdefault(standard, set()).update(weighed)
    alike: dict[tuple[object, ...], list[str]] = {}  # other rules that the same sections answer share a row
    for part in sorted(found, key=_in_order):
        group = _in_order(part)[0]
        key = (group, *sorted(found[part])) if group == _OTHERS else (part,)
        alike.setdefault(key, []).append(part)
    rows = tuple(
        Row(f"legal-index.{n}", (Cell((Text(_joined(parts)),)), Cell(tuple(_listed(found[parts[0]], order, numbers)))))
        for n, parts in enumerate(alike.values(), start=1)
    )
    columns = (Column(said("The law"), 5), Column(said("Answered in section"), 9))
    return (
        (Table("legal-index.all", "", columns, rows, is_dense=True, is_whole=len(rows) <= _ROWS_OF_A_PAGE),)
        if rows
        else ()
    )


def _standards_here(judged: Judged) -> Iterator[str]:
    """Yield the standards of their own that agents have where our people meet them."""
    for air in judged.selection.air.values():
        if air.task.done_by is not DoneBy.OUR_PEOPLE:
            continue
        for agent in air.agents:
            for industry, standard in agent.substance.standards if agent.substance else ():
                if air.task.industry is None or air.task.industry.value == industry:
                    yield standard


def _in_order(part: str) -> tuple[int, str]:
    """The paragraphs of the standard come first, then its appendices, then other rules."""
    return (0 if part.startswith("(") else 1 if part.startswith("Appendix") else _OTHERS, part)


def _joined(parts: list[str]) -> str:
    """Name rules of one title in a row: "29 CFR 1910.94, 1926.55"."""
    words: list[str] = []
    for before, part in zip(["", *parts], parts, strict=False):
        title, _, rest = part.rpartition(" ")
        words.append(rest if title and title == before.rpartition(" ")[0] else part)
    return said_join(words, ", ")


def _ids(section: Section) -> Iterator[str]:
    yield section.id
    for block in section.blocks:
        if isinstance(block, Section):
            yield from _ids(block)


def _listed(places: set[str], order: list[str], numbers: Mapping[str, str]) -> Iterator[Inline]:
    """Name the sections with their pages; three and more that follow each other from the first to the last."""
    for i, run in enumerate(_runs(places, order)):
        if i:
            yield Text(", ")
        first, *others = (Reference(place, numbers[place], has_page=True) for place in run)
        yield first
        for other in others[-1:] if len(run) > 2 else others:
            yield Text("–" if len(run) > 2 else ", ")
            yield other


def _runs(places: set[str], order: list[str]) -> Iterator[list[str]]:
    run: list[str] = []
    for place in order:
        if place in places:
            run.append(place)
        elif run:
            yield run
            run = []
    if run:
        yield run
