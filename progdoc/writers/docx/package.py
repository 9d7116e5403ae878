"""Puts the text into a copy of the reference document: parts, relationships, properties, language."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from itertools import islice
from typing import Any
from urllib.parse import quote

from progdoc.core.paper_language import ENGLISH, language_of
from progdoc.document.tree.cross_references import before_contents
from progdoc.document.tree.labels import ANNEX_LABEL
from progdoc.document.tree.nodes import Document
from progdoc.writers.docx.blocks import elements
from progdoc.writers.docx.bookmarks import Bookmarks
from progdoc.writers.docx.front import contents_field, fill_pages, title_block
from progdoc.writers.docx.looks import Looks, W
from progdoc.writers.docx.numbering import Numbering
from progdoc.writers.docx.own_reference import recoloured, shipped_reference
from progdoc.writers.docx.page import footer, header, paper, section_properties
from progdoc.writers.docx.pagination import pages_of_bookmarks
from progdoc.writers.docx.word_text import attribute, printable
from progdoc.writers.docx.writing import Picture, Place, Writing
from progdoc.writers.wording import identity

__all__ = ["packed"]

_SCHEMAS = "http://schemas.openxmlformats.org"
_NAMESPACES = (
    f'xmlns:w="{_SCHEMAS}/wordprocessingml/2006/main" '
    f'xmlns:r="{_SCHEMAS}/officeDocument/2006/relationships" '
    f'xmlns:wp="{_SCHEMAS}/drawingml/2006/wordprocessingDrawing" '
    'xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office"'
)
_LEGAL_IN_ADDRESS = "%/:?#[]@!$&'()*+,;=~"
_START_TAG = re.compile(r"<([\w:]+)")
_FONTS = re.compile(r'font-family="[^"]*"')
_LONGEST_PROPERTY = 255  # of a core property, in Word
_CLOSER, _CLOSEST = (0.9, 0.4), (0.85, 0.3)  # type and gaps of a page to hang up; other languages say the same longer
_SMALLEST_TYPE = 16  # half points


def packed(document: Document) -> bytes:
    """Return the document as an OOXML package; its zip still carries the clock."""
    import docx

    package = docx.Document(BytesIO(document.look.reference or shipped_reference()))
    if not document.look.reference:
        recoloured(package.styles.element, document.look.colours)
    writing = _writing(document, package.part)
    sheet = paper(document)
    _fit_styles(package, document.language, sheet.text_width)
    if document.is_one_side:
        _set_closer(package.styles.element, *(_CLOSER if document.language == ENGLISH.tag else _CLOSEST))
    body = package.element.body
    del body[:]
    _append(body, _text(document, writing, Place(sheet.text_width)))
    _close(body)
    headers, footers = _running_parts(document, package.part)
    _append(body, [section_properties(sheet, headers, footers)])
    if document.has_cover:
        looks = Looks(package.styles.element, package.part.numbering_part.element)
        pages = pages_of_bookmarks(body, looks, sheet.text_width, sheet.text_height)
        fill_pages(body, pages)
    _append(package.part.numbering_part.element, writing.numbering.instances())
    _name_annexes(package.part.numbering_part.element, document)
    _set_properties(package.core_properties, document)
    target = BytesIO()
    package.save(target)
    return target.getvalue()


def _text(document: Document, writing: Writing, place: Place) -> Iterator[str]:
    yield from title_block(document, writing, place)
    front = before_contents(document) if document.has_cover else 0
    yield from elements(document.blocks[:front], writing, place)
    if document.has_cover:
        yield from contents_field(document, writing)
    starts_page = document.has_cover and not document.contents_after
    yield from elements(document.blocks[front:], writing, replace(place, starts_page=starts_page))


def _close(body: Any) -> None:
    """Let the gap after a table that ends the document take no room: it would turn a full page for nothing."""
    last = body[-1] if len(body) else None
    if last is not None and last.find(f"{W}pPr/{W}pStyle[@{W}val='TableGap']") is not None:
        _append(last[0], ['<w:spacing w:line="20" w:lineRule="exact"/>'])


def _append(parent: Any, pieces: Iterable[str]) -> None:
    """Put elements into a part. Each is the root of its own tree: moving out of another is quadratic."""
    from docx.oxml.parser import parse_xml

    for piece in pieces:
        parent.append(parse_xml(_START_TAG.sub(rf"<\1 {_NAMESPACES}", piece, count=1)))


def _writing(document: Document, part: Any) -> Writing:
    from docx.opc.constants import RELATIONSHIP_TYPE
    from docx.opc.packuri import PackURI
    from docx.opc.part import Part

    own_type = _own_type(part.styles.element)
    links: dict[str, str] = {}
    pictures: dict[bytes, Picture] = {}

    def link(href: str) -> str:
        if href not in links:
            target = quote(href, safe=_LEGAL_IN_ADDRESS)
            links[href] = part.relate_to(target, RELATIONSHIP_TYPE.HYPERLINK, is_external=True)
        return links[href]

    def picture(png: bytes, svg: str) -> Picture:
        if png not in pictures:
            relationship, image = part.get_or_add_image(BytesIO(png))
            lines = ""
            if svg:
                name = PackURI(f"/word/media/drawing{len(pictures) + 1}.svg")
                blob = _FONTS.sub(f'font-family="{attribute(own_type)}"', svg, count=1).encode()
                lines = part.relate_to(Part(name, "image/svg+xml", blob, part.package), RELATIONSHIP_TYPE.IMAGE)
            pictures[png] = Picture(relationship, int(image.width), int(image.height), lines)
        return pictures[png]

    return Writing(Bookmarks(document), Numbering(), link, picture, document.shows_citations, document.has_cover)


def _own_type(styles: Any) -> str:
    """Return the fonts of the plain text as a drawing names them."""
    plain = (f"{W}style[@{W}default='1']/{W}rPr/{W}rFonts", f"{W}docDefaults/{W}rPrDefault/{W}rPr/{W}rFonts")
    found = (fonts.get(f"{W}ascii") for path in plain for fonts in styles.findall(path))
    return ", ".join([*islice(filter(None, found), 1), "sans-serif"])


def _running_parts(document: Document, part: Any) -> tuple[dict[str, str], dict[str, str]]:
    """Add headers and footers; return their relationships by the page they stand on."""
    headers: dict[str, str] = {}
    footers: dict[str, str] = {}
    for kind in ("default", "first"):
        header_part, headers[kind] = part.add_header_part()
        del header_part.element[:]
        _append(header_part.element, header(document, is_first=kind == "first"))
        footer_part, footers[kind] = part.add_footer_part()
        del footer_part.element[:]
        _append(footer_part.element, footer(document))
    return headers, footers


def _name_annexes(numbering: Any, document: Document) -> None:
    """Let Word call what it letters an annex in the document's language."""
    word = language_of(document.language).say(ANNEX_LABEL)
    for text in numbering.iter(f"{W}lvlText"):
        if text.get(f"{W}val") == f"{ANNEX_LABEL} %1":
            text.set(f"{W}val", f"{word} %1")


def _fit_styles(package: Any, language: str, text_width: int) -> None:
    """Set the language, and the tabs that stand at the right edge of the text."""
    styles = package.styles.element
    for element in (*styles.iter(f"{W}lang"), *package.settings.element.iter(f"{W}themeFontLang")):
        element.set(f"{W}val", language)
    for tab in styles.iter(f"{W}tab"):
        if tab.get(f"{W}val") == "right":
            tab.set(f"{W}pos", str(text_width))


def _set_closer(styles: Any, of_type: float, of_gaps: float) -> None:
    """Make type and gaps of all styles smaller, so that a page to hang up stays one side."""
    for size in (*styles.iter(f"{W}sz"), *styles.iter(f"{W}szCs")):
        size.set(f"{W}val", str(max(_SMALLEST_TYPE, round(int(size.get(f"{W}val")) * of_type))))
    for spacing in styles.iter(f"{W}spacing"):
        for side in (f"{W}before", f"{W}after"):
            if spacing.get(side):
                spacing.set(side, str(round(int(spacing.get(side)) * of_gaps)))


def _set_properties(properties: Any, document: Document) -> None:
    made = datetime(document.as_of.year, document.as_of.month, document.as_of.day)
    texts = {
        "title": document.title,
        "subject": identity(document),
        "author": document.organisation,
        "last_modified_by": document.organisation,
        "keywords": ", ".join(document.keywords),
        "version": document.revision,
        "content_status": "Draft" if document.draft else "",
        "language": document.language,
    }
    for name, text in texts.items():
        setattr(properties, name, printable(text)[:_LONGEST_PROPERTY])
    properties.created = made
    properties.modified = made
