"""Blocks of the tree → paragraphs, lists, tables and pictures, each one element of XML."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import zip_longest
from typing import assert_never

from progdoc.document.tree.cross_references import section_label
from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Figure,
    Formula,
    Listing,
    ListItem,
    Notice,
    OpenPoint,
    Paragraph,
    Section,
    Signatures,
    Table,
)
from progdoc.writers.docx.inline_xml import inlines, linked
from progdoc.writers.docx.table_xml import GAP, bookmark_ends, caption, frame, signatures, table
from progdoc.writers.docx.word_text import attribute, paragraph, run
from progdoc.writers.docx.writing import Picture, Place, Writing
from progdoc.writers.wording import NOTICE_LABELS, OPEN_POINT_LABEL, leads_on

__all__ = ["drawing", "elements"]

_DEEPEST_HEADING = 4
_LIST_STEP = 340
_EMU_PER_TWIP = 635
_EMU_PER_PIXEL = 9525  # of CSS, 96 to the inch
_SAID_WIDTH = re.compile(r'<svg xmlns="[^"]*" width="([\d.]+)"')
_TALLEST_EMU = 5_400_000  # 15 cm: a picture and its caption stay on one page
_NOTICE_STYLES = {"danger": "NoticeDanger", "caution": "NoticeCaution", "note": "NoticeNote"}
_NOTICE_OVERHANG = 90  # its lines are drawn outside its width
_NOTICE_SIDES = 368  # between its edges and the tables in it
_DRAWING = "http://schemas.openxmlformats.org/drawingml/2006"


def elements(blocks: tuple[Block, ...], writing: Writing, place: Place) -> Iterator[str]:
    """Yield the elements of these blocks in reading order."""
    for n, (block, after) in enumerate(zip_longest(blocks, blocks[1:])):
        # A line or two under a heading go with the table that they are about.
        leads = n == 0 and isinstance(after, Paragraph) and isinstance(blocks[2], Table) if len(blocks) > 2 else False
        yield from _block(block, writing, replace(place, before_table=leads or isinstance(after, Table)))
        place = replace(place, starts_page=False)


def _block(block: Block, writing: Writing, place: Place) -> Iterator[str]:
    match block:
        case Section():
            yield from _section(block, writing, place)
        case Paragraph():
            style = "ListContinue" if place.list_level else "Normal"
            content = writing.bookmarks.around(block.id, inlines(block.children, writing))
            together = "<w:keepNext/>" if leads_on(block) or place.before_table else ""
            yield paragraph(style, content, together + place.indent)
        case Listing():
            yield from bookmark_ends(writing.bookmarks.around(block.id))
            yield from _listing(block, writing, place)
        case Table():
            yield from table(block, writing, place)
        case Figure():
            yield from _figure(block, writing, place)
        case Formula():
            indent = f'<w:ind w:left="{place.left + 624}"/>'
            yield paragraph("Formula", writing.bookmarks.around(block.id, run(block.text)), indent)
        case OpenPoint():
            yield _open_point(block, writing, place)
            yield GAP
        case Notice():
            yield from _notice(block, writing, place)
        case Answer():
            yield from bookmark_ends(writing.bookmarks.around(block.id))
            yield from elements(block.blocks, writing, place)
        case Signatures():
            yield from signatures(block, writing, place)
        case _:
            assert_never(block)


def _section(section: Section, writing: Writing, place: Place) -> Iterator[str]:
    is_annex = place.is_annex or (section.is_annex and place.depth == 1)
    properties, is_counted = writing.numbering.heading(section.number, place.depth, is_annex)
    label = section_label(section)
    typed = "" if is_counted or not label else f"{label} "
    content = writing.bookmarks.around(section.id, run(f"{typed}{section.title}"))
    page_break = "<w:pageBreakBefore/>" if place.starts_page or section.starts_page else ""
    yield paragraph(f"Heading{min(place.depth, _DEEPEST_HEADING)}", content, page_break + properties)
    inside = replace(place, depth=place.depth + 1, is_annex=is_annex, starts_page=False)
    yield from elements(section.blocks, writing, inside)


# ---- lists --------------------------------------------------------------------------------------------


def _listing(listing: Listing, writing: Writing, place: Place) -> Iterator[str]:
    numbering = writing.numbering.new_list(listing.ordered, place.list_level)
    style = "ListNumber" if listing.ordered else "ListBullet"
    inside = replace(
        place, left=place.left + _LIST_STEP, width=place.width - _LIST_STEP, list_level=place.list_level + 1
    )
    properties = f'{numbering}<w:ind w:left="{inside.left}" w:hanging="{_LIST_STEP}"/>'
    for item in listing.items:
        yield from _item(item, style, properties, writing, inside)


def _item(item: ListItem, style: str, properties: str, writing: Writing, inside: Place) -> Iterator[str]:
    """Yield an item. Its mark stands on its first paragraph, or on an empty one before anything else."""
    rest = item.blocks
    while rest and isinstance(rest[0], Answer):
        yield from bookmark_ends(writing.bookmarks.around(rest[0].id))
        rest = (*rest[0].blocks, *rest[1:])
    content = ""
    if rest and isinstance(first := rest[0], Paragraph):
        content = writing.bookmarks.around(first.id, inlines(first.children, writing))
        rest = rest[1:]
    yield paragraph(style, writing.bookmarks.around(item.id, content), properties)
    yield from elements(rest, writing, inside)


# ---- what stands out ----------------------------------------------------------------------------------


def _open_point(point: OpenPoint, writing: Writing, place: Place) -> str:
    bold = "<w:b/><w:bCs/>"
    code = linked(point.href, run(point.code, f'<w:rStyle w:val="Hyperlink"/>{bold}'), writing)
    content = f"{run(f'{point.label or OPEN_POINT_LABEL} · ', bold)}{code}{run(f': {point.text}')}"
    indent = f'<w:ind w:left="{place.left + 227}" w:right="142"/>' if place.left else ""
    return paragraph("OpenPoint", writing.bookmarks.around(point.id, content), indent)


def _notice(notice: Notice, writing: Writing, place: Place) -> Iterator[str]:
    """Yield the notice as a frame of one cell: any block may stand in it, and a table too."""
    yield from bookmark_ends(writing.bookmarks.around(notice.id))
    kind = notice.kind if notice.kind in _NOTICE_STYLES else "note"
    label = notice.label or NOTICE_LABELS[kind]
    width = place.width - _NOTICE_OVERHANG
    inside = Place(width=width - _NOTICE_SIDES, depth=place.depth)
    content = paragraph("NoticeHeading", run(label))
    content += "".join(elements(notice.blocks, writing, inside))
    if not content.endswith("</w:p>"):
        content += GAP
    cell = f'<w:tc><w:tcPr><w:tcW w:w="{width}" w:type="dxa"/></w:tcPr>{content}</w:tc>'
    yield frame(_NOTICE_STYLES[kind], [width], f"<w:tr>{cell}</w:tr>", place, label, has_header=False)
    yield GAP


# The drawing beside its points (MS-ODRAWXML 2.3.3.1, svgBlip); a program that does not know it shows the points.
_LINES = (
    '<a:extLst><a:ext uri="{{96DAC541-7B7A-43D3-8B79-37D633B846F1}}"><asvg:svgBlip '
    'xmlns:asvg="http://schemas.microsoft.com/office/drawing/2016/SVG/main" r:embed="{drawing}"/></a:ext></a:extLst>'
)


# ---- pictures -----------------------------------------------------------------------------------------


def _figure(figure: Figure, writing: Writing, place: Place) -> Iterator[str]:
    """Yield the picture and its caption; without a picture for Word, what it shows in words."""
    if figure.png:
        keep = "<w:keepNext/>" if figure.caption else ""
        picture = writing.picture(figure.png, figure.svg)
        fit = min(1.0, place.width * _EMU_PER_TWIP / picture.width_emu, _TALLEST_EMU / picture.height_emu)
        if said := _SAID_WIDTH.match(figure.svg):
            fit = min(fit, float(said[1]) * _EMU_PER_PIXEL / picture.width_emu)
        width, height = int(picture.width_emu * fit), int(picture.height_emu * fit)
        shown = drawing(picture, width, height, figure.alternative, writing)
        yield paragraph("Picture", shown, keep + place.indent)
    else:
        yield paragraph("Normal", run(figure.alternative), place.indent)
    if figure.caption:
        yield caption("Figure", figure, writing, place.indent)


def drawing(picture: Picture, width_emu: int, height_emu: int, alternative: str, writing: Writing) -> str:
    """Return a picture of the package in this size, as a run."""
    size = f'cx="{width_emu}" cy="{height_emu}"'
    number = next(writing.drawings)
    named = f'id="{number}" name="Picture {number}" descr="{attribute(alternative)}"'
    lines = _LINES.format(drawing=picture.as_drawing) if picture.as_drawing else ""
    return (
        f'<w:r><w:drawing><wp:inline distT="0" distB="0" distL="0" distR="0"><wp:extent {size}/>'
        f'<wp:docPr {named}/><a:graphic xmlns:a="{_DRAWING}/main"><a:graphicData uri="{_DRAWING}/picture">'
        f'<pic:pic xmlns:pic="{_DRAWING}/picture"><pic:nvPicPr><pic:cNvPr {named}/><pic:cNvPicPr/>'
        f'</pic:nvPicPr><pic:blipFill><a:blip r:embed="{picture.relationship}">{lines}</a:blip><a:stretch><a:fillRect/>'
        f'</a:stretch></pic:blipFill><pic:spPr><a:xfrm><a:off x="0" y="0"/><a:ext {size}/></a:xfrm>'
        '<a:prstGeom prst="rect"><a:avLst/></a:prstGeom></pic:spPr></pic:pic></a:graphicData></a:graphic>'
        "</wp:inline></w:drawing></w:r>"
    )
