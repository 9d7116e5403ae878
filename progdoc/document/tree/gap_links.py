"""Points a document's open points to the gap report of its own format: a web page to a web page."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any

from progdoc.document.tree.nodes import Document, OpenPoint

__all__ = ["linked_to"]


def linked_to(document: Document, ending: str, folder: str = "") -> Document:
    """Return the document with every link to "gaps#CODE" led to "gaps.ENDING#CODE" in a folder, "../"."""
    return replace(document, blocks=tuple(_linked(block, ending, folder) for block in document.blocks))


def _linked(node: Any, ending: str, folder: str) -> Any:
    if isinstance(node, OpenPoint):
        name, _, anchor = node.href.partition("#")
        return replace(node, href=f"{folder}{name}.{ending}#{anchor}")
    if not is_dataclass(node) or isinstance(node, type):
        return node
    changed: dict[str, Any] = {}
    for item in fields(node):
        if item.name in ("blocks", "items"):
            old = getattr(node, item.name)
            new = tuple(_linked(part, ending, folder) for part in old)
            if any(a is not b for a, b in zip(old, new, strict=True)):
                changed[item.name] = new
    return replace(node, **changed) if changed else node
