"""The short of a comparison, on one page of a document or as lines for a terminal; its words are in `summary_parts`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from progdoc.comparison.changes import Comparison, Side
from progdoc.comparison.summary_parts import LIMITS, Part, summary_parts
from progdoc.core.lines import Blocks, Line
from progdoc.core.numbers import long_date
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Column,
    Document,
    LineBreak,
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Row,
    Strong,
    Table,
    Text,
)

__all__ = ["document_of", "summary_blocks", "summary_document", "told_shortly"]


def summary_document(comparison: Comparison, names: Mapping[str, str], organisation: str, paper: str) -> Document:
    """Return the short of it, on one page."""
    return document_of("comparison-summary", comparison, organisation, paper, tuple(summary_blocks(comparison, names)))


def document_of(
    identity: str, comparison: Comparison, organisation: str, paper: str, blocks: tuple[Block, ...]
) -> Document:
    title = f"What changed: {comparison.new.title or comparison.old.title or 'respiratory protection program'}"
    return resolved(
        Document(
            id=identity,
            title=title,
            organisation=organisation,
            revision=comparison.new.revision,
            as_of=comparison.on,
            draft=False,
            blocks=blocks,
            paper=paper,
        )
    )


def told_shortly(comparison: Comparison, names: Mapping[str, str]) -> Blocks:
    """Return the short of it as lines for a terminal."""
    yield [Line(f"{label}  {told}", rest="     ") for label, told in _head(comparison)]
    for part in summary_parts(comparison, names):
        heading = {"danger": f"DANGER  {part.heading}", "caution": f"CAUTION  {part.heading}"}.get(
            part.kind, part.heading
        )
        yield [Line(heading), *(Line(line, "  - ", "    ") for line in part.lines)]


def summary_blocks(comparison: Comparison, names: Mapping[str, str], is_head: bool = False) -> Iterator[Block]:
    """Yield the short of it as a page has it: what must not be overlooked as notices, the rest as a table.

    Parameters
    ----------
    is_head
        Whether the changes themselves follow on the same pages: then the notices will do.
    """
    parts = list(summary_parts(comparison, names))
    for part in parts:
        if part.is_notice:
            yield Notice(f"summary.{part.id}", part.kind or "note", tuple(_notice(part)))
    rows = [Row(f"sides.{label.lower()}", (_cell(label), _cell(told))) for label, told in _head(comparison)]
    told = (part for part in parts if not part.is_notice and (part.is_of_people or not is_head))
    rows += [Row(f"summary.{part.id}", (_cell(part.heading), _lines(part))) for part in told]
    if is_head:
        rows.append(Row("summary.limits", (_cell("Limits"), _cell(LIMITS))))
    yield Table("summary.rest", "", _TWO, tuple(rows), is_dense=True)


_TWO = (Column("About", 2), Column("What changed", 11))


def _lines(part: Part) -> Cell:
    """Return the lines of a part below one another in one cell."""
    found: list[Text | LineBreak] = []
    for line in part.lines:
        found += [LineBreak(), Text(f"• {line}")]
    return Cell(tuple(found[1:]))


def _notice(part: Part) -> Iterator[Block]:
    heading = Text(part.heading)
    yield Paragraph(f"summary.{part.id}.heading", (Strong((heading,)),) if part.lines else (heading,))
    items = tuple(
        ListItem(f"summary.{part.id}.{i}", (Paragraph(f"summary.{part.id}.{i}.p", (Text(line),)),))
        for i, line in enumerate(part.lines, 1)
    )
    if items:
        yield Listing(f"summary.{part.id}.list", False, items)


def _cell(text: str) -> Cell:
    return Cell((Text(text),))


def _head(comparison: Comparison) -> tuple[tuple[str, str], ...]:
    """Return the two sides, and where it is about one site, which."""
    about = (("Site", f"{comparison.site}, and the firm as a whole"),) if comparison.site else ()
    return ("Old", _side(comparison.old)), ("New", _side(comparison.new)), *about


def _side(side: Side) -> str:
    revision = f"revision {side.revision}" if side.revision else "without a revision"
    issued = "issued by" if side.is_issued else "not issued, judged by"
    day = f"; stands for {long_date(side.day)}" if side.day else ""
    return f"{side.title or side.name}, {revision}; {issued} {side.rules}{day}"
