"""What changed in the text, told section by section; the redline shows it word by word."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from progdoc.comparison.changes import Change, Kind, worst_first
from progdoc.comparison.marks import (
    BLOCK_DELETED,
    BLOCK_END,
    BLOCK_INSERTED,
    BLOCK_MOVED_FROM,
    BLOCK_MOVED_TO,
    DELETED,
    END,
    INSERTED,
    MARK,
)
from progdoc.document.tree.nodes import Block, Document, Section

__all__ = ["changed_sections", "changed_words"]

_WORD = re.compile(r"\w+")
_STARTS = {INSERTED: "in", BLOCK_INSERTED: "in", DELETED: "out", BLOCK_DELETED: "out"}
_STARTS |= {BLOCK_MOVED_FROM: "moved", BLOCK_MOVED_TO: "moved to"}  # counted once, where it was
_SPLIT = re.compile(f"({MARK.pattern})")
_NOT_PRINTED = ("id", "href", "target", "svg", "png", "path", "alternative")


def changed_sections(old: Document, new: Document) -> tuple[Change, ...]:
    """Return the sections that came, went, moved into another one, or have another title."""
    before, after = dict(_sections(old.blocks, "")), dict(_sections(new.blocks, ""))
    found: list[Change] = []
    for identity, (parent, title) in before.items():
        if identity not in after:
            found.append(Change(Kind.REMOVED, identity, "section", title, ""))
        else:
            now_in, now = after[identity]
            if title != now:
                found.append(Change(Kind.REWORDED, identity, "title of the section", title, now))
            if parent != now_in:
                found.append(Change(Kind.MOVED, identity, "section", parent, now_in))
    found += [
        Change(Kind.ADDED, identity, "section", "", title)
        for identity, (_, title) in after.items()
        if identity not in before
    ]
    orders = [[identity for identity in one if identity in other] for one, other in ((before, after), (after, before))]
    if orders[0] != orders[1]:
        found.append(Change(Kind.MOVED, "text", "order of the sections", ", ".join(orders[0]), ", ".join(orders[1])))
    return worst_first(found)


def _sections(blocks: tuple[Block, ...], parent: str) -> Iterator[tuple[str, tuple[str, str]]]:
    for block in blocks:
        if isinstance(block, Section):
            yield block.id, (parent, block.title)
            yield from _sections(block.blocks, block.id)
        else:
            yield from _sections(getattr(block, "blocks", ()), parent)


def changed_words(redline: Document) -> tuple[int, int, int]:
    """Return how many words of a marked document were taken out, how many put in, and how many only moved."""
    counts = Counter[str]()
    states = [""]
    for text in _texts((redline.organisation, redline.title, redline.blocks)):
        for piece in _SPLIT.split(text):
            if piece[:1] in _STARTS and piece:
                states.append(_STARTS[piece[0]])
            elif piece in (END, BLOCK_END) and piece:
                states.pop()
            else:
                counts[states[-1]] += len(_WORD.findall(piece))
    return counts["out"], counts["in"], counts["moved"]


def _texts(value: Any) -> Iterator[str]:
    """Yield the printed texts below a value in reading order."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _texts(item)
    elif is_dataclass(value):
        for field in fields(value):
            if field.name not in _NOT_PRINTED:
                yield from _texts(getattr(value, field.name))
