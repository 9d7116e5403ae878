"""Puts the text into a copy of the reference document: parts, relationships, properties, language.

The text is a string of XML, with the names of its spaces at the top of each part and nowhere else. What all papers of
a run have in common, the styles above all, is made once.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import field, replace
from functools import lru_cache
from html import escape
from itertools import islice
from struct import unpack_from
from typing import Any
from urllib.parse import quote

from progdoc.core.late_dataclass import dataclass
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
from progdoc.writers.docx.table_xml import GAP
from progdoc.writers.docx.word_text import attribute, printable
from progdoc.writers.docx.writing import Picture, Place, Writing
from progdoc.writers.wording import identity
from progdoc.writers.zip_bytes import zip_entries

__all__ = ["parts_of"]

_SCHEMAS = "http://schemas.openxmlformats.org"
_RELATIONS = f"{_SCHEMAS}/officeDocument/2006/relationships"
_TYPE = "application/vnd.openxmlformats-officedocument.wordprocessingml"
_DECLARED = "<?xml version='1.0' encoding='UTF-8' standalone='yes'?>\n"
_NAMESPACES = (
    f'xmlns:w="{_SCHEMAS}/wordprocessingml/2006/main" xmlns:r="{_RELATIONS}" '
    f'xmlns:wp="{_SCHEMAS}/drawingml/2006/wordprocessingDrawing" '
    'xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office"'
)
_OF_PROPERTIES = (
    f'xmlns:cp="{_SCHEMAS}/package/2006/metadata/core-properties" xmlns:dc="http://purl.org/dc/elements/1.1/" '
    'xmlns:dcterms="http://purl.org/dc/terms/" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"'
)
_TEXT, _STYLES, _NUMBERS, _SETTINGS = (f"word/{name}.xml" for name in ("document", "styles", "numbering", "settings"))
_LINKED, _TYPES, _PROPERTIES = "word/_rels/document.xml.rels", "[Content_Types].xml", "docProps/core.xml"
_LEGAL_IN_ADDRESS = "%/:?#[]@!$&'()*+,;=~"
_FONTS = re.compile(r'font-family="[^"]*"')
_THEME_LANGUAGE = re.compile(r'(?<=<w:themeFontLang w:val=")[^"]*')
_LONGEST_PROPERTY = 255  # of a core property, in Word
_CLOSER, _CLOSEST = (0.9, 0.4), (0.85, 0.3)  # type and gaps of a page to hang up; other languages say the same longer
_SMALLEST_TYPE = 16  # half points
# A table that ends a full page would turn another for the gap after it, which no document can do without.
_NO_GAP = GAP.replace("</w:pPr>", '<w:spacing w:line="20" w:lineRule="exact"/></w:pPr>')
_HEADING = '<w:p><w:pPr><w:pStyle w:val="Heading'
_EMU_PER_INCH, _INCHES_PER_METRE, _PLAIN_DOTS = 914_400, 0.0254, 72  # dots per inch where a picture names none


@dataclass(slots=True)
class _Package:
    """The parts of one file by their names, and what leads out of its text, in the order in which it was asked for."""

    parts: dict[str, bytes]
    own_type: str  # the fonts of the plain text as a drawing names them
    relations: list[str] = field(default_factory=list)
    links: dict[str, str] = field(default_factory=dict)  # address → relationship
    pictures: dict[bytes, Picture] = field(default_factory=dict)

    def related(self, kind: str, target: str, more: str = "") -> str:
        """Return the name of a new relationship."""
        name = f"rId{self.parts[_LINKED].count(b'<Relationship ') + len(self.relations) + 1}"
        self.relations.append(f'<Relationship Id="{name}" Type="{_RELATIONS}/{kind}" Target="{target}"{more}/>')
        return name

    def link(self, href: str) -> str:
        if href not in self.links:
            target = attribute(quote(href, safe=_LEGAL_IN_ADDRESS))
            self.links[href] = self.related("hyperlink", target, ' TargetMode="External"')
        return self.links[href]

    def picture(self, png: bytes, svg: str) -> Picture:
        if png not in self.pictures:
            number, lines = len(self.pictures) + 1, ""
            points = self._with(f"media/image{number}.png", png)
            if svg:
                drawn = _FONTS.sub(f'font-family="{attribute(self.own_type)}"', svg, count=1)
                lines = self._with(f"media/drawing{number}.svg", drawn.encode())
            self.pictures[png] = Picture(points, *_size_emu(png), lines)
        return self.pictures[png]

    def running(self, kind: str, tag: str, content: list[str], number: int) -> str:
        """Add a header or footer and return its relationship."""
        self.parts[f"word/{kind}{number}.xml"] = _part(f"w:{tag}", "".join(content))
        return self.related(kind, f"{kind}{number}.xml")

    def _with(self, name: str, content: bytes) -> str:
        self.parts[f"word/{name}"] = content
        return self.related("image", name)


def parts_of(document: Document) -> dict[str, bytes]:
    """Return the document as the parts of an OOXML package, by their names."""
    look, sheet = document.look, paper(document)
    closer = (_CLOSER if document.language == ENGLISH.tag else _CLOSEST) if document.is_one_side else (1.0, 1.0)
    reference = look.reference or shipped_reference()
    colours = () if look.reference else tuple(sorted(look.colours.items()))
    styles, own_type = _styles(reference, colours, document.language, sheet.text_width, *closer)
    package = _Package(dict(_entries(reference)), own_type)
    numbering, parts = Numbering(), package.parts
    writing = Writing(
        Bookmarks(document),
        numbering,
        package.link,
        package.picture,
        document.shows_citations,
        document.has_cover,
    )
    pieces = _without_gap_before_headings([*_text(document, writing, Place(sheet.text_width))])
    if pieces[-1:] == [GAP]:
        pieces[-1] = _NO_GAP
    running: dict[str, dict[str, str]] = {"header": {}, "footer": {}}
    for number, page in enumerate(("default", "first"), 1):
        running["header"][page] = package.running("header", "hdr", header(document, page == "first"), number)
        running["footer"][page] = package.running("footer", "ftr", footer(document), number)
    pieces.append(section_properties(sheet, running["header"], running["footer"]))
    text = "".join(("<w:body>", *pieces, "</w:body>"))
    if document.has_cover:
        looks = Looks(_root(styles), _root(parts[_NUMBERS]))
        body = _root(_part("w:document", text))[0]
        text = fill_pages(text, pages_of_bookmarks(body, looks, sheet.text_width, sheet.text_height))
    parts[_TEXT], parts[_STYLES] = _part("w:document", text), styles
    parts[_NUMBERS] = _with_more(_named(parts[_NUMBERS], document), "".join(numbering.instances()))
    parts[_SETTINGS] = _THEME_LANGUAGE.sub(document.language, parts[_SETTINGS].decode()).encode()
    parts[_LINKED] = _with_more(parts[_LINKED], "".join(package.relations))
    parts[_TYPES] = _with_types(parts[_TYPES], len(running["header"]))
    parts[_PROPERTIES] = _properties(document)
    return parts


def _text(document: Document, writing: Writing, place: Place) -> Iterator[str]:
    yield from title_block(document, writing, place)
    front = before_contents(document) if document.has_cover else 0
    yield from elements(document.blocks[:front], writing, place)
    if document.has_cover:
        yield from contents_field(document, writing)
    starts_page = document.has_cover and not document.contents_after
    yield from elements(document.blocks[front:], writing, replace(place, starts_page=starts_page))


def _without_gap_before_headings(pieces: list[str]) -> list[str]:
    """Return the pieces; a heading behind a table has space of its own above it.

    LibreOffice, where such a gap stands between the two, leaves the heading alone at the foot of a page.
    """
    following = [*pieces[1:], ""]
    pairs = zip(pieces, following, strict=True)
    return [piece for piece, after in pairs if piece != GAP or not after.startswith(_HEADING)]


def _part(tag: str, content: str) -> bytes:
    return f"{_DECLARED}<{tag} {_NAMESPACES}>{content}</{tag}>".encode()


def _with_more(part: bytes, content: str) -> bytes:
    """Return a part with more at the end of its outermost element."""
    before, end, tag = part.rpartition(b"</")
    return before + content.encode() + end + tag


def _root(part: bytes) -> Any:
    from lxml import etree

    return etree.fromstring(part)


def _size_emu(png: bytes) -> tuple[int, int]:
    """Return the width and height of a picture on paper."""
    dots: tuple[float, float] = (_PLAIN_DOTS, _PLAIN_DOTS)
    at = png.find(b"pHYs", 0, png.find(b"IDAT"))
    if at > 0:
        *per_metre, is_metre = unpack_from(">IIB", png, at + 4)
        dots = tuple(round(one * _INCHES_PER_METRE) for one in per_metre) if is_metre else dots
    width, height = unpack_from(">II", png, 16)
    return int(width / dots[0] * _EMU_PER_INCH), int(height / dots[1] * _EMU_PER_INCH)


# ---- what is the same in many papers ---------------------------------------------------------------------


@lru_cache(maxsize=4)
def _entries(reference: bytes) -> dict[str, bytes]:
    return zip_entries(reference)


@lru_cache(maxsize=16)
def _styles(
    reference: bytes, colours: tuple[tuple[str, str], ...], language: str, width: int, of_type: float, of_gaps: float
) -> tuple[bytes, str]:
    """Return the styles of papers of one language and width, and the fonts of the plain text."""
    from lxml import etree

    styles = _root(_entries(reference)[_STYLES])
    recoloured(styles, dict(colours))
    _fit(styles, language, width)
    if (of_type, of_gaps) != (1.0, 1.0):
        _set_closer(styles, of_type, of_gaps)
    return etree.tostring(styles, encoding="UTF-8", standalone=True), _own_type(styles)


def _own_type(styles: Any) -> str:
    """Return the fonts of the plain text as a drawing names them."""
    plain = (f"{W}style[@{W}default='1']/{W}rPr/{W}rFonts", f"{W}docDefaults/{W}rPrDefault/{W}rPr/{W}rFonts")
    found = (fonts.get(f"{W}ascii") for path in plain for fonts in styles.findall(path))
    return ", ".join([*islice(filter(None, found), 1), "sans-serif"])


def _named(numbering: bytes, document: Document) -> bytes:
    """Let Word call what it letters an annex in the document's language."""
    ours, word = (
        f'<w:lvlText w:val="{attribute(one)} %1"'.encode()
        for one in (ANNEX_LABEL, language_of(document.language).say(ANNEX_LABEL))
    )
    return numbering.replace(ours, word)


def _fit(styles: Any, language: str, text_width: int) -> None:
    """Set the language, and the tabs that stand at the right edge of the text."""
    for element in styles.iter(f"{W}lang"):
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


# ---- the other parts ------------------------------------------------------------------------------------


def _with_types(part: bytes, pages: int) -> bytes:
    """Return the types of the parts with those that are in no reference document: pictures, headers and footers."""
    pictures = "".join(
        f'<Default Extension="{ending}" ContentType="image/{kind}"/>'
        for ending, kind in (("png", "png"), ("svg", "svg+xml"))
        if f'Extension="{ending}"'.encode() not in part
    )
    running = "".join(
        f'<Override PartName="/word/{kind}{number}.xml" ContentType="{_TYPE}.{kind}+xml"/>'
        for kind in ("header", "footer")
        for number in range(1, pages + 1)
    )
    return _with_more(part.replace(b"<Default ", pictures.encode() + b"<Default ", 1), running)


def _properties(document: Document) -> bytes:
    made = f"{document.as_of.isoformat()}T00:00:00Z"
    texts: Mapping[str, str] = {
        "dc:title": document.title,
        "dc:subject": identity(document),
        "dc:creator": document.organisation,
        "cp:lastModifiedBy": document.organisation,
        "cp:keywords": ", ".join(document.keywords),
        "cp:version": document.revision,
        "cp:contentStatus": "Draft" if document.draft else "",
        "dc:language": document.language,
    }
    said = [f"<{tag}>{escape(printable(text)[:_LONGEST_PROPERTY], quote=False)}</{tag}>" for tag, text in texts.items()]
    days = [f'<dcterms:{tag} xsi:type="dcterms:W3CDTF">{made}</dcterms:{tag}>' for tag in ("created", "modified")]
    return f"{_DECLARED}<cp:coreProperties {_OF_PROPERTIES}>{''.join(said + days)}</cp:coreProperties>".encode()
