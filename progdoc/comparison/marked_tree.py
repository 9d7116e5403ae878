"""Two document trees to one that holds both, with marks on what was taken out and what was put in.

Accepting every mark gives the words of the new document, rejecting every mark those of the old one: tables,
lists and headings included. What cannot be marked inside (a table whose columns are others, a picture, a
list that becomes numbered, a section that moved) is taken out whole and put in whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import count, groupby
from typing import Any, TypeVar

from progdoc.comparison.align import paired
from progdoc.comparison.marks import (
    BLOCK_DELETED,
    BLOCK_END,
    BLOCK_INSERTED,
    BLOCK_MOVED_FROM,
    BLOCK_MOVED_TO,
    TYPED,
    moved_mark,
)
from progdoc.comparison.moved_parts import Move, moves_between, new_place, old_place
from progdoc.comparison.parts import Part, bag, can_be_marked_inside, name
from progdoc.comparison.printed import printed_blocks
from progdoc.comparison.text_atoms import marked_inlines, without_references
from progdoc.comparison.word_changes import likeness, marked_text
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

_LEAST_LIKE = 0.5
_SAME_COUNT = 0.3  # for parts whose ids only count, and are the same
P = TypeVar("P", bound=Part)
_GONE = "old--"  # begins the ids of what was taken out: a moved section stands there twice


def marked_document(old: Document, new: Document) -> Document:
    """Return the new document with the old one's words in it, changes marked.

    Both must have been numbered by `references.resolved`. Numbers of sections, tables and figures are words
    here: nothing counts them anew when changes are accepted or rejected. The cover is left out.
    """
    sides = tuple(printed_blocks(old)), tuple(printed_blocks(new))
    merging = _Merging()
    blocks = merging.whole(*sides)
    if merging.find_moves():  # what has no counterpart is known by now, and where it stands in the other document
        blocks = merging.whole(*sides)
    return replace(
        new,
        title=marked_text(old.title, new.title),
        organisation=marked_text(old.organisation, new.organisation),
        blocks=blocks,
        has_cover=False,
        history=(),
        shows_citations=True,
    )


class _Merging:
    """One merging: counts the marks that stand alone, and remembers the words of each part and what moved."""

    def __init__(self) -> None:
        self._numbers = count(1)
        self._bag = cache(bag)
        self._pairs: dict[tuple[int, int], list[tuple[Any, Any]]] = {}  # by the identities of two parts
        self._moves: dict[int, Move] = {}

    def whole(self, old: tuple[Block, ...], new: tuple[Block, ...]) -> tuple[Block, ...]:
        """Return all blocks of both."""
        self._numbers = count(1)
        return tuple(self._blocks((old, new), old, new))

    def find_moves(self) -> bool:
        """Remember which parts stand elsewhere now; return whether there are any."""
        unpaired = [pair for pairs in self._pairs.values() for pair in pairs if None in pair]
        gone = [old for old, _ in unpaired if old is not None]
        self._moves = moves_between(gone, [new for _, new in unpaired if new is not None])
        return bool(self._moves)

    def _paired(self, parents: tuple[Any, Any], old: Sequence[P], new: Sequence[P]) -> list[tuple[P | None, P | None]]:
        """Return the parts of two parents in pairs; nothing is compared twice."""
        key = id(parents[0]), id(parents[1])
        if key not in self._pairs:
            self._pairs[key] = list(paired(old, new, name, self._alike))
        return self._pairs[key]

    # ---- which parts belong together ------------------------------------------------------------------

    def _alike(self, old: Part, new: Part) -> float:
        if not can_be_marked_inside(old, new):
            return 0.0
        if old == new or (name(old) and name(old) == name(new)):
            return 1.0
        share = likeness(self._bag(old), self._bag(new))
        if isinstance(old, Section) and isinstance(new, Section) and old.title == new.title:
            return max(share, _LEAST_LIKE)
        return share if share >= (_SAME_COUNT if old.id == new.id else _LEAST_LIKE) else 0.0

    # ---- blocks ---------------------------------------------------------------------------------------

    def _blocks(self, parents: tuple[Any, Any], old: Sequence[Block], new: Sequence[Block]) -> Iterator[Block]:
        """Yield the blocks of both in one order."""
        deleted: list[Block] = []
        inserted: list[Block] = []
        for one, other in self._paired(parents, old, new):
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
        for mark, blocks in ((BLOCK_DELETED, deleted), (BLOCK_INSERTED, inserted)):
            for is_moved, group in groupby(blocks, key=lambda block: id(block) in self._moves):
                if is_moved:
                    for block in group:
                        yield from self._moved_block(self._moves[id(block)], block)
                else:
                    yield self._alone(mark)
                    yield from (_typed(_gone(block) if mark == BLOCK_DELETED else block) for block in group)
                    yield self._alone(BLOCK_END)

    def _moved_block(self, move: Move, block: Block) -> Iterator[Block]:
        """Yield a block that stands elsewhere too, as it is here: the words that changed are marked as such."""
        if not isinstance(move.old, Block) or not isinstance(move.new, Block):
            raise TypeError("a block can only be a block elsewhere")
        both = self._both(move.old, move.new)
        is_old = block is move.old
        yield self._alone(moved_mark(BLOCK_MOVED_FROM if is_old else BLOCK_MOVED_TO, move.number))
        yield old_place(both, _GONE) if is_old else new_place(both)
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
                inner = tuple(self._blocks((old, new), old.blocks, new.blocks))
                return replace(new, number=TYPED + number if number else "", title=title, blocks=inner, is_annex=False)
            case Paragraph(), Paragraph():
                return Paragraph(new.id, marked_inlines(old.children, new.children))
            case Listing(), Listing():
                pairs = self._paired((old, new), old.items, new.items)
                return replace(new, items=tuple(self._item(one, other) for one, other in pairs))
            case Table(), Table():
                return self._table(old, new)
            case Notice(), Notice():
                return replace(new, blocks=tuple(self._blocks((old, new), old.blocks, new.blocks)))
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
            return ListItem(new.id, (*first, *self._blocks((old, new), old.blocks[1:], new.blocks[1:])))
        move = self._moves.get(id(old or new))
        if move is not None and isinstance(move.old, ListItem) and isinstance(move.new, ListItem):
            both = self._item(move.old, move.new)
            here = old_place(both, _GONE) if old is not None else new_place(both)
            kind = BLOCK_MOVED_FROM if old is not None else BLOCK_MOVED_TO
            return ListItem(here.id, tuple(self._within_item(here, moved_mark(kind, move.number))))
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
        rows = tuple(self._row(one, other) for one, other in self._paired((old, new), old.rows, new.rows))
        return replace(new, caption=marked_text(old.caption, new.caption), columns=columns, rows=rows)

    def _row(self, old: Row | None, new: Row | None) -> Row:
        if old is not None and new is not None:
            cells = zip(old.cells, new.cells, strict=True)
            return Row(new.id, tuple(Cell(marked_inlines(one.children, other.children)) for one, other in cells))
        move = self._moves.get(id(old or new))
        if move is not None and isinstance(move.old, Row) and isinstance(move.new, Row):
            both = self._row(move.old, move.new)
            here = old_place(both, _GONE) if old is not None else new_place(both)
            return _marked_row(here, moved_mark(BLOCK_MOVED_FROM if old is not None else BLOCK_MOVED_TO, move.number))
        mark, row = (BLOCK_DELETED, _gone_row(old)) if old is not None else (BLOCK_INSERTED, new)
        if row is None:
            raise TypeError("a row that is in neither table")
        return _marked_row(row, mark)

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


def _marked_row(row: Row, mark: str) -> Row:
    return Row(row.id, tuple(Cell((Text(mark), *cell.children, Text(BLOCK_END))) for cell in row.cells))


def _between(text: str, mark: str) -> str:
    return f"{mark}{text}{BLOCK_END}"


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
