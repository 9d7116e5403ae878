"""A marked tree as a web page: what was taken out stands in `del`, what was put in in `ins`, what moved in both.

Told apart without colour: deleted words are struck through, inserted ones underlined twice, what moved has a dashed
line at its side and a link to its other place; and a screen reader is told where each begins and ends.
"""

from __future__ import annotations

import re
from dataclasses import replace
from html import escape

from progdoc.comparison.marks import (
    BLOCK_DELETED,
    BLOCK_END,
    BLOCK_INSERTED,
    BLOCK_MOVED_FROM,
    BLOCK_MOVED_TO,
    DELETED,
    END,
    INSERTED,
    MARK,
    MARK_BEGINS,
    TYPED,
    move_number,
    new_text,
)
from progdoc.document.tree.nodes import Document
from progdoc.writers.html import html_bytes

__all__ = ["redline_html"]

_TAGS = {INSERTED: "ins", BLOCK_INSERTED: "ins", DELETED: "del", BLOCK_DELETED: "del"}
_MOVES = {BLOCK_MOVED_FROM: ("del", "from", "to"), BLOCK_MOVED_TO: ("ins", "to", "from")}
_LONE = re.compile(f'<p id="redline--\\d+">({MARK.pattern})</p>')
_TAG_WITH_MARK = re.compile(rf"<[^<>{MARK_BEGINS}]*[{MARK_BEGINS}][^<>]*>")
_TITLE_LINES = re.compile(r'<dl class="control">.*?</dl>', re.DOTALL)
_STYLE = """
ins { text-decoration: underline double; text-underline-offset: 0.15em; background: #e7f2e4; color: inherit; }
del { text-decoration: line-through; background: #f7e6e4; color: inherit; }
ins > *, del > * { text-decoration: inherit; }
ins > section, ins > table, ins > ul, ins > ol, ins > div { border-left: 4px double; padding-left: 0.5em; }
del > section, del > table, del > ul, del > ol, del > div { border-left: 4px dotted; padding-left: 0.5em; }
@media screen and (prefers-color-scheme: dark) { ins { background: #1d3320; } del { background: #46221d; } }
ins::before, ins::after, del::before, del::after {
  position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
ins.moved, del.moved { background: none; border-left: 4px dashed; padding-left: 0.5em; }
del.moved { text-decoration: line-through dotted; } ins.moved { text-decoration: underline dashed; }
.moved > section, .moved > table, .moved > ul, .moved > ol, .moved > div { border-left-style: dashed; }
a.moved { display: inline-block; text-decoration: none; font-size: smaller; }
a.moved::before { content: "moved, see the other place \\2195"; }
ins::before { content: " [put in: "; } ins::after { content: "] "; }
del::before { content: " [taken out: "; } del::after { content: "] "; }
ins.moved::before { content: " [moved to here: "; } del.moved::before { content: " [moved from here: "; }
"""


def redline_html(tree: Document, stylesheet: str) -> bytes:
    """Return the redline as a self-contained HTML file.

    Parameters
    ----------
    tree
        What `redline.redline_tree` made of two documents.
    stylesheet
        CSS for screen and print, `style.css` of the templates.
    """
    named = replace(tree, title=new_text(tree.title), organisation=new_text(tree.organisation))
    page = html_bytes(named, stylesheet + _STYLE).decode("utf-8")
    page = _TITLE_LINES.sub("", page, count=1)
    for before, words, after in (("<h1>", tree.title, "</h1>"), ('<p class="employer">', tree.organisation, "</p>")):
        page = page.replace(before + escape(new_text(words)) + after, before + escape(words) + after, 1)
    page = _TAG_WITH_MARK.sub(lambda tag: new_text(tag[0]), page)
    return _with_tags(_LONE.sub(r"\1", page)).encode("utf-8")


def _with_tags(page: str) -> str:
    """Put a tag in place of every mark; each end belongs to the last begun."""
    are_open: list[str] = []
    placed: set[str] = set()

    def tag(mark: re.Match[str]) -> str:
        if mark[0] == TYPED:
            return ""
        if mark[0] in (END, BLOCK_END):
            return f"</{are_open.pop()}>"
        move = _MOVES.get(mark[0][0])
        are_open.append(move[0] if move else _TAGS[mark[0]])
        if move is None:
            return f"<{are_open[-1]}>"
        is_placed = mark[0] in placed
        placed.add(mark[0])
        return _moved(move, move_number(mark[0]), is_placed)

    return MARK.sub(tag, page)


def _moved(move: tuple[str, str, str], number: int, is_placed: bool) -> str:
    """Return the beginning of one place of a move; the first piece of it has a name, and leads to the other place."""
    tag, here, there = move
    if is_placed:
        return f'<{tag} class="moved">'
    told = f'<a class="moved" href="#move-{number}-{there}" aria-label="to where it moved {there}"></a>'
    return f'<{tag} class="moved" id="move-{number}-{here}">{told}'
