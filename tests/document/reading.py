"""Ways to look at a document's tree that several tests share."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.nodes import Document, Emphasis, Link, Paragraph, Section, Strong, Text
from progdoc.rules.judged.result import Judged

__all__ = ["nodes", "of_type", "program_of", "section_ids", "words"]


def program_of(judged: Judged) -> Document:
    return written_program(judged, shipped_templates()).program


def nodes(node: Any) -> Iterator[Any]:
    """Yield a node and everything in it, in reading order."""
    left = [node]
    while left:
        one = left.pop()
        if isinstance(one, tuple):
            left += one[::-1]
        elif (names := _fields_backwards(type(one))) is not None:
            yield one
            left += [getattr(one, name) for name in names]


@cache
def _fields_backwards(kind: type) -> tuple[str, ...] | None:
    return tuple(field.name for field in fields(kind))[::-1] if is_dataclass(kind) else None


def of_type(node: Any, kind: type) -> list[Any]:
    return [one for one in nodes(node) if isinstance(one, kind)]


def section_ids(document: Document) -> list[str]:
    return [section.id for section in of_type(document.blocks, Section)]


def words(node: Any) -> str:
    """Return what a reader reads of a paragraph, without citations."""
    children = node.children if isinstance(node, Paragraph | Strong | Emphasis | Link) else (node,)
    return "".join(
        child.text if isinstance(child, Text) else words(child) if hasattr(child, "children") else ""
        for child in children
    )
