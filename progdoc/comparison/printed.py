"""A document tree as it is printed: what readers see of it, as words, and nothing else.

Numbers of sections, tables and figures become words, answers dissolve into the passages they hold, and places
in the description are dropped: two trees that print the same are equal here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from progdoc.comparison.marks import unmarked
from progdoc.comparison.text_atoms import cleaned
from progdoc.document.tree.nodes import (
    Answer,
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
)

__all__ = ["printed_blocks"]


def printed_blocks(document: Document) -> tuple[Block, ...]:
    """Return the document's blocks as they are printed."""
    return tuple(_printed(document.blocks, document.shows_citations))


def _printed(blocks: tuple[Block, ...], shows: bool) -> Iterator[Block]:
    for block in blocks:
        match block:
            case Answer():
                yield from _printed(block.blocks, shows)
            case Section():
                yield replace(block, title=unmarked(block.title), blocks=tuple(_printed(block.blocks, shows)))
            case Paragraph():
                yield Paragraph(block.id, cleaned(block.children, shows))
            case Listing():
                items = tuple(ListItem(item.id, tuple(_printed(item.blocks, shows))) for item in block.items)
                yield replace(block, items=items)
            case Notice():
                yield replace(block, blocks=tuple(_printed(block.blocks, shows)))
            case Table():
                yield _table(block, shows)
            case Figure():
                yield replace(block, caption=_captioned("Figure", block), number=0)
            case Formula():
                yield Formula(block.id, unmarked(block.text))
            case OpenPoint():
                yield replace(block, text=unmarked(block.text))
            case Signatures():
                yield replace(block, lines=tuple((unmarked(role), unmarked(name)) for role, name in block.lines))


def _table(table: Table, shows: bool) -> Table:
    blank = Cell(())
    rows = []
    for row in table.rows:
        cells = tuple(Cell(cleaned(cell.children, shows)) for cell in row.cells)
        rows.append(Row(row.id, cells + (blank,) * (len(table.columns) - len(cells))))
    columns = tuple(replace(column, title=unmarked(column.title)) for column in table.columns)
    return replace(table, caption=_captioned("Table", table), columns=columns, rows=tuple(rows), number=0)


def _captioned(label: str, node: Table | Figure) -> str:
    caption = unmarked(node.caption)
    return f"{label} {node.number}. {caption}" if node.number else caption
