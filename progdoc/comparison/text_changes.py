"""What changed in the text, told section by section; the redline shows it word by word."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from progdoc.comparison.align import cut_at_anchors
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
                places = (before[parent][1] if parent else "", after[now_in][1] if now_in else "")
                told = [f"in “{place}”" if place else "at the top" for place in places]
                found.append(Change(Kind.MOVED, identity, f"section “{now}”", told[0], told[1]))
    found += [
        Change(Kind.ADDED, identity, "section", "", title)
        for identity, (_, title) in after.items()
        if identity not in before
    ]
    for orders in _same_parents(before, after):
        for olds, news in cut_at_anchors(*orders):
            if [orders[0][i] for i in olds] != [orders[1][i] for i in news]:
                found += [_further(orders, orders[0][i], after) for i in olds]
    return worst_first(found)


_Titles = Mapping[str, tuple[str, str]]  # by a section's id: the id of the one it stands in, and its title


def _same_parents(before: _Titles, after: _Titles) -> Iterator[tuple[list[str], list[str]]]:
    """Yield the sections that stand in one section on both sides, in the order of each side."""
    orders: dict[str, tuple[list[str], list[str]]] = {}
    for side, titles in enumerate((before, after)):
        for identity, (parent, _) in titles.items():
            if identity in before and identity in after and before[identity][0] == after[identity][0]:
                orders.setdefault(parent, ([], []))[side].append(identity)
    yield from orders.values()


def _further(orders: tuple[list[str], list[str]], identity: str, titles: _Titles) -> Change:
    """Return that a section stands elsewhere among its like: behind which one it stood and stands."""
    told = []
    for order in orders:
        place = order.index(identity)
        told.append(f"behind “{titles[order[place - 1]][1]}”" if place else "first of its kind")
    return Change(Kind.MOVED, identity, f"section “{titles[identity][1]}”", told[0], told[1])


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
