"""A document that lies in a folder of its own, told apart from one of the same name where both are bound together."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any

from progdoc.document.tree.nodes import Document, OpenPoint, Reference

__all__ = ["in_a_folder"]


def in_a_folder(document: Document, folder: str) -> Document:
    """Return a document with the folder in its id; what leads to documents beside it leads to those of the folder."""
    return replace(document, id=f"{folder}.{document.id}", blocks=_inside(document.blocks, folder))


def _inside(node: Any, folder: str) -> Any:
    if isinstance(node, tuple):
        made = tuple(_inside(one, folder) for one in node)
        return made if any(a is not b for a, b in zip(made, node, strict=True)) else node
    if isinstance(node, Reference):
        return replace(node, document=f"{folder}.{node.document}") if node.document else node
    if isinstance(node, OpenPoint):
        return replace(node, href=f"{folder}/{node.href}")
    if not is_dataclass(node) or isinstance(node, type):
        return node
    changed = {
        name: new
        for name in _names(type(node))
        if isinstance(old := getattr(node, name), tuple) and (new := _inside(old, folder)) is not old
    }
    return replace(node, **changed) if changed else node


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(item.name for item in fields(kind))
