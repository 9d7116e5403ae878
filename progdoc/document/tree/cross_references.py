"""Numbers the parts of a document and turns every reference into words.

Runs once, after the tree is complete and before a writer sees it, so that every format prints the same
numbers. A reference that points nowhere and an id used twice are faults of ours (a template, the assembly),
never the user's: they raise, all of them in one message.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import count

from progdoc.core.errors import ProgdocError
from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Cell,
    Document,
    Emphasis,
    Figure,
    Inline,
    Link,
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Reference,
    Row,
    Section,
    Strong,
    Table,
)

__all__ = ["ContentsEntry", "contents", "resolved", "section_label"]


@dataclass(frozen=True, slots=True)
class ContentsEntry:
    """A line of the table of contents. Level 1 is a main section."""

    level: int
    number: str
    title: str
    id: str


@dataclass(slots=True)
class _Counters:
    """Where the numbering stands; one for a document."""

    tables: Iterator[int] = field(default_factory=lambda: count(1))
    figures: Iterator[int] = field(default_factory=lambda: count(1))


def section_label(section: Section) -> str:
    """Return the number as a heading prints it.

    >>> section_label(Section("s", "Fit testing", (), number="4.2"))
    '4.2'
    >>> section_label(Section("s", "Working", (), is_appendix=True, number="A"))
    'Appendix A'
    """
    is_whole_appendix = section.is_appendix and section.number and "." not in section.number
    return f"Appendix {section.number}" if is_whole_appendix else section.number


def resolved(document: Document) -> Document:
    """Return the document with sections, tables and figures numbered and references in words.

    A reference whose text is already given keeps it. One to a node without a number of its own (a
    paragraph, an open point) names the section it stands in.

    Raises
    ------
    ProgdocError
        If an id is used twice, is empty or holds a space, or a reference points at no node.
    """
    numbered = replace(document, blocks=_numbered(document.blocks, "", _Counters()))
    ids: list[str] = []
    names: dict[str, str] = {}
    for node_id, name in _named(numbered.blocks, document.title):
        ids.append(node_id)
        names.setdefault(node_id, name)
    dangling: list[str] = []
    blocks = tuple(_referred(block, names, dangling) for block in numbered.blocks)
    faults = [f"id used {n} times: {name!r}" for name, n in sorted(Counter(ids).items()) if n > 1]
    faults += [f"id empty or with a space: {name!r}" for name in sorted(set(ids)) if name.split() != [name]]
    faults += [f"reference to nothing: {name!r}" for name in sorted(set(dangling))]
    if faults:
        raise ProgdocError(f"document {document.id!r} does not hang together: " + "; ".join(faults))
    return replace(numbered, blocks=blocks)


def contents(document: Document, depth: int) -> tuple[ContentsEntry, ...]:
    """Return the sections down to `depth` levels, in reading order."""
    return tuple(_entries(document.blocks, 1, depth))


def _entries(blocks: tuple[Block, ...], level: int, depth: int) -> Iterator[ContentsEntry]:
    for block in blocks:
        if isinstance(block, Section):
            if level <= depth:
                yield ContentsEntry(level, block.number, block.title, block.id)
                yield from _entries(block.blocks, level + 1, depth)
        else:
            for group in _block_groups(block):
                yield from _entries(group, level, depth)


def _block_groups(block: Block) -> tuple[tuple[Block, ...], ...]:
    """Return the groups of blocks that a block other than a section holds."""
    match block:
        case Listing():
            return tuple(item.blocks for item in block.items)
        case Answer() | Notice():
            return (block.blocks,)
        case _:
            return ()


# ---- numbering ----------------------------------------------------------------------------------------


def _numbered(blocks: tuple[Block, ...], parent: str, counters: _Counters) -> tuple[Block, ...]:
    """Number the sections among these blocks below `parent`; only at the top are appendices lettered."""
    return _numbered_in_turn(blocks, parent, counters, count(1), count(1))


def _numbered_in_turn(
    blocks: tuple[Block, ...],
    parent: str,
    counters: _Counters,
    parts: Iterator[int],
    appendices: Iterator[int],
) -> tuple[Block, ...]:
    def one(block: Block) -> Block:
        match block:
            case Section():
                is_lettered = block.is_appendix and not parent
                number = _letters(next(appendices)) if is_lettered else str(next(parts))
                number = f"{parent}.{number}" if parent else number
                return replace(block, number=number, blocks=_numbered(block.blocks, number, counters))
            case Table() if block.caption:
                return replace(block, number=next(counters.tables))
            case Figure() if block.caption:
                return replace(block, number=next(counters.figures))
            case Answer() | Notice():
                return replace(block, blocks=inside(block.blocks))
            case Listing():
                items = tuple(replace(item, blocks=inside(item.blocks)) for item in block.items)
                return replace(block, items=items)
            case _:
                return block

    def inside(inner: tuple[Block, ...]) -> tuple[Block, ...]:
        return _numbered_in_turn(inner, parent, counters, parts, appendices)

    return tuple(one(block) for block in blocks)


def _letters(number: int) -> str:
    """Return 1 as A, 26 as Z, 27 as AA."""
    text = ""
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


# ---- names --------------------------------------------------------------------------------------------


def _named(blocks: tuple[Block, ...], around: str) -> Iterator[tuple[str, str]]:
    """Yield every id below these blocks with the words that a reference to it prints."""
    for block in blocks:
        match block:
            case Section():
                name = f"{section_label(block)} {block.title}".strip()
                yield block.id, name
                yield from _named(block.blocks, name)
            case Table():
                name = f"Table {block.number}" if block.number else around
                yield block.id, name
                yield from ((row.id, name) for row in block.rows)
            case Figure():
                yield block.id, f"Figure {block.number}" if block.number else around
            case Listing():
                yield block.id, around
                for item in block.items:
                    yield item.id, around
                    yield from _named(item.blocks, around)
            case _:
                yield block.id, around
                for group in _block_groups(block):
                    yield from _named(group, around)


# ---- references ---------------------------------------------------------------------------------------


def _referred(block: Block, names: dict[str, str], dangling: list[str]) -> Block:
    """Return the block with its references in words; targets that do not exist go on the list."""

    def blocks(inner: tuple[Block, ...]) -> tuple[Block, ...]:
        return tuple(_referred(one, names, dangling) for one in inner)

    def item(one: ListItem) -> ListItem:
        return replace(one, blocks=blocks(one.blocks))

    def row(one: Row) -> Row:
        return replace(one, cells=tuple(Cell(inline(cell.children)) for cell in one.cells))

    def inline(children: tuple[Inline, ...]) -> tuple[Inline, ...]:
        return tuple(_referred_inline(child, names, dangling) for child in children)

    match block:
        case Section() | Answer() | Notice():
            return replace(block, blocks=blocks(block.blocks))
        case Paragraph():
            return replace(block, children=inline(block.children))
        case Listing():
            return replace(block, items=tuple(item(one) for one in block.items))
        case Table():
            return replace(block, rows=tuple(row(one) for one in block.rows))
        case _:
            return block


def _referred_inline(node: Inline, names: dict[str, str], dangling: list[str]) -> Inline:
    match node:
        case Strong() | Emphasis() | Link():
            children = tuple(_referred_inline(child, names, dangling) for child in node.children)
            return replace(node, children=children)
        case Reference():
            if node.target not in names:
                dangling.append(node.target)
            return replace(node, text=node.text or names.get(node.target, node.target))
        case _:
            return node
