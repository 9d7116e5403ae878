"""Words of the tree → runs, links and references."""

from __future__ import annotations

from typing import assert_never

from progdoc.document.tree.nodes import (
    CitationMark,
    Emphasis,
    FormField,
    Inline,
    LineBreak,
    Link,
    Reference,
    Strong,
    Text,
)
from progdoc.writers.allowed_links import is_allowed_href
from progdoc.writers.docx.bookmarks import bookmark_name
from progdoc.writers.docx.content_controls import content_control
from progdoc.writers.docx.word_text import attribute, page_field, run
from progdoc.writers.docx.writing import Writing
from progdoc.writers.wording import PAGE_AFTER, PAGE_BEFORE

__all__ = ["inlines", "linked"]

_PLAIN: frozenset[str] = frozenset()
_BOLD = "<w:b/><w:bCs/>"
_ITALIC = "<w:i/><w:iCs/>"


def inlines(children: tuple[Inline, ...], writing: Writing) -> str:
    """Return the runs of these words."""
    if len(children) == 1:  # so is nearly every cell
        return _inline(children[0], writing, _PLAIN, "")
    return "".join([_inline(child, writing, _PLAIN, "") for child in children])


def linked(href: str, content: str, writing: Writing) -> str:
    """Return the content as a link; as plain content where the address is none that we print."""
    if href.startswith("#"):
        name = writing.bookmarks.name(href[1:])
        return f'<w:hyperlink w:anchor="{name}" w:history="1">{content}</w:hyperlink>' if name else content
    if not is_allowed_href(href):
        return content
    return f'<w:hyperlink r:id="{writing.link(href)}" w:history="1">{content}</w:hyperlink>'


def _inline(node: Inline, writing: Writing, traits: frozenset[str], style: str) -> str:
    """Return a node's runs. `style` is a character style; a link's also says that we are inside a link."""
    match node:
        case Text():
            return run(node.text, _look(traits, style) + _tongue(node.language))
        case FormField():
            return content_control(node, next(writing.controls))
        case Strong():
            return _all(node.children, writing, traits | {"strong"}, style)
        case Emphasis():
            return _all(node.children, writing, traits | {"emphasis"}, style)
        case Link():
            if style or not (node.href.startswith("#") or is_allowed_href(node.href)):
                return _all(node.children, writing, traits, style)
            return linked(node.href, _all(node.children, writing, traits, "Hyperlink"), writing)
        case Reference():
            text = node.text or node.target
            if node.document and not style:
                return linked(
                    f"{node.document}.docx#{bookmark_name(node.target)}", run(text, _look(traits, "Hyperlink")), writing
                )
            if style or not writing.bookmarks.name(node.target):
                return run(text, _look(traits, style))
            words = linked(f"#{node.target}", run(text, _look(traits, "InternalReference")), writing)
            if not (node.has_page and writing.has_pages):
                return words
            page = page_field(writing.bookmarks.name(node.target), _look(traits, ""))
            return words + run(PAGE_BEFORE) + page + run(PAGE_AFTER)
        case CitationMark():
            return run(f" [{node.text}]", _look(traits, "Citation")) if writing.shows_citations else ""
        case LineBreak():
            return "<w:r><w:br/></w:r>"
        case _:
            assert_never(node)


def _all(children: tuple[Inline, ...], writing: Writing, traits: frozenset[str], style: str) -> str:
    return "".join(_inline(child, writing, traits, style) for child in children)


def _tongue(language: str) -> str:
    return f'<w:lang w:val="{attribute(language)}"/>' if language else ""


def _look(traits: frozenset[str], style: str) -> str:
    named = f'<w:rStyle w:val="{style}"/>' if style else ""
    return f"{named}{_BOLD if 'strong' in traits else ''}{_ITALIC if 'emphasis' in traits else ''}"
