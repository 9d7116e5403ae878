"""Entries of a long list as numbers and texts: of a thousand people hardly a place is ever asked for again.

What a node holds is made from them when somebody walks into it. Entries of one shape (the same names in the same
order) share it, and a node of theirs takes eight bytes in place of a hundred.
"""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from typing import Any, NamedTuple

from progdoc.model.yaml.yaml_tree import Content, Node

__all__ = ["packed"]

_FEW = 50  # entries, which may stay as they are
_MOST_IN_TWO_BYTES = 0xFFFF
_OF_A_NODE = 4  # numbers: line and column, line and column of its name; lines from that of the entry on


class _Shape(NamedTuple):
    """What is alike of many entries: the names in it, or None for a list or a text, and how its parts are made."""

    names: dict[str, int] | None
    parts: tuple[_Shape, ...] | None  # None for a text
    starts: tuple[tuple[int, int], ...]  # of each part: where its numbers begin, and its texts


_TEXT = _Shape(None, None, ())


class _Packed(Node):
    """A node of which only the place is at hand."""

    __slots__ = ("_from", "_numbers", "_shape", "_texts", "_top")

    def __init__(
        self,
        place: tuple[int, int, int, int],
        file: str,
        shape: _Shape,
        numbers: array[int],
        texts: tuple[str | None, ...],
        start: tuple[int, int],
        top: int,
    ) -> None:
        self.line, self.column, self.key_line, self.key_column = place
        self.file = file
        self._shape, self._numbers, self._texts, self._from, self._top = shape, numbers, texts, start, top

    @property
    def content(self) -> Content:  # type: ignore[override]  # nobody writes to a node that was read
        shape = self._shape
        if shape.parts is None:
            return self._texts[self._from[1]]
        nodes = [self._part(index) for index in range(len(shape.parts))]
        return nodes if shape.names is None else dict(zip(shape.names, nodes, strict=True))

    def part(self, name: str | int) -> Node | None:
        shape = self._shape
        if isinstance(name, str):
            index = None if shape.names is None else shape.names.get(name)
        else:
            index = name if shape.names is None and name < len(shape.starts) else None
        return None if index is None else self._part(index)

    def _part(self, index: int) -> Node:
        shape, numbers, top = self._shape, self._numbers, self._top
        (at, text), parts = shape.starts[index], shape.parts or ()
        at, text = at + self._from[0], text + self._from[1]
        line, column, key_line, key_column = numbers[at : at + _OF_A_NODE]
        place = (top + line, column, top + key_line, key_column)
        return _Packed(place, "", parts[index], numbers, self._texts, (at + _OF_A_NODE, text), top)


def packed(node: Node) -> Node:
    """Return the same node, its entries packed where they are many and all of one file."""
    entries = node.content
    if not isinstance(entries, list) or len(entries) <= _FEW:
        return node
    shapes: dict[Any, _Shape] = {}
    kept = [_pack(entry, shapes) if isinstance(entry.content, dict) else entry for entry in entries]
    return Node(kept, node.line, node.column, node.key_line, node.key_column, node.file)


def _pack(entry: Node, shapes: dict[Any, _Shape]) -> Node:
    numbers: list[int] = []
    texts: list[str | None] = []
    shape = _shape_of(entry, entry.line, numbers, texts, shapes)
    if shape is None or min(numbers, default=0) < 0:
        return entry
    size = "H" if max(numbers, default=0) <= _MOST_IN_TWO_BYTES else "L"
    place = (entry.line, entry.column, entry.key_line, entry.key_column)
    return _Packed(place, entry.file, shape, array(size, numbers), tuple(texts), (0, 0), entry.line)


def _shape_of(
    node: Node, top: int, numbers: list[int], texts: list[str | None], shapes: dict[Any, _Shape]
) -> _Shape | None:
    """Return the shape of what a node holds, and add its numbers and texts; None where it can't be packed."""
    content = node.content
    if content is None or isinstance(content, str):
        texts.append(content)
        return _TEXT
    inner: Sequence[Node] = list(content.values()) if isinstance(content, dict) else content
    before = len(numbers), len(texts)
    parts, starts = [], []
    for one in inner:
        if one.file:
            return None
        starts.append((len(numbers) - before[0], len(texts) - before[1]))
        numbers += (one.line - top, one.column, one.key_line - top, one.key_column)
        shape = _shape_of(one, top, numbers, texts, shapes)
        if shape is None:
            return None
        parts.append(shape)
    names = tuple(content) if isinstance(content, dict) else None
    key = (names, *map(id, parts))
    if key not in shapes:
        by_name = None if names is None else {name: index for index, name in enumerate(names)}
        shapes[key] = _Shape(by_name, tuple(parts), tuple(starts))
    return shapes[key]
