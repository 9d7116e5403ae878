"""Bookmarks: the names under which Word finds a node of the tree.

A name has at most 40 characters, letters, digits and underscores, and Word does not tell capitals apart.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from hashlib import sha256
from itertools import count

from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Document,
    Emphasis,
    Figure,
    Inline,
    Link,
    Listing,
    Notice,
    Paragraph,
    Reference,
    Section,
    Strong,
    Table,
)

__all__ = ["Bookmarks", "bookmark_name"]

_LONGEST = 40
_HASH_LENGTH = 8


class Bookmarks:
    """The bookmarks of one document: on sections, answers, captioned tables and figures, and what is referred to."""

    def __init__(self, document: Document) -> None:
        targets = set(_targets(document.blocks)).intersection(_ids(document.blocks))
        wanted = targets.union(_headed(document.blocks))
        self._names: dict[str, str] = {}
        taken: set[str] = set()
        for node_id in sorted(wanted):
            self._names[node_id] = _free_name(node_id, taken)
            taken.add(self._names[node_id].lower())
        self._numbers = count(1)
        self._placed: set[str] = set()

    def name(self, node_id: str) -> str:
        """Return the bookmark's name, or nothing where nobody refers to the node."""
        return self._names.get(node_id, "")

    def around(self, node_id: str, content: str = "") -> str:
        """Return the content between the bookmark's ends; without a bookmark, as it is."""
        name = self.name(node_id)
        if not name or name in self._placed:
            return content
        self._placed.add(name)
        number = next(self._numbers)
        return f'<w:bookmarkStart w:id="{number}" w:name="{name}"/>{content}<w:bookmarkEnd w:id="{number}"/>'


def bookmark_name(node_id: str) -> str:
    """Return the name of a node's bookmark, which a document beside this one may link to.

    >>> bookmark_name("fit-testing.when")
    'n_fit_testing_when'
    """
    plain = _plain(node_id)
    return plain if len(plain) <= _LONGEST else _told_apart(node_id)


def _free_name(node_id: str, taken: set[str]) -> str:
    name = bookmark_name(node_id)
    return name if name.lower() not in taken else _told_apart(node_id)


def _plain(node_id: str) -> str:
    return "n_" + re.sub(r"[^A-Za-z0-9]+", "_", node_id)


def _told_apart(node_id: str) -> str:
    mark = sha256(node_id.encode()).hexdigest()[:_HASH_LENGTH]
    return f"{_plain(node_id)[: _LONGEST - _HASH_LENGTH - 1]}_{mark}"


def _inner(block: Block) -> tuple[Block, ...]:
    match block:
        case Section() | Answer() | Notice():
            return block.blocks
        case Listing():
            return tuple(inner for item in block.items for inner in item.blocks)
        case _:
            return ()


def _headed(blocks: tuple[Block, ...]) -> Iterator[str]:
    for block in blocks:
        if isinstance(block, Section | Answer) or (isinstance(block, Table | Figure) and block.caption):
            yield block.id
        yield from _headed(_inner(block))


def _ids(blocks: tuple[Block, ...]) -> Iterator[str]:
    for block in blocks:
        yield block.id
        if isinstance(block, Table):
            yield from (row.id for row in block.rows)
        if isinstance(block, Listing):
            yield from (item.id for item in block.items)
        yield from _ids(_inner(block))


def _targets(blocks: tuple[Block, ...]) -> Iterator[str]:
    for block in blocks:
        match block:
            case Paragraph():
                yield from _targets_of_words(block.children)
            case Table():
                for row in block.rows:
                    for cell in row.cells:
                        yield from _targets_of_words(cell.children)
            case _:
                yield from _targets(_inner(block))


def _targets_of_words(children: tuple[Inline, ...]) -> Iterator[str]:
    for child in children:
        match child:
            case Reference() if not child.document:
                yield child.target
            case Link() if child.href.startswith("#"):
                yield child.href[1:]
            case Strong() | Emphasis() | Link():
                yield from _targets_of_words(child.children)
            case _:
                pass
