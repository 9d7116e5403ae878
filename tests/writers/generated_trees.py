"""Pairs of document trees that differ as revisions do: words, paragraphs, rows, columns, lists, headings, sections.

Both trees draw from one stock of ids. What one has and the other has not was put in or taken out, what stands in
another place moved, and what has other words was reworded.
"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st
from writers.docx_sample import drawing, program

from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Cell,
    CitationMark,
    Column,
    Document,
    Emphasis,
    Figure,
    Formula,
    Inline,
    LineBreak,
    Link,
    Listing,
    ListItem,
    Notice,
    OpenPoint,
    Paragraph,
    Row,
    Section,
    Signatures,
    Strong,
    Table,
    Text,
)

__all__ = ["revisions"]

_WORDS = (
    "mask",
    "filter",
    "the",
    "wearer",
    "12 months",
    "5 µg/m³",
    "50 µg/m³",
    "checks",
    "a < b & c",
    "–",
    "1 March 2026",
)
_TEXTS = st.lists(st.sampled_from(_WORDS), min_size=1, max_size=7).map(" ".join)


# Made once: a strategy that is made anew for every draw is checked anew, and that takes longer than the drawing.
_INLINES: st.SearchStrategy[tuple[Inline, ...]] = st.lists(
    st.one_of(
        _TEXTS.map(Text),
        _TEXTS.map(lambda text: Strong((Text(text),))),
        _TEXTS.map(lambda text: Emphasis((Strong((Text(text),)), Text(" so")))),
        _TEXTS.map(lambda text: Link("https://www.osha.gov/", (Text(text),))),
        st.just(LineBreak()),
        st.just(CitationMark("29 CFR 1910.134(f)(2)")),
    ),
    min_size=1,
    max_size=3,
).map(lambda parts: (Text("Here "), *parts))
_NUMBERS = st.lists(st.integers(1, 5), min_size=1, max_size=4, unique=True)
_WIDTHS = st.integers(1, 3)
_KEYS = st.lists(st.sampled_from(["lead", "silica", "toluene", "1", "2"]), max_size=4, unique=True)
_CAPTIONS = st.sampled_from(["", "Agents", "All agents"])
_LINES = st.lists(st.tuples(st.sampled_from(["Officer", "Foreman"]), _TEXTS), min_size=1, max_size=2)
_NAMES = st.lists(st.sampled_from("abcde"), min_size=1, max_size=3, unique=True)
_INNER = st.lists(st.sampled_from("xy"), min_size=1, max_size=2, unique=True)
_SIMPLE = ["paragraph", "formula", "open point", "table", "signatures", "figure"]
_SIZES = st.sampled_from([300, 320])
_KINDS = {True: st.sampled_from([*_SIMPLE, "notice", "listing", "answer"]), False: st.sampled_from(_SIMPLE)}
_NOTICES = st.sampled_from(["note", "danger"])
_YES_OR_NO = st.booleans()
_MOSTLY = st.integers(0, 4)


def _listing(draw: st.DrawFn, identity: str, depth: int) -> Listing:
    items = []
    for number in draw(_NUMBERS):
        name = f"{identity}.{number}"
        first: tuple[Block, ...] = (Paragraph(f"{name}.p", draw(_INLINES)),) if draw(_MOSTLY) else ()
        rest = _blocks(draw, name, depth + 1) if depth < 1 and draw(_YES_OR_NO) else ()
        items.append(ListItem(name, (*first, *rest) or (Formula(f"{name}.formula", "a ÷ b"),)))
    return Listing(identity, draw(_YES_OR_NO), tuple(items))


def _table(draw: st.DrawFn, identity: str) -> Table:
    width = draw(_WIDTHS)
    rows = tuple(Row(f"{identity}.{key}", tuple(Cell(draw(_INLINES)) for _ in range(width))) for key in draw(_KEYS))
    columns = tuple(Column(draw(_TEXTS), share=1) for _ in range(width))
    has_header = not rows or draw(_YES_OR_NO)
    return Table(identity, draw(_CAPTIONS), columns, rows, has_header=has_header)


def _block(draw: st.DrawFn, identity: str, depth: int) -> Block:
    match draw(_KINDS[depth < 2]):
        case "paragraph":
            return Paragraph(f"{identity}.p", draw(_INLINES))
        case "formula":
            return Formula(f"{identity}.formula", f"{draw(_TEXTS)}\n= 2")
        case "open point":
            return OpenPoint(f"{identity}.open", "FIT-002", draw(_TEXTS), "gaps.html#FIT-002")
        case "figure":
            width = draw(_SIZES)
            svg = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="90" viewBox="0 0 {width} 90"></svg>'
            return Figure(f"{identity}.figure", draw(_CAPTIONS), "Five steps", svg, drawing(width, 90))
        case "table":
            return _table(draw, f"{identity}.table")
        case "signatures":
            return Signatures(f"{identity}.signed", tuple(draw(_LINES)))
        case "notice":
            return Notice(f"{identity}.notice", draw(_NOTICES), _blocks(draw, f"{identity}.notice", depth + 1))
        case "listing":
            return _listing(draw, f"{identity}.list", depth)
        case _:
            return Answer(f"{identity}.answer", ("FIT-002",), (), _blocks(draw, f"{identity}.answer", depth + 1))


def _blocks(draw: st.DrawFn, identity: str, depth: int) -> tuple[Block, ...]:
    return tuple(_block(draw, f"{identity}-{name}", depth) for name in draw(_NAMES))


def _section(draw: st.DrawFn, name: str, depth: int) -> Section:
    blocks: tuple[Block, ...] = _blocks(draw, name, 0)
    if depth < 2 and draw(_YES_OR_NO):
        blocks = (*blocks, *(_section(draw, f"{name}.{one}", depth + 1) for one in draw(_INNER)))
    return Section(name, draw(_TEXTS), blocks)


_STOCK = ("fit", "records", "storage", "use")
_SECTIONS = st.lists(st.sampled_from(_STOCK), min_size=1, max_size=4, unique=True)
_TITLES = st.sampled_from(["Program", "Program for masks"])
_REVISIONS = st.sampled_from(["2026.1", "2027.1"])
_HISTORIES = st.integers(0, 2)
_ALERTS = st.lists(_TEXTS, max_size=3).map(tuple)


def _document(draw: st.DrawFn, stock: dict[str, Section], nests: bool) -> Document:
    """Draw sections: from the stock as they are, or written anew under their ids."""
    sections = [stock[name] if draw(_YES_OR_NO) else _section(draw, name, 1) for name in draw(_SECTIONS)]
    if draw(_YES_OR_NO):
        sections[-1] = replace(sections[-1], is_annex=True)
    front = _blocks(draw, "front", 1) if draw(_YES_OR_NO) else ()
    blocks = (*front, *sections)
    return resolved(
        replace(
            program(),
            title=draw(_TITLES),
            revision=draw(_REVISIONS),
            draft=draw(_YES_OR_NO),
            blocks=blocks if nests else _unnested(blocks),
            history=program().history[: draw(_HISTORIES)],
            shows_citations=draw(_YES_OR_NO),
            alerts=draw(_ALERTS),
        )
    )


@st.composite
def revisions(draw: st.DrawFn, nests: bool = True) -> tuple[Document, Document]:
    """Return two revisions of one document; without `nests`, no table stands in a notice."""
    stock = {name: _section(draw, name, 1) for name in _STOCK}
    return _document(draw, stock, nests), _document(draw, stock, nests)


def _unnested(blocks: tuple[Block, ...], inside: bool = False) -> tuple[Block, ...]:
    """Put a paragraph in place of what Word shows as a table in a table: one inside a notice."""
    return tuple(_without_tables(block, inside) for block in blocks)


def _without_tables(block: Block, inside: bool) -> Block:
    if inside and isinstance(block, Table | Signatures | Notice):
        return Paragraph(block.id, (Text("No table stands here."),))
    if isinstance(block, Section | Answer | Notice):
        return replace(block, blocks=_unnested(block.blocks, inside or isinstance(block, Notice)))
    if isinstance(block, Listing):
        return replace(block, items=tuple(replace(i, blocks=_unnested(i.blocks, inside)) for i in block.items))
    return block
