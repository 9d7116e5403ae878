"""Writes a document as one HTML file: nothing fetched, style inlined, no script but the one of `html_saving`.

Made to be read on a phone, by a screen reader, and on paper. Every word of the tree is escaped; what
`links.is_allowed_href` refuses is printed as words. Knows no rule of the law and computes nothing.
"""

from __future__ import annotations

from base64 import b64encode
from functools import lru_cache
from typing import assert_never

from progdoc.core.paper_language import language_of
from progdoc.document.tree.cross_references import before_sections, contents, section_label
from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Cell,
    Column,
    Document,
    Figure,
    Formula,
    Listing,
    ListItem,
    Notice,
    OpenPoint,
    Paragraph,
    Row,
    Section,
    Signatures,
    Table,
)
from progdoc.writers.allowed_links import is_allowed_href
from progdoc.writers.html_head import page_head
from progdoc.writers.html_saving import saving_buttons
from progdoc.writers.html_words import escape, inline
from progdoc.writers.inline_svg import inline_svg
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
    leads_on,
)

__all__ = ["html_bytes"]

_DEEPEST_HEADING = 6
_CONTENTS_DEPTH = 2
_FLOWING_COLUMNS = 3  # a table with more scrolls sideways on a narrow screen


def html_bytes(document: Document, stylesheet: str) -> bytes:
    """Return the resolved document as a self-contained HTML file.

    Parameters
    ----------
    document
        A tree that `references.resolved` has numbered.
    stylesheet
        CSS for screen and print, `style.css` of the templates.
    """
    status = "draft" if document.draft else "clean"
    cover = " has-cover" if document.has_cover else ""
    of_cover = before_sections(document) if document.has_cover else 0
    feet = filter(None, (identity(document), document.look.footer))
    head, styles, head_ends = page_head(document, stylesheet)
    before = f'<!DOCTYPE html>\n<html lang="{escape(document.language)}">\n{head}\n'
    parts = [
        head_ends,
        f'<body class="{status}{cover} of-{escape(document.id.partition(".")[0])}">',
        f'<a class="skip" href="#page--main">{language_of(document.language).say("Skip to the text")}</a>',
        _draft_marks(document),
        _header(document, document.blocks[:of_cover]),
        _contents(document),
        '<main id="page--main" tabindex="-1">',
        *(_printed(block, document) for block in document.blocks[of_cover:]),
        "</main>",
        saving_buttons(document),
        f"<footer>{''.join(f'<p>{escape(line)}</p>' for line in feet)}</footer>",
        "</body>",
        "</html>",
    ]
    after = "\n".join([part for part in parts if part])
    return b"".join((before.encode(), styles, b"\n", after.encode(), b"\n"))


class _Same:
    """A block, the same as another only if it is that very object."""

    __slots__ = ("block",)

    def __init__(self, block: Block) -> None:
        self.block = block

    def __hash__(self) -> int:
        return id(self.block)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.block is other.block


def _printed(block: Block, document: Document) -> str:
    """Return the markup of a block; that of one which many documents hold is made once."""
    if block.id in document.repeats:
        return _repeated(_Same(block), document.shows_citations)
    return _block(block, 2, document.shows_citations)


@lru_cache(maxsize=1000)
def _repeated(same: _Same, shows: bool) -> str:
    return _block(same.block, 2, shows)


# ---- the page around the text -------------------------------------------------------------------------


def _draft_marks(document: Document) -> str:
    if not document.draft:
        return ""
    say = language_of(document.language).say
    word = draft_word(document)
    return (
        f'<aside class="banner" aria-label="{say("Status of this document")}"><p><strong>{word}</strong> '
        f"{escape(say(DRAFT_NOTE))}</p></aside>\n"
        f'<div class="watermark" aria-hidden="true">{word}</div>'
    )


def _header(document: Document, of_cover: tuple[Block, ...]) -> str:
    lines = "".join(
        f"<div><dt>{escape(name)}</dt><dd>{escape(value)}</dd></div>" for name, value in control_lines(document)
    )
    control = f'\n<dl class="control">{lines}</dl>' if lines else ""
    alerts = "".join(f"\n{_block(notice, 2, shows=False)}" for notice in alert_notices(document))
    history = _history(document) if document.has_cover and document.history else ""
    rest = "".join(f"\n{_block(block, 2, document.shows_citations)}" for block in of_cover)
    firm = f'<p class="employer">{escape(document.organisation)}</p>'
    return (
        f'<header>\n<div class="title-block">\n{_logo(document)}{firm}\n'
        f"<h1>{escape(document.title)}</h1>{control}\n</div>{alerts}{history}{rest}\n</header>"
    )


def _logo(document: Document) -> str:
    """Return the firm's mark for a cover, named after the firm."""
    logo = document.look.logo
    if logo is None or not document.has_cover:
        return ""
    name = document.organisation or "Logo"
    size = f"width: {logo.width_mm:.4g}mm; height: {logo.height_mm:.4g}mm"
    if logo.svg:
        mark = inline_svg(logo.svg, "page--logo", name, "")
    else:
        mark = f'<img src="data:image/png;base64,{b64encode(logo.png).decode()}" alt="{escape(name)}">'
    return f'<div class="logo" style="{size}">{mark}</div>\n'


def _history(document: Document) -> str:
    head = "".join(f'<th scope="col">{escape(title)}</th>' for title in history_titles(document))
    rows = "".join(
        f'<tr><th scope="row">{escape(entry.revision)}</th><td>{escape(entry.date)}</td>'
        f"<td>{escape(entry.by)}</td><td>{escape(entry.summary)}</td></tr>\n"
        for entry in document.history
    )
    heading, _ = front_titles(document)
    return (
        '\n<section class="history" aria-labelledby="page--history">\n'
        f'<h2 id="page--history">{escape(heading)}</h2>\n'
        '<div class="wide" role="group" tabindex="0" aria-labelledby="page--history">\n'
        f"<table><thead><tr>{head}</tr></thead>\n<tbody>\n{rows}</tbody></table>\n</div>\n</section>"
    )


def _contents(document: Document) -> str:
    entries = contents(document, _CONTENTS_DEPTH) if document.has_cover else ()
    if not entries:
        return ""
    html = ""
    for entry, following in zip(entries, (*entries[1:], None), strict=True):
        next_level = following.level if following else 1
        html += (
            f'<li><a href="#{escape(entry.id)}"><span class="number">{escape(entry.number)}</span> '
            f"{escape(entry.title)}</a>"
        )
        html += "<ol>" if next_level > entry.level else "</li>\n"
        html += "</ol></li>\n" * (entry.level - next_level)
    _, heading = front_titles(document)
    return (
        f'<nav aria-labelledby="page--contents">\n<h2 id="page--contents">{escape(heading)}</h2>\n'
        f"<ol>\n{html}</ol>\n</nav>"
    )


# ---- blocks -------------------------------------------------------------------------------------------


def _block(block: Block, level: int, shows: bool) -> str:
    """Return a block's markup. `level` is that of a heading here; `shows`: citations are printed."""
    match block:
        case Section():
            return _section(block, level, shows)
        case Paragraph():
            leading = ' class="leading"' if leads_on(block) else ""
            return f'<p id="{escape(block.id)}"{leading}>{inline(block.children, shows)}</p>'
        case Listing():
            tag = "ol" if block.ordered else "ul"
            items = "\n".join(_list_item(item, level, shows) for item in block.items)
            return f'<{tag} id="{escape(block.id)}">\n{items}\n</{tag}>'
        case Table():
            return _table(block, shows)
        case Figure():
            return _figure(block)
        case Formula():
            return f'<p class="formula" id="{escape(block.id)}">{escape(block.text, quote=False)}</p>'
        case OpenPoint():
            return _open_point(block)
        case Notice():
            label = block.label or NOTICE_LABELS.get(block.kind, NOTICE_LABELS["note"])
            return (
                f'<div class="notice {escape(block.kind)}" id="{escape(block.id)}">\n'
                f'<p class="label">{label}</p>\n{_blocks(block.blocks, level, shows)}\n</div>'
            )
        case Answer():
            return (
                f'<div id="{escape(block.id)}" data-answers="{escape(" ".join(block.codes))}"'
                f' data-citations="{escape("; ".join(block.citations))}">\n'
                f"{_blocks(block.blocks, level, shows)}\n</div>"
            )
        case Signatures():
            return _signatures(block)
        case _:
            assert_never(block)


def _blocks(blocks: tuple[Block, ...], level: int, shows: bool) -> str:
    return "\n".join([_block(block, level, shows) for block in blocks])


def _section(section: Section, level: int, shows: bool) -> str:
    tag = f"h{min(level, _DEEPEST_HEADING)}"
    label = section_label(section)
    number = f'<span class="number">{escape(label)}</span> ' if label else ""
    section_id = escape(section.id)
    traits = (("annex", section.is_annex), ("starts-page", section.starts_page))
    kind = " ".join((f"level-{level - 1}", *(name for name, holds in traits if holds)))
    heading = f'<{tag} id="{section_id}--heading">{number}{escape(section.title, quote=False)}</{tag}>'
    inner = _blocks(section.blocks, level + 1, shows)
    folded = f"<details>\n<summary>{heading}</summary>\n{inner}\n</details>"
    body = folded if section.is_folded else f"{heading}\n{inner}"
    # What is folded away is a part of the section around it: many of one name would be no landmarks.
    named = "" if section.is_folded else f' aria-labelledby="{section_id}--heading"'
    return f'<section class="{kind}" id="{section_id}"{named}>\n{body}\n</section>'


def _list_item(item: ListItem, level: int, shows: bool) -> str:
    """Return an item; a lone paragraph stands in it without a frame of its own."""
    if len(item.blocks) == 1 and isinstance(only := item.blocks[0], Paragraph):
        words = f'<span id="{escape(only.id)}">{inline(only.children, shows)}</span>'
        return f'<li id="{escape(item.id)}">{words}</li>'
    return f'<li id="{escape(item.id)}">\n{_blocks(item.blocks, level, shows)}\n</li>'


def _open_point(point: OpenPoint) -> str:
    code, label = escape(point.code, quote=False), escape(point.label or OPEN_POINT_LABEL)
    if is_allowed_href(point.href):
        code = f'<a href="{escape(point.href)}">{code}</a>'
    return (
        f'<div class="open-point" id="{escape(point.id)}"><p><strong class="label">{label}</strong> '
        f'<span class="code">{code}</span> {escape(point.text, quote=False)}</p></div>'
    )


def _figure(figure: Figure) -> str:
    number = f'<span class="number">{escape(figure.label or "Figure")} {figure.number}</span> ' if figure.number else ""
    caption = f"\n<figcaption>{number}{escape(figure.caption, quote=False)}</figcaption>"
    title = figure.caption or figure.label or "Figure"
    drawing = _photo(figure) if not figure.svg else inline_svg(figure.svg, figure.id, title, figure.alternative)
    return (
        f'<figure id="{escape(figure.id)}">\n'
        f'<div class="wide" role="group" tabindex="0" aria-label="{escape(title)}">\n{drawing}\n</div>'
        f"{caption if figure.caption else ''}\n</figure>"
    )


def _photo(figure: Figure) -> str:
    """Return a picture that is no drawing; what it shows in words where there is no picture at hand."""
    if not figure.png:
        return f"<p>{escape(figure.alternative, quote=False)}</p>"
    source = f"data:image/png;base64,{b64encode(figure.png).decode()}"
    return f'<img class="photo" src="{source}" alt="{escape(figure.alternative)}">'


def _signatures(signatures: Signatures) -> str:
    head = "".join(f'<th scope="col">{title}</th>' for title in signatures.titles or SIGNATURE_TITLES)
    rows = "".join(
        f'<tr><th scope="row">{escape(role, quote=False)}</th><td>{escape(name, quote=False)}</td>'
        "<td></td><td></td></tr>\n"
        for role, name in signatures.lines
    )
    return (
        f'<table class="signatures" id="{escape(signatures.id)}"><thead><tr>{head}</tr></thead>\n'
        f"<tbody>\n{rows}</tbody></table>"
    )


# ---- tables -------------------------------------------------------------------------------------------


def _table(table: Table, shows: bool) -> str:
    table_id = escape(table.id)
    number = f'<span class="number">{escape(table.label or "Table")} {table.number}</span> ' if table.number else ""
    caption = f'<caption id="{table_id}--caption">{number}{escape(table.caption, quote=False)}</caption>\n'
    head = "".join(
        f'<th scope="col"{_number_class(column)}>{escape(column.title, quote=False)}</th>' for column in table.columns
    )
    kinds = [*([] if table.has_header else ["keyed"]), *(["dense"] if table.is_dense else [])]
    kind = f' class="{" ".join(kinds)}"' if kinds else ""
    tags = _tags(table)
    rows = "\n".join([_row(row, tags, shows) for row in table.rows])
    markup = (
        f'<table id="{table_id}"{kind}>\n{caption if table.caption else ""}{_widths(table.columns)}'
        f"{f'<thead><tr>{head}</tr></thead>' if table.has_header else ''}\n<tbody>\n{rows}\n</tbody>\n</table>"
    )
    if len(table.columns) <= _FLOWING_COLUMNS:
        return markup
    name = (
        f'aria-labelledby="{table_id}--caption"'
        if table.caption
        else f'aria-label="{escape(table.label or "Wide table")}"'
    )
    return f'<div class="wide" role="group" tabindex="0" {name}>\n{markup}\n</div>'


def _tags(table: Table) -> list[tuple[str, str]]:
    """Return what stands before and after each cell of a row; without a header the first one is a heading."""
    tags = [(f"<td{_number_class(column)}>", "</td>") for column in table.columns]
    if not table.has_header:
        tags[:1] = [(f'<th scope="row"{_number_class(column)}>', "</th>") for column in table.columns[:1]]
    return tags


def _row(row: Row, tags: list[tuple[str, str]], shows: bool) -> str:
    cells = (*row.cells, *[Cell(())] * (len(tags) - len(row.cells)))
    told = [f"{start}{inline(cell.children, shows)}{end}" for (start, end), cell in zip(tags, cells, strict=True)]
    return f'<tr id="{escape(row.id)}">{"".join(told)}</tr>'


def _number_class(column: Column) -> str:
    return ' class="number-cell"' if column.numeric else ""


def _widths(columns: tuple[Column, ...]) -> str:
    """Return the columns' shares of the width, where they differ."""
    shares = [column.share for column in columns]
    if len(set(shares)) == 1:
        return ""
    widths = (f'<col style="width: {100 * share / sum(shares):.4g}%">' for share in shares)
    return f"<colgroup>{''.join(widths)}</colgroup>\n"
