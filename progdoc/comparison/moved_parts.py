"""Which parts of a document only stand elsewhere now, and how each of the two places shows what became of the words.

A part moved if both documents have it under one name, or, where it has none, in the very same words, and it has no
counterpart where it stood. Nothing moves inside of what moves: it is taken out there, and put in here.
"""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from progdoc.comparison.marks import BLOCK_DELETED, BLOCK_END, BLOCK_INSERTED, DELETED, END, INSERTED, MARK, TYPED
from progdoc.comparison.parts import Part, can_be_marked_inside, name, texts
from progdoc.core.late_dataclass import dataclass
from progdoc.document.tree.nodes import ListItem, Paragraph, Reference, Row, Text

__all__ = ["Move", "moves_between", "new_place", "old_place"]

P = TypeVar("P", bound=Part)
_FEWEST_WORDS = 5  # of a part without a name: fewer stand in two places by chance


@dataclass(frozen=True, slots=True)
class Move:
    """A part as it was and as it is, with the number by which its two places are known."""

    number: int
    old: Part
    new: Part


def moves_between(gone: Sequence[Part], come: Sequence[Part]) -> dict[int, Move]:
    """Return the moves among the parts that have no counterpart, by the identity of either part."""
    before = _only_ones(gone)
    found: dict[int, Move] = {}
    for key, new in _only_ones(come).items():
        old = before.get(key)
        if old is not None and _can_move(old, new):
            move = Move(len(found) // 2 + 1, old, new)
            found |= {id(old): move, id(new): move}
    return found


def _only_ones(parts: Iterable[Part]) -> dict[Hashable, Part]:
    """Return the parts that are the only ones of their name or words, in order."""
    found: dict[Hashable, Part] = {}
    twice: set[Hashable] = set()
    for part in parts:
        key = _known_by(part)
        twice.update([key] if key in found else [])
        found[key] = part
    return {key: part for key, part in found.items() if key and key not in twice}


def _known_by(part: Part) -> Hashable:
    if named := name(part):
        return named
    words = tuple(texts(part))
    return (type(part), words) if len(" ".join(words).split()) >= _FEWEST_WORDS else ()


def _can_move(old: Part, new: Part) -> bool:
    if isinstance(old, Row) and isinstance(new, Row):
        return len(old.cells) == len(new.cells)
    if isinstance(old, ListItem) and isinstance(new, ListItem) and not len(old.blocks) == len(new.blocks) == 1:
        return False
    return can_be_marked_inside(old, new)


# ---- the two places -----------------------------------------------------------------------------------


def new_place(both: P) -> P:
    """Return a part that holds both sides' words without what was taken out."""
    kept: P = _Side(DELETED, BLOCK_DELETED, "").of(both)
    return kept


def old_place(both: P, prefix: str) -> P:
    """Return a part that holds both sides' words without what was put in; its ids begin with a prefix."""
    kept: P = _Side(INSERTED, BLOCK_INSERTED, prefix).of(both)
    return kept


class _Side:
    """Leaves out what stands under one kind of mark."""

    def __init__(self, mark: str, block_mark: str, prefix: str) -> None:
        self._mark, self._block_mark, self._prefix = mark, block_mark, prefix
        self._words = re.compile(f"{mark}[^{mark}{END}]*{END}")

    def of(self, value: Any) -> Any:
        if isinstance(value, str):
            kept = self._words.sub("", value)
            return "" if kept == TYPED else kept
        if isinstance(value, tuple):
            return tuple(self._inside(value))
        if isinstance(value, Reference) and self._prefix:
            return Text(value.text or value.target)  # what it leads to may be gone
        if not is_dataclass(value) or isinstance(value, type):
            return value
        changed: dict[str, Any] = {
            one.name: self.of(inner)
            for one in fields(value)
            if isinstance(inner := getattr(value, one.name), str | tuple)
        }
        is_mark = MARK.fullmatch(_alone(value)) is not None
        if "id" in changed and not is_mark:
            changed["id"] = self._prefix + str(changed["id"]).removeprefix(self._prefix)
        return replace(value, **changed)

    def _inside(self, values: tuple[Any, ...]) -> Iterable[Any]:
        until = ""
        for value in values:
            alone = _alone(value)
            if until:
                until = "" if alone == until else until
            elif alone == self._mark:
                until = END
            elif alone == self._block_mark:
                until = BLOCK_END
            elif not _first_text(value).startswith(self._block_mark):
                yield self.of(value)


def _alone(value: Any) -> str:
    """Return the words of what may be nothing but a mark."""
    if isinstance(value, Paragraph) and len(value.children) == 1:
        value = value.children[0]
    return value.text if isinstance(value, Text) else ""


def _first_text(value: Any) -> str:
    """Return how a row, an item or a line begins: there stands the mark of the whole of it."""
    match value:
        case str():
            return value
        case Text():
            return value.text
        case Row() if value.cells:
            return _first_text(value.cells[0].children)
        case ListItem() if value.blocks:
            return _first_text(value.blocks[0])
        case Paragraph():
            return _first_text(value.children)
        case (first, *_):
            return _first_text(first)
        case _:
            return ""
