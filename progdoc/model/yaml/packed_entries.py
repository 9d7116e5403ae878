"""Entries of a long list as numbers and texts: of a thousand people hardly a place is ever asked for again.

What a node holds is made from them when somebody walks into it. Entries of one shape (the same names in the same
order) share it, and a node of theirs takes eight bytes in place of a hundred.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterator
from typing import Any

from progdoc.model.yaml.yaml_tree import Content, Node

__all__ = ["packed"]

_FEW = 50  # entries, which may stay as they are
_MOST_IN_TWO_BYTES = 0xFFFF
_TEXT, _LIST = object(), object()  # what a shape says of a node: a text, a list of shapes, or names with their shapes
_Shape = Any


class _Packed(Node):
    """A node of which only the place is at hand."""

    __slots__ = ("_numbers", "_shape", "_texts")

    def __init__(self, node: Node, shape: _Shape, numbers: array[int], texts: tuple[str | None, ...]) -> None:
        self.line, self.column, self.file = node.line, node.column, node.file
        self.key_line, self.key_column = node.key_line, node.key_column
        self._shape, self._numbers, self._texts = shape, numbers, texts

    @property
    def content(self) -> Content:  # type: ignore[override]  # nobody writes to a node that was read
        return _content(self._shape, iter(self._numbers), iter(self._texts), self.line)


def packed(node: Node) -> Node:
    """Return the same node, its entries packed where they are many and all of one file."""
    entries = node.content
    if not isinstance(entries, list) or len(entries) <= _FEW:
        return node
    shapes: dict[_Shape, _Shape] = {}
    kept = [_pack(entry, shapes) if isinstance(entry.content, dict) else entry for entry in entries]
    return Node(kept, node.line, node.column, node.key_line, node.key_column, node.file)


def _pack(entry: Node, shapes: dict[_Shape, _Shape]) -> Node:
    numbers: list[int] = []
    texts: list[str | None] = []
    shape = _shape_of(entry, entry.line, numbers, texts, shapes)
    if shape is None or min(numbers, default=0) < 0:
        return entry
    size = "H" if max(numbers, default=0) <= _MOST_IN_TWO_BYTES else "L"
    return _Packed(entry, shape, array(size, numbers), tuple(texts))


def _shape_of(
    node: Node, line: int, numbers: list[int], texts: list[str | None], shapes: dict[_Shape, _Shape]
) -> _Shape | None:
    """Return the shape of what a node holds, and add its numbers, lines from one on, and its texts."""
    content = node.content
    if isinstance(content, dict):
        names: _Shape = tuple(content)
        inner: Any = content.values()
    elif isinstance(content, list):
        names, inner = _LIST, content
    else:
        texts.append(content)
        return _TEXT
    found = []
    for one in inner:
        if one.file:
            return None
        numbers += (one.line - line, one.column, one.key_line - line, one.key_column)
        shape = _shape_of(one, line, numbers, texts, shapes)
        if shape is None:
            return None
        found.append(shape)
    made = (names, tuple(found))
    return shapes.setdefault(made, made)


def _content(shape: _Shape, numbers: Iterator[int], texts: Iterator[str | None], line: int) -> Content:
    if shape is _TEXT:
        return next(texts)
    names, inner = shape
    nodes = []
    for one in inner:
        at, column, key_at, key_column = next(numbers), next(numbers), next(numbers), next(numbers)
        nodes.append(Node(_content(one, numbers, texts, line), line + at, column, line + key_at, key_column))
    return nodes if names is _LIST else dict(zip(names, nodes, strict=True))
