"""Writes a document as portable Markdown: headings, lists, pipe tables, quotes, and plain HTML anchors.

Uses only what the common readers of Markdown agree on. Every word of the tree is escaped, so that what a
user typed stays what it was: no table cell is cut, no link made. A page without pages marks a draft at its
top, its end and in the heading of every main section, so that a section copied out still says so. Drawings
are given in words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields, is_dataclass
from typing import assert_never

from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import language_of
from progdoc.document.tree.cross_references import before_contents, contents, section_label
from progdoc.document.tree.nodes import (
    Answer,
    Block,
    CitationMark,
    Document,
    Emphasis,
    FieldKind,
    Figure,
    FormField,
    Formula,
    Inline,
    LineBreak,
    Link,
    Listing,
    ListItem,
    Notice,
    OpenPoint,
    Paragraph,
    Reference,
    Section,
    Signatures,
    Strong,
    Table,
    Text,
)
from progdoc.writers.allowed_links import is_allowed_href
from progdoc.writers.markdown_words import as_code, as_link, emphasised, escaped, heading_safe, line_safe
from progdoc.writers.wording import (
    DRAFT_NOTE,
    NOTICE_LABELS,
    OPEN_POINT_LABEL,
    SIGNATURE_TITLES,
    alert_notices,
    control_lines,
    draft_word,
    front_titles,
    history_titles,
    identity,
    ticked,
)

__all__ = ["markdown_bytes"]

_CONTENTS_DEPTH = 2
_DEEPEST_HEADING = 6
_INDENT = "    "  # of what belongs to a list item: the one depth on which the readers agree
_BLANK = "\\_" * 24  # a line to write on; bare underscores would be a rule or a mark
_LIST_OR_QUOTE = re.compile(r"-   |\d+\. +|> ")


@dataclass(frozen=True, slots=True)
class _Print:
    """What holds for the whole document."""

    draft: str  # what every page of one says; "" for what is none
    shows_citations: bool
    say: Callable[..., str]
    targets: frozenset[str]  # ids that a reference points at: they need an anchor


def markdown_bytes(document: Document) -> bytes:
    """Return the resolved document as Markdown, UTF-8, lines ending in a line feed."""
    say = language_of(document.language).say
    word = draft_word(document) if document.draft else ""
    to = _Print(word, document.shows_citations, say, frozenset(_targets(document.blocks)))
    draft = [f"> **{word}.** {say(DRAFT_NOTE)}"] if document.draft else []
    front = before_contents(document) if document.has_cover else 0
    chunks = [
        *draft,
        f"# {heading_safe(escaped(document.title))}",
        *([f"**{escaped(document.organisation)}**"] if document.organisation else []),
        *filter(None, ["\n".join(f"-   {name}: {escaped(value)}" for name, value in control_lines(document))]),
        *_blocks(alert_notices(document), 2, to),
        *_history_of(document),
        *_blocks(document.blocks[:front], 2, to),
        *_contents(document),
        *_blocks(document.blocks[front:], 2, to),
        "* * *",
        line_safe(escaped(identity(document))),
        *draft,
    ]
    return (_joined(chunks) + "\n").encode("utf-8")


def _targets(node: object) -> Iterator[str]:
    """Yield what the references in a part of the tree point at in their own document."""
    if isinstance(node, Reference):
        if not node.document:
            yield node.target
    elif isinstance(node, tuple):
        for one in node:
            yield from _targets(one)
    elif is_dataclass(node):
        for one in fields(node):
            yield from _targets(getattr(node, one.name))


def _joined(chunks: Iterable[str]) -> str:
    """Return the chunks with a blank line between; lists and quotes in a row are kept from growing together."""
    text, previous = "", ""
    for chunk in chunks:
        if text:
            found, before = _LIST_OR_QUOTE.match(chunk), _LIST_OR_QUOTE.match(previous)
            text += "\n\n<!-- -->\n\n" if found and before else "\n\n"
        text += chunk
        previous = chunk
    return text


def _history_of(document: Document) -> Iterator[str]:
    if document.has_cover and document.history:
        yield f"## {front_titles(document)[0]}"
        yield _history(document)


def _contents(document: Document) -> Iterator[str]:
    entries = contents(document, _CONTENTS_DEPTH)
    if document.has_cover and entries:
        yield f"## {front_titles(document)[1]}"
        yield "\n".join(
            f"{_INDENT * (entry.level - 1)}-   "
            + as_link(escaped(f"{entry.number} {entry.title}".strip()), f"#{entry.id}")
            for entry in entries
        )


def _history(document: Document) -> str:
    rows = [[escaped(cell) for cell in (one.revision, one.date, one.by, one.summary)] for one in document.history]
    return _pipe_table(list(history_titles(document)), rows)


# ---- blocks -------------------------------------------------------------------------------------------


def _blocks(blocks: tuple[Block, ...], level: int, to: _Print) -> Iterator[str]:
    for block in blocks:
        yield from _block(block, level, to)


def _block(block: Block, level: int, to: _Print) -> Iterator[str]:
    """Yield a block's chunks, to be set apart by blank lines. `level` is that of a heading here."""
    match block:
        case Section():
            yield _anchor(block.id)
            yield _heading(block, level, to)
            yield from _blocks(block.blocks, level + 1, to)
        case Paragraph():
            yield _anchor_if_needed(block.id, to) + line_safe(_inline(block.children, to))
        case Listing():
            yield from _needed_anchors(block.id, to)
            yield _listing(block, level, to)
        case Table():
            yield from _needed_anchors(block.id, to)
            if block.caption:
                number = f"{block.label or 'Table'} {block.number}. " if block.number else ""
                yield f"**{number}{escaped(block.caption)}**"
            yield _table(block, to)
        case Figure():
            yield from _needed_anchors(block.id, to)
            label = block.label or "Figure"
            number = f"{label} {block.number}" if block.number else label
            if block.file:
                yield f"![{escaped(block.alternative)}]({block.file})"
            yield f"**{number}.** {escaped(block.caption)}".rstrip()
            yield to.say("In words: %(words)s", words=escaped(block.alternative))
        case Formula():
            yield _anchor_if_needed(block.id, to) + as_code(block.text)
        case OpenPoint():
            yield _anchor(block.id)
            yield _open_point(block)
        case Notice():
            yield from _needed_anchors(block.id, to)
            label = block.label or NOTICE_LABELS.get(block.kind, NOTICE_LABELS["note"])
            yield _quoted(_joined([f"**{label}**", *_blocks(block.blocks, level, to)]))
        case Answer():
            yield _anchor(block.id)
            yield from _blocks(block.blocks, level, to)
        case Signatures():
            yield from _needed_anchors(block.id, to)
            rows = [[escaped(role), escaped(name), "", ""] for role, name in block.lines]
            yield _pipe_table(list(block.titles or SIGNATURE_TITLES), rows)
        case _:
            assert_never(block)


def _anchor(node_id: str) -> str:
    return f'<a id="{node_id}"></a>'


def _anchor_if_needed(node_id: str, to: _Print) -> str:
    return _anchor(node_id) if node_id in to.targets else ""


def _needed_anchors(node_id: str, to: _Print) -> list[str]:
    return [_anchor(node_id)] if node_id in to.targets else []


def _heading(section: Section, level: int, to: _Print) -> str:
    words = heading_safe(escaped(f"{section_label(section)} {section.title}"))
    draft = f" – {to.draft}" if to.draft and level == 2 else ""
    return f"{'#' * min(level, _DEEPEST_HEADING)} {words}{draft}"


def _quoted(text: str) -> str:
    return "\n".join(f"> {line}".rstrip() for line in text.split("\n"))


def _open_point(point: OpenPoint) -> str:
    code = escaped(point.code)
    code = as_link(code, point.href) if is_allowed_href(point.href) else code
    return _quoted(f"**{point.label or OPEN_POINT_LABEL}** {code}: {escaped(point.text)}")


def _listing(listing: Listing, level: int, to: _Print) -> str:
    """Return a list, its items close together where each is one paragraph."""
    is_close = all(len(i.blocks) == 1 and isinstance(i.blocks[0], Paragraph) for i in listing.items)
    items = [
        _list_item(item, f"{place}." if listing.ordered else "-", level, to)
        for place, item in enumerate(listing.items, start=1)
    ]
    return ("\n" if is_close else "\n\n").join(items)


def _list_item(item: ListItem, mark: str, level: int, to: _Print) -> str:
    anchor = _anchor_if_needed(item.id, to)
    starts_in_words = bool(item.blocks) and isinstance(item.blocks[0], Paragraph)
    chunks = list(_blocks(item.blocks, level, to))
    # A list item can't begin with a table or a quote in every reader: an anchor goes before it.
    chunks = [anchor + chunks[0], *chunks[1:]] if starts_in_words else [_anchor(item.id), *chunks]
    first, *rest = _joined(chunks).split("\n")
    indented = [f"{_INDENT}{line}" if line else "" for line in rest]
    return "\n".join([f"{mark:<{len(_INDENT)}}{first}", *indented])


# ---- tables -------------------------------------------------------------------------------------------


def _table(table: Table, to: _Print) -> str:
    """Return a pipe table. It must have a header, so a table without one gets an empty header."""
    titles = [escaped(column.title) if table.has_header else "" for column in table.columns]
    rows = []
    for row in table.rows:
        cells = [_inline(cell.children, to).strip() for cell in row.cells]
        cells += [""] * (len(titles) - len(cells))
        if not table.has_header and cells[0]:
            cells[0] = _inline((Strong(row.cells[0].children),), to)
        cells[0] = _anchor_if_needed(row.id, to) + cells[0]
        rows.append(cells)
    return _pipe_table(titles, rows, frozenset(n for n, one in enumerate(table.columns) if one.numeric))


def _pipe_table(titles: list[str], rows: list[list[str]], numeric: frozenset[int] = frozenset()) -> str:
    rule = ["---:" if place in numeric else "---" for place in range(len(titles))]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in [titles, rule, *rows])


# ---- words --------------------------------------------------------------------------------------------


def _inline(children: tuple[Inline, ...], to: _Print) -> str:
    """Return the words; built from the back, because a mark depends on the letter that follows it."""
    text = ""
    for child in reversed(children):
        text = _words(child, text[:1], to) + text
    return text


def _words(node: Inline, following: str, to: _Print) -> str:
    match node:
        case Text():
            return escaped(node.text)
        case Strong():
            return emphasised("**", "strong", _inline(node.children, to), following)
        case Emphasis():
            return emphasised("*", "em", _inline(node.children, to), following)
        case Link():
            words = _inline(node.children, to)
            can_link = is_allowed_href(node.href) and not any(_targets(node.children))
            return as_link(words, node.href) if can_link else words
        case Reference():
            return as_link(escaped(node.text or node.target), node.address("md"))
        case CitationMark():
            return f" {escaped(f'[{node.text}]')}" if to.shows_citations else ""
        case LineBreak():
            return "<br>"
        case FormField():
            return _field(node)
        case _:
            assert_never(node)


def _field(node: FormField) -> str:
    """Return what is filled in already, or a place for a pen."""
    match node.kind:
        case FieldKind.BOX:
            return ticked(bool(node.value))
        case FieldKind.CHOICE:
            return " ".join(f"{ticked(one == node.value)} {escaped(one)}" for one in node.choices)
        case FieldKind.LINES if not node.value:
            return "<br>".join([_BLANK] * node.lines)
        case _:
            return escaped(node.value) if node.value else _BLANK
