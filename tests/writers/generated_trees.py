"""Pairs of document trees that differ as revisions do: words, paragraphs, rows, columns, lists, headings, sections.

Both trees draw from one stock of ids. What one has and the other has not was put in or taken out, what stands in
another place moved, and what has other words was reworded.
"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st
from writers.docx_sample import program

from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Cell,
    CitationMark,
    Column,
    Document,
    Emphasis,
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

__all__ = ["nests_tables", "revisions"]

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


def _inlines() -> st.SearchStrategy[tuple[Inline, ...]]:
    one = st.one_of(
        _TEXTS.map(Text),
        _TEXTS.map(lambda text: Strong((Text(text),))),
        _TEXTS.map(lambda text: Emphasis((Strong((Text(text),)), Text(" so")))),
        _TEXTS.map(lambda text: Link("https://www.osha.gov/", (Text(text),))),
        st.just(LineBreak()),
        st.just(CitationMark("29 CFR 1910.134(f)(2)")),
    )
    return st.lists(one, min_size=1, max_size=3).map(lambda parts: (Text("Here "), *parts))


@st.composite
def _listing(draw: st.DrawFn, identity: str, depth: int) -> Listing:
    numbers = draw(st.lists(st.integers(1, 5), min_size=1, max_size=4, unique=True))
    items = []
    for number in numbers:
        name = f"{identity}.{number}"
        first: tuple[Block, ...] = (Paragraph(f"{name}.p", draw(_inlines())),) if draw(st.integers(0, 4)) else ()
        rest = draw(_blocks(name, depth + 1)) if depth < 1 and draw(st.booleans()) else ()
        items.append(ListItem(name, (*first, *rest) or (Formula(f"{name}.formula", "a ÷ b"),)))
    return Listing(identity, draw(st.booleans()), tuple(items))


@st.composite
def _table(draw: st.DrawFn, identity: str) -> Table:
    width = draw(st.integers(1, 3))
    keys = draw(st.lists(st.sampled_from(["lead", "silica", "toluene", "1", "2"]), max_size=4, unique=True))
    rows = tuple(Row(f"{identity}.{key}", tuple(Cell(draw(_inlines())) for _ in range(width))) for key in keys)
    columns = tuple(Column(draw(_TEXTS), share=1) for _ in range(width))
    caption = draw(st.sampled_from(["", "Agents", "All agents"]))
    has_header = not rows or draw(st.booleans())
    return Table(identity, caption, columns, rows, has_header=has_header)


@st.composite
def _block(draw: st.DrawFn, identity: str, depth: int) -> Block:
    simple = [
        _inlines().map(lambda children: Paragraph(f"{identity}.p", children)),
        _TEXTS.map(lambda text: Formula(f"{identity}.formula", f"{text}\n= 2")),
        _TEXTS.map(lambda text: OpenPoint(f"{identity}.open", "FIT-002", text, "gaps.html#FIT-002")),
        _table(f"{identity}.table"),
        st.lists(st.tuples(st.sampled_from(["Officer", "Foreman"]), _TEXTS), min_size=1, max_size=2).map(
            lambda lines: Signatures(f"{identity}.signed", tuple(lines))
        ),
    ]
    if depth < 2:
        kinds = st.sampled_from(["note", "danger"])
        inner = _blocks(f"{identity}.notice", depth + 1)
        simple.append(st.builds(lambda kind, blocks: Notice(f"{identity}.notice", kind, blocks), kinds, inner))
        simple.append(_listing(f"{identity}.list", depth))
        answered = _blocks(f"{identity}.answer", depth + 1)
        simple.append(answered.map(lambda blocks: Answer(f"{identity}.answer", ("FIT-002",), (), blocks)))
    return draw(st.one_of(simple))


@st.composite
def _blocks(draw: st.DrawFn, identity: str, depth: int) -> tuple[Block, ...]:
    names = draw(st.lists(st.sampled_from("abcde"), min_size=1, max_size=3, unique=True))
    return tuple(draw(_block(f"{identity}-{name}", depth)) for name in names)


@st.composite
def _section(draw: st.DrawFn, name: str, depth: int) -> Section:
    blocks: tuple[Block, ...] = draw(_blocks(name, 0))
    if depth < 2 and draw(st.booleans()):
        inner = draw(st.lists(st.sampled_from("xy"), min_size=1, max_size=2, unique=True))
        blocks = (*blocks, *(draw(_section(f"{name}.{one}", depth + 1)) for one in inner))
    return Section(name, draw(_TEXTS), blocks)


@st.composite
def _document(draw: st.DrawFn, stock: dict[str, Section]) -> Document:
    """Draw sections: from the stock as they are, or written anew under their ids."""
    names = draw(st.lists(st.sampled_from(sorted(stock)), min_size=1, max_size=4, unique=True))
    sections = [stock[name] if draw(st.booleans()) else draw(_section(name, 1)) for name in names]
    if draw(st.booleans()):
        sections[-1] = replace(sections[-1], is_appendix=True)
    front = draw(_blocks("front", 1)) if draw(st.booleans()) else ()
    return resolved(
        replace(
            program(),
            title=draw(st.sampled_from(["Program", "Program for masks"])),
            revision=draw(st.sampled_from(["2026.1", "2027.1"])),
            draft=draw(st.booleans()),
            blocks=(*front, *sections),
            history=program().history[: draw(st.integers(0, 2))],
            shows_citations=draw(st.booleans()),
        )
    )


@st.composite
def revisions(draw: st.DrawFn) -> tuple[Document, Document]:
    """Return two revisions of one document."""
    stock = {name: draw(_section(name, 1)) for name in ("fit", "use", "storage", "records")}
    return draw(_document(stock)), draw(_document(stock))


def nests_tables(blocks: tuple[Block, ...], inside: bool = False) -> bool:
    """Return whether a table stands inside a notice, which Word shows as a table in a table."""
    for block in blocks:
        if inside and isinstance(block, Table | Signatures | Notice):
            return True
        inner = [block.blocks] if isinstance(block, Section | Answer | Notice) else []
        inner += [item.blocks for item in block.items] if isinstance(block, Listing) else []
        if any(nests_tables(part, inside or isinstance(block, Notice)) for part in inner):
            return True
    return False
