"""What the YAML files that ship with progdoc say, read once when they were written: to start, none is parsed.

`catalogue/trees.jsonl` has a line for each file: the SHA-256 of its bytes, and the tree they make. A tree stands for
these very bytes and no others, so a file that was edited since is parsed like any other, and no answer is ever old.
`python -m progdoc.dev prepare` writes it anew, and a test says when that is due.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from typing import Any

from progdoc.core.kept_lines import kept_line, kept_lines, kept_text
from progdoc.core.resources import catalogue_root
from progdoc.model.yaml.yaml_tree import Content, Node, Tree

__all__ = ["FILE", "lines_of", "tree_read_before"]

FILE = "trees.jsonl"  # in the catalogue


def tree_read_before(content: bytes) -> Tree | None:
    """Return the tree of a file that ships with progdoc, by its bytes; None of any other file."""
    line = kept_text(_lines(), sha256(content).hexdigest())
    if line is None:
        return None
    values, top = json.loads(line)
    return Tree(top=_group(top), values=values)


def lines_of(files: Iterable[tuple[bytes, Tree]]) -> str:
    """Return the lines of files and their trees, in the order given."""
    return "".join(
        kept_line(sha256(content).hexdigest(), json.dumps([tree.values, _packed(tree.top)], **_COMPACT))
        for content, tree in files
    )


_COMPACT: Any = {"ensure_ascii": False, "separators": (",", ":")}


@cache
def _lines() -> dict[str, str]:
    return kept_lines(catalogue_root() / FILE)


def _packed(content: Content) -> Any:
    """Return what a value says as lists, groups and texts; the places of a value stand before it."""
    if isinstance(content, dict):
        return {name: _with_places(node) for name, node in content.items()}
    return [_with_places(node) for node in content] if isinstance(content, list) else content


def _with_places(node: Node) -> list[Any]:
    return [_packed(node.content), node.line, node.column, node.key_line, node.key_column]


def _group(packed: dict[str, list[Any]]) -> dict[str, Node]:
    return {name: _node(*node) for name, node in packed.items()}


def _node(content: Any, line: int, column: int, key_line: int, key_column: int) -> Node:
    if type(content) is dict:
        content = _group(content)
    elif type(content) is list:
        content = [_node(*node) for node in content]
    return Node(content, line, column, key_line, key_column)
