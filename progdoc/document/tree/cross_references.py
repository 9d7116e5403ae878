"""Numbers the parts of a document and turns every reference into words.

Runs once, after the tree is complete and before a writer sees it, so that every format prints the same
numbers. A reference that points nowhere and an id used twice are faults of ours (a template, the assembly),
never the user's: they raise, all of them in one message.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import field, replace
from itertools import count
from operator import is_not
from typing import TypeVar

from progdoc.core.errors import ProgdocError
from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import language_of
from progdoc.document.tree.labels import ANNEX_LABEL, labelled
from progdoc.document.tree.nodes import (
    NOT_SETTLED,
    Answer,
    Block,
    Cell,
    Document,
    Emphasis,
    Figure,
    FormField,
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
    Text,
)
from progdoc.document.tree.said_again import said_again

__all__ = [
    "SHORT_CONTENTS",
    "ContentsEntry",
    "before_contents",
    "before_sections",
    "contents",
    "printed_contents",
    "resolved",
    "resolved_together",
    "section_label",
]


SHORT_CONTENTS = 24  # lines that stand below the title on its page
_LINES_OF_A_PAGE = 46  # of the contents, in the larger of the two typefaces that print them

T = TypeVar("T")

Names = Mapping[str, tuple[str, str]]  # by id: the document that it stands in, and the words for it


@dataclass(frozen=True, slots=True)
class ContentsEntry:
    """A line of the table of contents. Level 1 is a main section."""

    level: int
    number: str
    title: str
    id: str
    label: str  # its number as it is printed


@dataclass(slots=True)
class _Counters:
    """Where the numbering stands; one for a document."""

    tables: Iterator[int] = field(default_factory=lambda: count(1))
    figures: Iterator[int] = field(default_factory=lambda: count(1))


def section_label(section: Section) -> str:
    """Return the number as a heading prints it.

    >>> section_label(Section("s", "Fit testing", (), number="4.2"))
    '4.2'
    >>> section_label(Section("s", "Working", (), is_annex=True, number="A"))
    'Annex A'
    """
    is_whole_annex = section.is_annex and section.number and "." not in section.number
    return f"{section.label or ANNEX_LABEL} {section.number}" if is_whole_annex else section.number


def resolved(document: Document) -> Document:
    """Return the document with sections, tables and figures numbered and references in words.

    A reference whose text is already given keeps it. One to a node without a number of its own (a
    paragraph, an open point) names the section it stands in.

    Raises
    ------
    ProgdocError
        If an id is used twice, is empty or holds a space, or a reference points at no node.
    """
    (whole,) = resolved_together(document)
    return whole


def resolved_together(*documents: Document) -> tuple[Document, ...]:
    """Return documents that lie beside one another likewise: a reference may lead from one into another.

    Each has its own numbers; no id is used twice in all of them.

    Raises
    ------
    ProgdocError
        As `resolved`.
    """
    spoken = [_in_its_language(document) for document in documents]
    numbered = [_numbered(document.blocks, "", _Counters()) for document in spoken]
    ids: list[str] = []
    names: dict[str, tuple[str, str]] = {}  # by id: the document it stands in, and the words
    for document, blocks in zip(spoken, numbered, strict=True):
        named: list[tuple[str, str]] = []
        _name_each(blocks, document.title, named)
        for node_id, name in named:
            ids.append(node_id)
            names.setdefault(node_id, (document.id, name))
    dangling: list[str] = []
    whole = []
    for document, blocks in zip(spoken, numbered, strict=True):
        lists = {path.rpartition("[")[0] for path in document.open_texts if path.endswith("]")}
        language = language_of(document.language)
        to_print = _ToPrint(document.id, names, dangling, document.open_texts | lists, language.say(NOT_SETTLED))
        whole.append(replace(document, blocks=tuple([_referred(block, to_print) for block in blocks])))
    faults = _faults_of_ids(ids)
    faults += [f"reference to nothing: {name!r}" for name in sorted(set(dangling))]
    if faults:
        listed = ", ".join(repr(document.id) for document in documents)
        raise ProgdocError(f"document {listed} does not hang together: " + "; ".join(faults))
    return tuple(whole)


def _faults_of_ids(ids: list[str]) -> list[str]:
    if len(set(ids)) == len(ids) and " ".join(ids).split() == ids:  # at one look: a paper of many people has thousands
        return []
    faults = [f"id used {n} times: {name!r}" for name, n in sorted(Counter(ids).items()) if n > 1]
    return faults + [f"id empty or with a space: {name!r}" for name in sorted(set(ids)) if name.split() != [name]]


def _in_its_language(document: Document) -> Document:
    language = language_of(document.language)
    if not language.original:
        return document
    spoken = said_again(document, language)
    return replace(spoken, blocks=labelled(spoken.blocks, language))


def contents(document: Document, depth: int) -> tuple[ContentsEntry, ...]:
    """Return the sections down to `depth` levels, in reading order."""
    return tuple(_entries(document.blocks, 1, depth))


def before_contents(document: Document) -> int:
    """Return how many of the document's blocks stand before its contents on paper."""
    first = before_sections(document)
    return first + any(block.id == document.contents_after for block in document.blocks[first : first + 1])


def before_sections(document: Document) -> int:
    """Return how many of the document's blocks stand before its first section."""
    return next((n for n, block in enumerate(document.blocks) if isinstance(block, Section)), len(document.blocks))


def printed_contents(document: Document) -> tuple[ContentsEntry, ...]:
    """Return the contents for paper: two levels where they fit on a page of their own, else the main sections alone."""
    whole = contents(document, 2)
    return contents(document, 1) if document.contents_after or len(whole) > _LINES_OF_A_PAGE else whole


def _entries(blocks: tuple[Block, ...], level: int, depth: int) -> Iterator[ContentsEntry]:
    for block in blocks:
        if isinstance(block, Section):
            if level <= depth:
                yield ContentsEntry(level, block.number, block.title, block.id, section_label(block))
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


def _each(parts: tuple[T, ...], work: Callable[[T], T]) -> tuple[T, ...]:
    """Return what becomes of each part; the very parts where nothing does, as with nearly all: none is copied."""
    made = tuple(map(work, parts))
    return made if any(map(is_not, made, parts)) else parts


# ---- numbering ----------------------------------------------------------------------------------------


def _numbered(blocks: tuple[Block, ...], parent: str, counters: _Counters) -> tuple[Block, ...]:
    """Number the sections among these blocks below `parent`; only at the top are annexes lettered."""
    return _numbered_in_turn(blocks, parent, counters, count(1), count(1))


def _numbered_in_turn(
    blocks: tuple[Block, ...],
    parent: str,
    counters: _Counters,
    parts: Iterator[int],
    annexes: Iterator[int],
) -> tuple[Block, ...]:
    def one(block: Block) -> Block:
        match block:
            case Section():
                is_lettered = block.is_annex and not parent
                number = _letters(next(annexes)) if is_lettered else str(next(parts))
                number = f"{parent}.{number}" if parent else number
                return replace(block, number=number, blocks=_numbered(block.blocks, number, counters))
            case Table() if block.caption:
                return replace(block, number=next(counters.tables))
            case Figure() if block.caption:
                return replace(block, number=next(counters.figures))
            case Answer() | Notice():
                return replace(block, blocks=inside(block.blocks))
            case Listing():
                return replace(block, items=_each(block.items, item))
            case _:
                return block

    def item(entry: ListItem) -> ListItem:
        inner = inside(entry.blocks)
        return entry if inner is entry.blocks else replace(entry, blocks=inner)

    def inside(inner: tuple[Block, ...]) -> tuple[Block, ...]:
        if len(inner) == 1 and isinstance(inner[0], Paragraph):  # nearly every item of a list: nothing to number
            return inner
        return _numbered_in_turn(inner, parent, counters, parts, annexes)

    return _each(blocks, one)


def _letters(number: int) -> str:
    """Return 1 as A, 26 as Z, 27 as AA."""
    text = ""
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


# ---- names --------------------------------------------------------------------------------------------


def _name_each(blocks: tuple[Block, ...], around: str, found: list[tuple[str, str]]) -> None:
    """Add every id below these blocks with the words that a reference to it prints."""
    for block in blocks:
        match block:
            case Paragraph():
                found.append((block.id, around))
            case Section():
                name = f"{section_label(block)} {block.title}".strip()
                found.append((block.id, name))
                _name_each(block.blocks, name, found)
            case Table():
                name = f"{block.label or 'Table'} {block.number}" if block.number else around
                found.append((block.id, name))
                found += [(row.id, name) for row in block.rows]
            case Figure():
                found.append((block.id, f"{block.label or 'Figure'} {block.number}" if block.number else around))
            case Listing():
                found.append((block.id, around))
                for item in block.items:
                    found.append((item.id, around))
                    _name_each(item.blocks, around, found)
            case _:
                found.append((block.id, around))
                for group in _block_groups(block):
                    _name_each(group, around, found)


# ---- references ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _ToPrint:
    """What the words of a document are printed by."""

    document: str  # its id
    names: Names
    dangling: list[str]  # targets that do not exist
    open_texts: frozenset[str]  # and the lists that hold one
    not_settled: str


def _referred(block: Block, to_print: _ToPrint) -> Block:
    """Return the block with its references in words, and with a word for each text that only holds a place."""

    def blocks(inner: tuple[Block, ...]) -> tuple[Block, ...]:
        return _each(inner, lambda one: _referred(one, to_print))

    def item(one: ListItem) -> ListItem:
        inner = blocks(one.blocks)
        return one if inner is one.blocks else replace(one, blocks=inner)

    def of_row(one: Row) -> Row:
        cells = _each(one.cells, cell)
        return one if cells is one.cells else replace(one, cells=cells)

    def cell(one: Cell) -> Cell:
        children = inline(one.children)
        return one if children is one.children else Cell(children)

    def inline(children: tuple[Inline, ...]) -> tuple[Inline, ...]:
        if _is_plain(children, to_print.open_texts):
            return children
        return _each(children, lambda one: _referred_inline(one, to_print))

    match block:
        case Section() | Answer() | Notice():
            inner = blocks(block.blocks)
            return block if inner is block.blocks else replace(block, blocks=inner)
        case Paragraph():
            children = inline(block.children)
            return block if children is block.children else replace(block, children=children)
        case Listing():
            items = _each(block.items, item)
            return block if items is block.items else replace(block, items=items)
        case Table():
            if all(_is_plain(cell.children, to_print.open_texts) for row in block.rows for cell in row.cells):
                return block
            rows = _each(block.rows, of_row)
            return block if rows is block.rows else replace(block, rows=rows)
        case _:
            return block


def _is_plain(children: tuple[Inline, ...], open_texts: frozenset[str]) -> bool:
    """Return whether there is nothing in some words to be put in others, as in nearly all that are about people."""
    for child in children:
        only = child.children[0] if type(child) is Strong and len(child.children) == 1 else child
        if type(only) is not FormField and (type(only) is not Text or only.path in open_texts):
            return False
    return True


def _referred_inline(node: Inline, to_print: _ToPrint) -> Inline:
    names = to_print.names
    match node:
        case Text():
            is_open = node.path in to_print.open_texts
            return replace(node, text=to_print.not_settled, language="") if is_open else node
        case Strong() | Emphasis() | Link():
            children = _each(node.children, lambda child: _referred_inline(child, to_print))
            return node if children is node.children else replace(node, children=children)
        case Reference():
            if node.target not in names:
                to_print.dangling.append(node.target)
            home, name = names.get(node.target, (to_print.document, node.target))
            return replace(node, text=node.text or name, document="" if home == to_print.document else home)
        case _:
            return node
