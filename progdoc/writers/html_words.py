"""Words as HTML text, links and controls."""

from __future__ import annotations

import html
import re
from typing import assert_never

from progdoc.document.tree.nodes import (
    CitationMark,
    Emphasis,
    FieldKind,
    FormField,
    Inline,
    LineBreak,
    Link,
    Reference,
    Strong,
    Text,
)
from progdoc.writers.allowed_links import is_allowed_href

__all__ = ["escape", "inline"]

_SHORT_CITATION = 40  # characters, that stay together in a line of a telephone
_NEEDS_CARE = re.compile("[&<>\"']").search


def escape(text: str, quote: bool = True) -> str:
    """Return what `html.escape` does, most texts as they are at a look: a page has a hundred thousand of them.

    >>> escape("a & b"), escape("half mask")
    ('a &amp; b', 'half mask')
    """
    return text if _NEEDS_CARE(text) is None else html.escape(text, quote)


def inline(children: tuple[Inline, ...], shows: bool) -> str:
    """Return words, marked up; `shows`: citations are printed."""
    if len(children) == 1 and type(only := children[0]) is Text and not only.language:  # so is nearly every cell
        return only.text if _NEEDS_CARE(only.text) is None else html.escape(only.text, quote=False)
    return "".join([_words(child, shows) for child in children])


def _words(node: Inline, shows: bool) -> str:
    match node:
        case Text():
            words = escape(node.text, quote=False)
            return f'<span lang="{escape(node.language)}">{words}</span>' if node.language else words
        case Strong():
            return f"<strong>{inline(node.children, shows)}</strong>"
        case Emphasis():
            return f"<em>{inline(node.children, shows)}</em>"
        case Link():
            words = inline(node.children, shows)
            can_link = is_allowed_href(node.href) and "<a " not in words  # a link can't hold a link
            return f'<a href="{escape(node.href)}">{words}</a>' if can_link else words
        case Reference():
            return f'<a href="{escape(node.address("html"))}">{escape(node.text or node.target, quote=False)}</a>'
        case CitationMark():
            kind = "cite" if len(node.text) < _SHORT_CITATION else "cite long"
            return f' <span class="{kind}">[{escape(node.text, quote=False)}]</span>' if shows else ""
        case LineBreak():
            return "<br>"
        case FormField():
            return _field(node)
        case _:
            assert_never(node)


def _field(node: FormField) -> str:
    """Return a control that works without script and that a pen can fill in too."""
    named = f'name="{escape(node.id)}" aria-label="{escape(node.label)}"'
    common = f'class="fill" id="{escape(node.id)}" {named} autocomplete="off"'
    match node.kind:
        case FieldKind.LINE:
            return f'<input type="text" {common} value="{escape(node.value)}">'
        case FieldKind.DATE:  # "required" lets the stylesheet tell an empty date from a given one
            return f'<input type="date" {common} value="{escape(node.value)}" required>'
        case FieldKind.LINES:
            return f'<textarea {common} rows="{node.lines}">\n{escape(node.value)}</textarea>'
        case FieldKind.BOX:
            return f'<input type="checkbox" id="{escape(node.id)}" {named}{" checked" if node.value else ""}>'
        case FieldKind.CHOICE:
            choices = "".join(
                f'<label><input type="radio" name="{escape(node.id)}" value="{escape(choice)}"'
                f"{' checked' if choice == node.value else ''}> {escape(choice, quote=False)}</label> "
                for choice in node.choices
            )
            group = f'role="radiogroup" aria-label="{escape(node.label)}"'
            return f'<span class="choices" id="{escape(node.id)}" {group}>{choices.rstrip()}</span>'
        case _:
            assert_never(node.kind)
