"""What stands in the head of a page: its name, what it may do, and how it looks, the firm's own look last."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from progdoc.core.paper_language import ENGLISH, language_of
from progdoc.document.tree.nodes import Document
from progdoc.model.description.program import Paper
from progdoc.writers.html_saving import script_source
from progdoc.writers.html_words import escape
from progdoc.writers.own_stylesheet import sets_colours
from progdoc.writers.wording import draft_word, identity, page_words, revision_words

__all__ = ["page_head"]

# Nothing may run and nothing may be fetched, whatever a template or a drawing brings in.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"

# What says that a document is a draft, or that somebody may be hurt, shows whatever a firm's own stylesheet says: what
# is important in the first layer goes before all that is elsewhere (W3C, CSS Cascading and Inheritance 5, 6.4.3).
_SEEN = "visibility: visible !important; opacity: 1 !important"
_KEPT_IN_SIGHT = (
    f"@layer kept-in-sight {{ .banner, .open-point, .notice {{ display: block !important; {_SEEN} }} "
    f"@media print {{ .watermark {{ display: block !important; {_SEEN} }} }} }}"
)

# Which of the stylesheet's colours each of the firm's is. Those of the first line it makes lighter by itself at night;
# the others hold on paper and by day.
_AT_ALL_HOURS = {"accent": "accent-ink", "soft": "soft-ink", "alert": "alert-fill"}
_BY_DAY = {"text": "ink", "lines": "rule", "shade": "tint", "alert": "alert"}

# What of the stylesheet is for dark screens.
_BY_NIGHT = "@media screen and (prefers-color-scheme: dark)"
_BOTH, _BY_DAY_ALONE = "color-scheme: light dark", "color-scheme: light"

_NOT_PLAIN = re.compile(r"[^\w .,·-]|_")


def page_head(document: Document, stylesheet: str) -> tuple[str, bytes, str]:
    """Return the head of the page: what stands before the stylesheet, it, and what stands after it.

    It is long, and thousands of pages have the same.
    """
    keywords = ", ".join(document.keywords)
    title = " – ".join(part for part in (document.title, document.organisation) if part)
    first, styles, more = _styles(document, stylesheet)
    lines = [
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f'<meta http-equiv="Content-Security-Policy" content="{escape(_policy(document))}">',
        f"<title>{escape(title)}</title>",
        f'<meta name="description" content="{escape(identity(document))}">',
        *([f'<meta name="keywords" content="{escape(keywords)}">'] if keywords else []),
        "<style>",
        *first,
    ]
    return "\n".join(lines), _safe_bytes(styles.strip()), "\n".join((*map(_safe, more), "</style>", "</head>"))


def _policy(document: Document) -> str:
    return f"{_POLICY}; script-src {script_source(document)}" if document.saves_as else _POLICY


def _styles(document: Document, stylesheet: str) -> tuple[list[str], str, list[str]]:
    """Return all rules for the page: those before the stylesheet, it, and those after it, the firm's own last."""
    look = document.look
    always, by_day = (_set_colours(look.colours, names) for names in (_AT_ALL_HOURS, _BY_DAY))
    day = f"@media print, (prefers-color-scheme: light) {{ {by_day} }}" if by_day else ""
    if sets_colours(look.stylesheet):  # they are chosen for white paper, and could not be read on a dark screen
        stylesheet, day = stylesheet.replace(_BY_NIGHT, "@media not all").replace(_BOTH, _BY_DAY_ALONE), by_day
    own = (always, day, look.stylesheet.strip())
    first = [_KEPT_IN_SIGHT] if look.stylesheet.strip() else []
    return first, stylesheet, [_page_rules(document), *filter(None, own)]


def _set_colours(colours: Mapping[str, str], names: Mapping[str, str]) -> str:
    rules = "".join(f" --{names[name]}: {colour};" for name, colour in sorted(colours.items()) if name in names)
    return f":root {{{rules} }}" if rules else ""


def _safe(css: str) -> str:
    """Return the CSS such that nothing in it can end the style element."""
    return css.replace("</", "<\\/")


@lru_cache(maxsize=4)
def _safe_bytes(css: str) -> bytes:
    return _safe(css).encode()


def _page_rules(document: Document) -> str:
    """Return the rules that only this document knows: paper, and what stands at the edge of each sheet."""
    size = "A4" if document.paper == Paper.A4 else "letter"
    draft = _css_string(draft_word(document) if document.draft else "")
    look = document.look
    head = _css_string(" · ".join(part for part in (look.header or document.organisation, document.title) if part))
    revision = f"{revision_words(document)} · " if document.revision else ""
    foot = _css_string(f"{revision}{language_of(document.language).date(document.as_of)}")
    if look.footer:
        foot = f'{foot} "\\a " {_css_string(look.footer)}; white-space: pre'
    ink = f" color: {look.colours['soft']};" if "soft" in look.colours else ""
    return (
        f"@page {{ size: {size};{ink} @top-left {{ content: {head}; }} @top-right {{ content: {draft}; }} "
        f"@bottom-left {{ content: {foot}; }}{_page_count(document)} }}"
    )


def _page_count(document: Document) -> str:
    """Return how many pages there are, where the stylesheet does not say it: it says it in English."""
    if document.language == ENGLISH.tag:
        return ""
    page, of = (_css_string(word) for word in page_words(document))
    return f' @bottom-right {{ content: {page} " " counter(page) " " {of} " " counter(pages); }}'


def _css_string(text: str) -> str:
    """Return the text as a CSS string; all but letters, digits and a little else as code points."""
    safe = _NOT_PLAIN.sub(lambda found: f"\\{ord(found[0]):x} ", text)
    return f'"{safe}"'
