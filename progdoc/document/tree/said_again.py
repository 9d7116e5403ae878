"""A tree of English words said again in the language of its document.

Blocks are made in English. Where their words are `Said` they carry along how they are said elsewhere; here they are.
Text with a place in the description is the user's own: it stays as it was written, marked with its language. All other
plain text stands as it is: a template or a block has said it in the language already.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any, TypeVar

from progdoc.core.paper_language import Language
from progdoc.core.said import Said
from progdoc.document.tree.nodes import Text
from progdoc.document.tree.spoken_text import plain, spoken

__all__ = ["said_again"]

T = TypeVar("T")


def said_again(node: T, language: Language) -> T:
    """Return a node, or a tuple of them, with its words in a language; English as it is."""
    return _again(node, language) if language.original else node


def _again(node: Any, language: Language) -> Any:
    if isinstance(node, tuple):
        return tuple(_each(node, language))
    if isinstance(node, Said):
        return plain(node.in_language(language))
    if not is_dataclass(node) or isinstance(node, type):
        return node
    changed: dict[str, Any] = {}
    for name in _names(type(node)):
        old = getattr(node, name)
        if isinstance(old, Said | tuple) and (new := _again(old, language)) != old:
            changed[name] = new
    return replace(node, **changed) if changed else node


def _each(nodes: tuple[Any, ...], language: Language) -> Iterator[Any]:
    for node in nodes:
        if not isinstance(node, Text):
            yield _again(node, language)
        elif isinstance(node.text, Said):
            yield from _unmarked(spoken(language, node.text.in_language(language), node.path), language)
        elif node.language == language.tag:
            yield replace(node, language="")
        elif node.path and not node.language:
            yield replace(node, language=language.original)
        else:
            yield node


def _unmarked(texts: Iterable[Text], language: Language) -> Iterator[Text]:
    return (replace(text, language="") if text.language == language.tag else text for text in texts)


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(item.name for item in fields(kind))
