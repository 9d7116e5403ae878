"""A firm's mark, colours and running lines reach every format; what could run or fetch reaches none."""

from __future__ import annotations

import re
import subprocess
import zlib
from dataclasses import replace
from io import BytesIO
from zipfile import ZipFile

import pytest
from published_value import published
from writers.docx_sample import drawing
from writers.sample_tree import sample_document

from progdoc.core.contrast import contrast
from progdoc.core.look import Logo, Look
from progdoc.core.resources import templates_root
from progdoc.document.tree.nodes import Document
from progdoc.writers import WRITERS
from progdoc.writers.docx.own_reference import recoloured, shipped_reference
from progdoc.writers.logo import LogoError, png_logo, svg_logo
from progdoc.writers.own_stylesheet import outside_addresses

SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 240 60"><title>old</title><metadata>who drew it</metadata>'
    b'<g fill="#7a2e1f"><path d="M0 0h240v60H0z"/></g></svg>'
)
COLOURS = {
    "text": "#101418", "accent": "#7a2e1f", "soft": "#2f5d50", "lines": "#c0b0a0", "shade": "#f0ebe4",
    "alert": "#8c1212",
}  # fmt: skip


def _sample(look: Look, has_cover: bool = True) -> Document:
    return replace(sample_document(has_cover=has_cover), look=look)


def _word(data: bytes) -> dict[str, str]:
    with ZipFile(BytesIO(data)) as archive:
        return {name: archive.read(name).decode("utf-8", "replace") for name in archive.namelist()}


def _pdf_text(data: bytes) -> str:
    return subprocess.run(["pdftotext", "-", "-"], input=data, check=True, capture_output=True).stdout.decode()


# ---- the mark -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("logo", [svg_logo(SVG), png_logo(drawing())], ids=["svg", "png"])
def test_the_mark_stands_on_the_cover_of_each_format_under_the_firms_name(logo: Logo) -> None:
    document = _sample(Look(logo=logo))
    firm = document.organisation
    page = WRITERS["html"](document).decode()
    mark = page[page.index('<div class="logo"') : page.index('<p class="employer">')]
    name = firm.replace("&", "&amp;")
    assert (f">{name}</title>" in mark) if logo.svg else (f'alt="{name}"' in mark)
    assert f"width: {logo.width_mm:.4g}mm; height: {logo.height_mm:.4g}mm" in mark
    word = _word(WRITERS["docx"](document))["word/document.xml"]
    first = word[word.index("<w:drawing>") : word.index("</w:drawing>")]
    assert f'descr="{name}"' in first
    assert word.index("<w:drawing>") < word.index('w:val="CoverOrganisation"')
    assert f'cx="{int(logo.width_mm * 36000)}" cy="{int(logo.height_mm * 36000)}"' in first
    pdf = WRITERS["pdf"](document)
    alternatives = re.findall(rb"/Alt\s*\(([^)]*)\)", pdf)
    assert alternatives[0].decode("latin-1") == firm
    assert b"Logo" not in WRITERS["md"](document)


@pytest.mark.parametrize("form", ["html", "docx", "pdf", "md"])
def test_a_paper_without_a_cover_has_no_mark(form: str) -> None:
    bare = sample_document(has_cover=False)
    with_mark = _sample(Look(logo=svg_logo(SVG)), has_cover=False)
    assert WRITERS[form](with_mark) == WRITERS[form](bare)


@pytest.mark.parametrize("form", ["html", "docx", "pdf", "md"])
def test_a_firm_without_a_look_has_ours_and_the_same_look_the_same_bytes(form: str) -> None:
    document = sample_document()
    assert WRITERS[form](replace(document, look=Look())) == WRITERS[form](document)
    look = Look(COLOURS, "Head", "Foot", "", svg_logo(SVG))
    assert WRITERS[form](_sample(look)) == WRITERS[form](_sample(look))


@pytest.mark.parametrize(
    ("sides", "size"), [((240, 60), (60, 15)), ((60, 60), (25, 25)), ((10, 100), (2.5, 25)), ((3, 1), (60, 20))]
)
def test_a_drawing_fits_into_sixty_by_twenty_five_millimetres(sides: tuple[int, int], size: tuple[int, int]) -> None:
    logo = svg_logo(SVG.replace(b"0 0 240 60", b"0 0 %d %d" % sides))
    assert (logo.width_mm, logo.height_mm) == pytest.approx(size)


def test_a_small_picture_is_not_blown_up_and_loses_what_the_file_tells() -> None:
    told = zlib.crc32(b"tEXtAuthor\x00Ada").to_bytes(4)
    data = drawing(96, 48)
    data = data[:33] + (10).to_bytes(4) + b"tEXtAuthor\x00Ada" + told + data[33:]
    logo = png_logo(data)
    assert (logo.width_mm, logo.height_mm) == pytest.approx((25.4, 12.7))
    assert b"tEXt" not in logo.png
    assert b"pHYs" not in logo.png


_OPEN = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">'


@pytest.mark.parametrize(
    ("inside", "told"),
    [
        (b"<script>alert(1)</script>", "<script>"),
        (b"<style>@import url(https://far.example/x.css)</style>", "<style>"),
        (b'<image href="https://far.example/x.png"/>', "<image>"),
        (b'<use href="#a"/>', "<use>"),
        (b"<foreignObject/>", "<foreignObject>"),
        (b'<a href="https://far.example"><path d="M0 0"/></a>', "<a>"),
        (b'<animate attributeName="d"/>', "<animate>"),
        (b'<filter id="f"/>', "<filter>"),
        (b'<path d="M0 0" onclick="alert(1)"/>', "onclick"),
        (b'<path d="M0 0" fill="url(https://far.example/p)"/>', "reaches outside"),
        (b'<path d="M0 0" style="fill:url(//far.example/p)"/>', "reaches outside"),
        (b"<g>" * 100 + b"</g>" * 100, "deep"),
        (b"<g/>" * 6000, "parts"),
        (b"<path", "well-formed"),
    ],
)
def test_a_drawing_that_runs_or_fetches_is_refused(inside: bytes, told: str) -> None:
    with pytest.raises(LogoError, match=re.escape(told)):
        svg_logo(_OPEN + inside + b"</svg>")


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\xff\xfe",
        b"<html/>",
        b'<svg xmlns="http://www.w3.org/2000/svg"/>',
        b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 0 9"/>',
        b'<svg xmlns="http://www.w3.org/2000/svg" width="100%" height="9"/>',
        b'<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">&a;</svg>',
    ],
)
def test_what_is_no_drawing_is_refused(data: bytes) -> None:
    with pytest.raises(LogoError):
        svg_logo(data)


def _chunk(kind: bytes, content: bytes) -> bytes:
    return len(content).to_bytes(4) + kind + content + zlib.crc32(kind + content).to_bytes(4)


def _png(header: bytes, packed: bytes) -> bytes:
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", header) + _chunk(b"IDAT", packed) + _chunk(b"IEND", b"")


def _header(width: int, height: int, depth: int = 8, colour: int = 0, interlaced: int = 0) -> bytes:
    return width.to_bytes(4) + height.to_bytes(4) + bytes([depth, colour, 0, 0, interlaced])


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"GIF89a", "no PNG"),
        (drawing()[:-20], "damaged"),
        (drawing().replace(b"IDAT", b"IDAX"), "damaged"),
        (_png(_header(100_000, 100_000), zlib.compress(b"")), "are the most"),
        (_png(_header(9, 9), zlib.compress(bytes(10_000_000))), "not as large"),
        (_png(_header(9, 9), b"no zip"), "unpacked"),
        (_png(_header(1, 1), zlib.compress(b"\x09\x00")), "not as large"),
        (_png(_header(9, 9, depth=3), zlib.compress(b"")), "colours"),
        (_png(_header(1, 1, interlaced=1), zlib.compress(b"\x00\x00")), "interlaced"),
        (_png(_header(1, 1, colour=3), zlib.compress(b"\x00\x00")), "colours are missing"),
    ],
)
def test_a_picture_that_is_damaged_or_has_no_bounds_is_refused(data: bytes, told: str) -> None:
    with pytest.raises(LogoError, match=told):
        png_logo(data)


# ---- colours ------------------------------------------------------------------------------------------


@published("W3C, WCAG 2.2, definition of contrast ratio: black on white is 21:1, a colour on itself 1:1")
def test_contrast_at_its_ends() -> None:
    assert contrast("#000000", "#ffffff") == 21.0
    assert contrast("#7a2e1f", "#7a2e1f") == 1.0


@published("W3C, Understanding SC 1.4.3 (WCAG 2.2), from memory: #777777 on white 4.47:1, #767676 4.54:1")
def test_contrast_of_the_grey_at_the_limit() -> None:
    assert contrast("#777777", "#ffffff") == pytest.approx(4.47, abs=0.01)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


def test_every_colour_reaches_the_page() -> None:
    page = WRITERS["html"](_sample(Look(COLOURS))).decode()
    ours = page.index("--ink: #1c2328")
    for name, colour in {
        "ink": "text",
        "accent-ink": "accent",
        "soft-ink": "soft",
        "rule": "lines",
        "tint": "shade",
    }.items():
        assert page.index(f"--{name}: {COLOURS[colour]};") > ours
    assert f"--alert: {COLOURS['alert']};" in page


def test_every_colour_reaches_the_sheet_that_is_printed() -> None:
    """Two PDFs of one document that differ by one colour differ."""
    plain = WRITERS["pdf"](_sample(Look()))
    for name in ("text", "accent", "soft", "lines", "shade"):
        assert WRITERS["pdf"](_sample(Look({name: COLOURS[name]}))) != plain, name


def test_colours_reach_word_and_leave_none_of_ours_but_those_of_danger() -> None:
    styles = _word(WRITERS["docx"](_sample(Look(COLOURS))))["word/styles.xml"]
    found = set(re.findall(r'w:(?:val|color|fill)="([0-9A-F]{6})"', styles))
    own = {colour[1:].upper() for name, colour in COLOURS.items() if name != "alert"}
    assert found == own | {"000000", "3A444D", "6B7680"}  # DRAFT and danger, caution, note


def test_recolouring_knows_every_colour_of_our_reference() -> None:
    from docx.oxml.parser import parse_xml

    styles = parse_xml(ZipFile(BytesIO(shipped_reference())).read("word/styles.xml"))
    recoloured(styles, dict.fromkeys(("accent", "soft", "lines", "shade", "text"), "#ff00ff"))
    found = {
        value for element in styles.iter() for value in element.attrib.values() if re.fullmatch(r"[0-9A-F]{6}", value)
    }
    assert found == {"FF00FF", "000000", "3A444D", "6B7680"}


# ---- the head and foot of a sheet ---------------------------------------------------------------------


def test_running_lines_reach_every_format() -> None:
    look = Look(header="Brook <Lintel>", footer='Quarry "Lane" & 555-0142')
    document = _sample(look)
    word = _word(WRITERS["docx"](document))
    assert any("Brook &lt;Lintel&gt;" in text for name, text in word.items() if name.startswith("word/header"))
    feet = [text for name, text in word.items() if name.startswith("word/footer")]
    assert len(feet) == 2
    assert all('Quarry "Lane" &amp; 555-0142' in text and "judged as of" in text for text in feet)
    pages = _pdf_text(WRITERS["pdf"](document)).split("\f")[:-1]
    assert all(look.footer in page and "Page" in page for page in pages)
    assert all(look.header in page for page in pages[1:])
    html = WRITERS["html"](document).decode()
    assert "<p>Quarry &quot;Lane&quot; &amp; 555-0142</p></footer>" in html
    assert '@top-left { content: "Brook \\3c Lintel\\3e ' in html.replace("\\3c  ", "\\3c ")


def test_the_firms_stylesheet_comes_last_and_can_not_leave_its_element() -> None:
    page = WRITERS["html"](_sample(Look(COLOURS, stylesheet="h1 { color: red } </style><script>"))).decode()
    style = page[page.index("<style>") : page.index("</style>")]
    assert style.index("h1 { color: red }") > style.index(f"--accent-ink: {COLOURS['accent']}")
    assert "<script>" not in page.replace(style, "")


@pytest.mark.parametrize(
    "css",
    [
        "@import 'far.css';",
        "@IMPORT url(x);",
        "a { background: url(https://far.example/x.png) }",
        "a { background: url( 'x.png' ) }",
        "a { background: \\75 rl(x.png) }",
        "a { background: u\\rl(//far.example) }",
        "a { background: image-set('x.png' 1x) }",
        "@font-face { src: url(data:font/woff2;base64,AAAA) }",
        "a { background: url(data:text/html,<b>) }",
        "a { content: 'https://far.example' }",
        "a { b: url/**/(x) url(y) }",
    ],
)
def test_a_stylesheet_that_fetches_is_refused_with_its_line(css: str) -> None:
    assert {line for line, _ in outside_addresses(f"/* one\ntwo */\n{css}")} == {3}


@pytest.mark.parametrize(
    "css",
    [
        "h1 { color: #123456; }  /* https://note.example */",
        'a { background: url("data:image/png;base64,AAA//BBB=") }',
        "a { fill: url(#here) }",
        (templates_root() / "style.css").read_text(encoding="utf-8"),
    ],
)
def test_a_stylesheet_that_keeps_to_itself_passes(css: str) -> None:
    assert list(outside_addresses(css)) == []
