"""The parts of a printed tree: what they are called, the words in them, and whether two can be marked inside."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from progdoc.comparison.text_atoms import plain
from progdoc.comparison.word_changes import tokens
from progdoc.document.tree.nodes import (
    Block,
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

__all__ = ["Part", "bag", "can_be_marked_inside", "name", "texts"]

_COUNTED_ID = re.compile(r"(?:^|\.)(?:(?:p|list|table|note|caution|danger|text)(?:\.\d+)*|p?\d+)$")
Part = Block | ListItem | Row


def name(part: Part) -> str:
    """Return the id of a part, or nothing where the id only counts the parts before it."""
    return "" if _COUNTED_ID.search(part.id) else f"{type(part).__name__} {part.id}"


def bag(part: Part) -> Counter[str]:
    return Counter(word for text in texts(part) for word in tokens(text) if not word.isspace())


def texts(part: Part) -> Iterator[str]:
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
        yield from texts(inner)


def can_be_marked_inside(old: Part, new: Part) -> bool:
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
