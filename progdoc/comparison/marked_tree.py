"""Two document trees to one that holds both, with marks on what was taken out and what was put in.

Accepting every mark gives the words of the new document, rejecting every mark those of the old one: tables,
lists and headings included. What cannot be marked inside (a table whose columns are others, a picture, a
list that becomes numbered, a section that moved) is taken out whole and put in whole.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import count

from progdoc.comparison.align import paired
from progdoc.comparison.marks import BLOCK_DELETED, BLOCK_END, BLOCK_INSERTED, TYPED
from progdoc.comparison.printed import printed_blocks
from progdoc.comparison.text_atoms import marked_inlines, plain, without_references
from progdoc.comparison.word_changes import likeness, marked_text, tokens
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Document,
    Figure,
    Formula,
    Listing,
    ListItem,
    Notice,
    OpenPoint,
    Paragraph,
    Row,
    Section,
    Signatures,
    Table,
    Text,
)

__all__ = ["marked_document"]

_COUNTED_ID = re.compile(r"(?:^|\.)(?:(?:p|list|table|note|caution|danger|text)(?:\.\d+)*|p?\d+)$")
_LEAST_LIKE = 0.5
_SAME_COUNT = 0.3  # for parts whose ids only count, and are the same
_GONE = "old--"  # begins the ids of what was taken out: a moved section stands there twice
_Part = Block | ListItem | Row


def marked_document(old: Document, new: Document) -> Document:
    """Return the new document with the old one's words in it, changes marked.

    Both must have been numbered by `references.resolved`. Numbers of sections, tables and figures are words
    here: nothing counts them anew when changes are accepted or rejected. The cover is left out.
    """
    blocks = _Merging().blocks(printed_blocks(old), printed_blocks(new))
    return replace(
        new,
        title=marked_text(old.title, new.title),
        organisation=marked_text(old.organisation, new.organisation),
        blocks=tuple(blocks),
        has_cover=False,
        history=(),
        shows_citations=True,
    )


class _Merging:
    """One merging: counts the marks that stand alone, and remembers the words of each part."""

    def __init__(self) -> None:
        self._numbers = count(1)
        self._bag = cache(_bag)

    # ---- which parts belong together ------------------------------------------------------------------

    def _alike(self, old: _Part, new: _Part) -> float:
        if not _can_be_marked_inside(old, new):
            return 0.0
        if old == new or (_name(old) and _name(old) == _name(new)):
            return 1.0
        share = likeness(self._bag(old), self._bag(new))
        if isinstance(old, Section) and isinstance(new, Section) and old.title == new.title:
            return max(share, _LEAST_LIKE)
        return share if share >= (_SAME_COUNT if old.id == new.id else _LEAST_LIKE) else 0.0

    # ---- blocks ---------------------------------------------------------------------------------------

    def blocks(self, old: Sequence[Block], new: Sequence[Block]) -> Iterator[Block]:
        """Yield the blocks of both in one order."""
        deleted: list[Block] = []
        inserted: list[Block] = []
        for one, other in paired(old, new, _name, self._alike):
            if one is not None and other is not None:
                yield from self._whole(deleted, inserted)
                deleted, inserted = [], []
                yield self._both(one, other)
            elif one is not None:
                deleted.append(one)
            elif other is not None:
                inserted.append(other)
        yield from self._whole(deleted, inserted)

    def _whole(self, deleted: list[Block], inserted: list[Block]) -> Iterator[Block]:
        for mark, blocks in ((BLOCK_DELETED, [_gone(block) for block in deleted]), (BLOCK_INSERTED, inserted)):
            if blocks:
                yield self._alone(mark)
                yield from (_typed(block) for block in blocks)
                yield self._alone(BLOCK_END)

    def _alone(self, mark: str) -> Paragraph:
        """Return a paragraph that is nothing but a mark: everything up to the next such one is marked."""
        return Paragraph(f"redline--{next(self._numbers)}", (Text(mark),))

    def _both(self, old: Block, new: Block) -> Block:
        match old, new:
            case _ if old == new:
                return _typed(new)
            case Section(), Section():
                number = marked_text(_numbered(old), _numbered(new))
                title = marked_text(old.title, new.title)
                inner = tuple(self.blocks(old.blocks, new.blocks))
                return replace(new, number=TYPED + number if number else "", title=title, blocks=inner, is_annex=False)
            case Paragraph(), Paragraph():
                return Paragraph(new.id, marked_inlines(old.children, new.children))
            case Listing(), Listing():
                pairs = paired(old.items, new.items, _name, self._alike)
                return replace(new, items=tuple(self._item(one, other) for one, other in pairs))
            case Table(), Table():
                return self._table(old, new)
            case Notice(), Notice():
                return replace(new, blocks=tuple(self.blocks(old.blocks, new.blocks)))
            case Formula(), Formula():
                return Formula(new.id, marked_text(old.text, new.text))
            case OpenPoint(), OpenPoint():
                return replace(new, text=marked_text(old.text, new.text))
            case Figure(), Figure():
                return replace(new, caption=marked_text(old.caption, new.caption))
            case Signatures(), Signatures():
                return replace(new, lines=tuple(self._lines(old, new)))
            case _:
                raise TypeError(f"{type(old).__name__} and {type(new).__name__} are no pair")

    def _item(self, old: ListItem | None, new: ListItem | None) -> ListItem:
        if old is not None and new is not None:
            if old.blocks[:1] == new.blocks[:1] or not old.blocks:
                first: tuple[Block, ...] = tuple(map(_typed, new.blocks[:1]))
            else:
                first = (self._both(old.blocks[0], new.blocks[0]),)
            return ListItem(new.id, (*first, *self.blocks(old.blocks[1:], new.blocks[1:])))
        mark, item = (BLOCK_DELETED, _gone_item(old)) if old is not None else (BLOCK_INSERTED, new)
        if item is None:
            raise TypeError("an item that is in neither list")
        return ListItem(item.id, tuple(self._within_item(item, mark)))

    def _within_item(self, item: ListItem, mark: str) -> Iterator[Block]:
        """Yield the blocks of a whole item, each marked: the bullet belongs to the first, which must be words."""
        if not item.blocks or not isinstance(item.blocks[0], Paragraph):
            yield Paragraph(f"redline--{next(self._numbers)}", (Text(mark), Text(BLOCK_END)))
        for block in item.blocks:
            if isinstance(block, Paragraph):
                yield Paragraph(block.id, (Text(mark), *block.children, Text(BLOCK_END)))
            else:
                yield self._alone(mark)
                yield _typed(block)
                yield self._alone(BLOCK_END)

    # ---- tables ---------------------------------------------------------------------------------------

    def _table(self, old: Table, new: Table) -> Table:
        columns = tuple(
            replace(other, title=marked_text(one.title, other.title))
            for one, other in zip(old.columns, new.columns, strict=True)
        )
        rows = tuple(_row(one, other) for one, other in paired(old.rows, new.rows, _name, self._alike))
        return replace(new, caption=marked_text(old.caption, new.caption), columns=columns, rows=rows)

    def _lines(self, old: Signatures, new: Signatures) -> Iterator[tuple[str, str]]:
        def alike(one: tuple[str, str], other: tuple[str, str]) -> float:
            return float(one[0] == other[0])

        for one, other in paired(old.lines, new.lines, lambda line: "", alike):
            if one is not None and other is not None:
                yield other[0], marked_text(one[1], other[1])
            elif one is not None:
                yield _between(one[0], BLOCK_DELETED), _between(one[1], BLOCK_DELETED)
            elif other is not None:
                yield _between(other[0], BLOCK_INSERTED), _between(other[1], BLOCK_INSERTED)


def _row(old: Row | None, new: Row | None) -> Row:
    if old is not None and new is not None:
        cells = zip(old.cells, new.cells, strict=True)
        return Row(new.id, tuple(Cell(marked_inlines(one.children, other.children)) for one, other in cells))
    mark, row = (BLOCK_DELETED, _gone_row(old)) if old is not None else (BLOCK_INSERTED, new)
    if row is None:
        raise TypeError("a row that is in neither table")
    return Row(row.id, tuple(Cell((Text(mark), *cell.children, Text(BLOCK_END))) for cell in row.cells))


def _between(text: str, mark: str) -> str:
    return f"{mark}{text}{BLOCK_END}"


# ---- names and words of a part ------------------------------------------------------------------------


def _name(part: _Part) -> str:
    """Return the id of a part, or nothing where the id only counts the parts before it."""
    return "" if _COUNTED_ID.search(part.id) else f"{type(part).__name__} {part.id}"


def _bag(part: _Part) -> Counter[str]:
    return Counter(word for text in _texts(part) for word in tokens(text) if not word.isspace())


def _texts(part: _Part) -> Iterator[str]:
    match part:
        case Section():
            yield part.title
        case Paragraph():
            yield plain(part.children)
        case Row():
            yield from (plain(cell.children) for cell in part.cells)
        case Table() | Figure():
            yield part.caption
        case Formula() | OpenPoint():
            yield part.text
        case Signatures():
            yield from (f"{role} {name}" for role, name in part.lines)
        case _:
            pass
    for inner in (*getattr(part, "blocks", ()), *getattr(part, "items", ()), *getattr(part, "rows", ())):
        yield from _texts(inner)


def _can_be_marked_inside(old: _Part, new: _Part) -> bool:
    match old, new:
        case (Listing(), Listing()):
            return old.ordered == new.ordered
        case (ListItem(), ListItem()):
            firsts = (*old.blocks[:1], *new.blocks[:1])
            return old == new or (len(firsts) == 2 and all(isinstance(block, Paragraph) for block in firsts))
        case (Table(), Table()):
            shapes = [(t.has_header, bool(t.caption), [(c.share, c.numeric) for c in t.columns]) for t in (old, new)]
            return shapes[0] == shapes[1]
        case (Notice(), Notice()):
            return old.kind == new.kind
        case (OpenPoint(), OpenPoint()):
            return old.code == new.code
        case (Figure(), Figure()):
            pictures = [(f.svg, f.png, f.alternative, bool(f.caption)) for f in (old, new)]
            return pictures[0] == pictures[1]
        case _:
            return type(old) is type(new)


# ---- whole parts --------------------------------------------------------------------------------------


def _numbered(section: Section) -> str:
    is_whole_annex = section.is_annex and section.number and "." not in section.number
    return f"Annex {section.number}" if is_whole_annex else section.number


def _typed(block: Block) -> Block:
    """Return a block whose sections carry their numbers as words."""
    match block:
        case Section():
            number = f"{TYPED}{_numbered(block)}" if block.number else ""
            return replace(block, number=number, is_annex=False, blocks=tuple(map(_typed, block.blocks)))
        case Notice():
            return replace(block, blocks=tuple(map(_typed, block.blocks)))
        case Listing():
            items = tuple(replace(item, blocks=tuple(map(_typed, item.blocks))) for item in block.items)
            return replace(block, items=items)
        case _:
            return block


def _gone(block: Block) -> Block:
    """Return a block that was taken out: its ids are free for what was put in, and it refers to nothing."""
    identity = _GONE + block.id
    match block:
        case Paragraph():
            return Paragraph(identity, without_references(block.children))
        case Section() | Notice():
            return replace(block, id=identity, blocks=tuple(map(_gone, block.blocks)))
        case Listing():
            return replace(block, id=identity, items=tuple(map(_gone_item, block.items)))
        case Table():
            return replace(block, id=identity, rows=tuple(map(_gone_row, block.rows)))
        case _:
            return replace(block, id=identity)


def _gone_item(item: ListItem) -> ListItem:
    return ListItem(_GONE + item.id, tuple(map(_gone, item.blocks)))


def _gone_row(row: Row) -> Row:
    return Row(_GONE + row.id, tuple(Cell(without_references(cell.children)) for cell in row.cells))
