"""What a value of our own data or of a pack of rules is: a text, a day, yes or no, a whole number, a list …

The files hold plain texts; whoever reads a value names its type here, so nothing is guessed from how it looks. The
list of types is closed. A value of another type is refused with its place.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from importlib.resources.abc import Traversable
from typing import Any, TypeVar

from progdoc.core.errors import ResourceError
from progdoc.model.yaml.yaml_file import Bounds, read_file
from progdoc.model.yaml.yaml_tree import Node

__all__ = [
    "ShapeError",
    "day_of",
    "entries_of",
    "group_of",
    "line_of",
    "plain_of",
    "read_shipped",
    "text_of",
    "texts_of",
    "whole_of",
    "yes_or_no_of",
]

T = TypeVar("T")

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_WHOLE = re.compile(r"\d{1,9}", re.ASCII)


class ShapeError(Exception):
    """A value is of another type than its reader asks for."""

    def __init__(self, node: Node, wanted: str, fix: str) -> None:
        self.node, self.wanted, self.fix = node, wanted, fix
        super().__init__(f"{self.found} is not {wanted}")

    @property
    def found(self) -> str:
        content = self.node.content
        if isinstance(content, str):
            return f"“{content}”"
        return "nothing" if content is None else "a list" if isinstance(content, list) else "a group of keys"


def text_of(node: Node) -> str:
    """Return a text as it was typed."""
    if isinstance(node.content, str):
        return node.content
    raise ShapeError(node, "one text", "Write one text after the colon.")


def line_of(node: Node) -> str:
    """Return a text on one line, however it was broken in the file."""
    return " ".join(text_of(node).split())


def day_of(node: Node) -> date:
    """Return a day written year first."""
    text = text_of(node)
    try:
        if _DAY.fullmatch(text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise ShapeError(node, "a day", "Write it as 2026-01-31.")


def whole_of(node: Node) -> int:
    """Return a whole number, 0 or more."""
    text = text_of(node)
    if _WHOLE.fullmatch(text):
        return int(text)
    raise ShapeError(node, "a whole number", "Write digits only.")


def yes_or_no_of(node: Node) -> bool:
    """Return whether yes is said."""
    if node.content not in ("yes", "no"):
        raise ShapeError(node, "yes or no", "Write yes or no.")
    return node.content == "yes"


def entries_of(node: Node) -> list[Node]:
    """Return the entries of a list; none where nothing is said."""
    if node.content is None:
        return []
    if isinstance(node.content, list):
        return node.content
    raise ShapeError(node, "a list", "Write one entry a line, each after `- `.")


def texts_of(node: Node) -> tuple[str, ...]:
    """Return the texts of a list."""
    return tuple(map(text_of, entries_of(node)))


def group_of(node: Node) -> dict[str, Node]:
    """Return the values of a group by their keys."""
    if isinstance(node.content, dict):
        return node.content
    raise ShapeError(node, "a group of keys", "Write `key: value`, one a line.")


def plain_of(node: Node, kinds: Mapping[str, Callable[[Node], Any]], key: str = "") -> Any:
    """Return lists and groups as they stand; of the keys in `kinds`, at any depth, what their reader makes of them."""
    if key in kinds:
        return kinds[key](node)
    if isinstance(node.content, dict):
        return {name: plain_of(inner, kinds, name) for name, inner in node.content.items()}
    if isinstance(node.content, list):
        return [plain_of(inner, kinds) for inner in node.content]
    return node.content


def read_shipped(file: Traversable, read: Callable[[dict[str, Node]], T]) -> T:
    """Return what `read` makes of a file that ships with progdoc; what is wrong with it is for us to mend."""
    tree = read_file(file, file.name, Bounds())
    if tree.diagnostics:
        raise ResourceError("; ".join(f"{fault.location}: {fault.what}" for fault in tree.diagnostics))
    try:
        return read(tree.top)
    except ShapeError as wrong:
        raise ResourceError(f"{file.name}:{wrong.node.line}:{wrong.node.column}: {wrong}") from wrong
    except KeyError as missing:
        raise ResourceError(f"{file.name}: {missing} is missing") from missing
