"""HTML: escaped, whole, and usable: by a screen reader, on a phone, on paper."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from calls import calls_in
from examples import TIMES
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Browser
from writers.one_of_each import ONE_OF_EACH_BLOCK, ONE_OF_EACH_INLINE
from writers.sample_report import FIT, MASK, OFFICER, STORAGE, sample_report
from writers.sample_tree import HOSTILE, sample_document

from progdoc.core.errors import ProgdocError
from progdoc.core.resources import templates_root
from progdoc.document.papers.gap_report import gap_document
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    BLOCKS,
    INLINES,
    Answer,
    Block,
    Cell,
    CitationMark,
    Column,
    Document,
    Figure,
    Formula,
    Link,
    Notice,
    Paragraph,
    Row,
    Section,
    Signatures,
    Table,
    Text,
)
from progdoc.writers import WRITERS
from progdoc.writers.allowed_links import is_allowed_href
from progdoc.writers.html import html_bytes
from progdoc.writers.inline_svg import inline_svg

_VOID = {"meta", "br", "col", "input"}


class _Page(HTMLParser):
    """Reads a page strictly: every tag closed in its turn, words and attributes kept."""

    def __init__(self, blob: bytes) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: dict[str, str] = {}  # by the id of the element around them
        self.ids_open: list[str] = []
        self.feed(blob.decode("utf-8"))
        self.close()
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        assert len(given) == len(attrs)
        self.tags.append((tag, given))
        if tag not in _VOID:
            self.open.append(tag)
            self.ids_open.append(given.get("id") or "")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag
        self.ids_open.pop()

    def handle_data(self, data: str) -> None:
        for name in filter(None, self.ids_open):
            self.words[name] = self.words.get(name, "") + data

    def values(self, attribute: str) -> list[str]:
        return [value for _, given in self.tags if (value := given.get(attribute)) is not None]


def _document(*blocks: Block, title: str = "Title", organisation: str = "Lime & Sash") -> Document:
    return resolved(Document("d", title, organisation, "", date(2026, 11, 24), False, blocks))


def _page(*blocks: Block) -> _Page:
    return _Page(html_bytes(_document(*blocks), "p { margin: 0 }"))


# ---- words --------------------------------------------------------------------------------------------

_TEXTS = st.text(st.characters(exclude_categories=("C",)), min_size=1, max_size=40)


def test_what_is_folded_into_what_is_folded_is_printed_once() -> None:
    def calls(depth: int) -> int:
        block: Block = Paragraph("words", (Text("told beneath"),))
        for level in range(depth):
            block = Section(f"s{level}", "Findings", (block,), is_folded=True)
        document = _document(block)
        return calls_in(lambda: html_bytes(document, ""))

    calls(1)
    few, some, many = (calls(depth) for depth in (1, 5, 9))
    assert many - some <= some - few


def test_a_folded_section_opens_by_its_heading_without_script() -> None:
    inner = Section("inner", "Findings", (Paragraph("words", (Text("told beneath"),)),), is_folded=True)
    page = _page(Section("outer", "Question", (inner,)))
    tags = [tag for tag, _ in page.tags]
    assert tags[tags.index("details") :][:3] == ["details", "summary", "h3"]
    assert "Findings" in page.words["inner--heading"]
    assert page.words["words"] == "told beneath"
    assert tags.count("details") == 1


@given(_TEXTS, _TEXTS)
def test_words_come_back_exactly(text: str, other: str):
    document = _document(
        Paragraph("p", (Text(text), Text(other))),
        Formula("f", text),
        Section("s", text, (Answer("a", (text,), (other,), ()),)),
        Signatures("g", ((text, other),)),
        title=text,
        organisation=other,
    )
    page = _Page(html_bytes(document, ""))
    assert page.words["p"] == text + other
    assert page.words["f"] == text
    assert page.words["s--heading"] == f"1 {text}"
    assert page.words["g"] == f"RoleNameSignatureDate\n\n{text}{other}\n"
    assert (page.values("data-answers"), page.values("data-citations")) == ([text], [other])


def test_hostile_words_stay_words():
    page = _Page(WRITERS["html"](sample_document()))
    assert not {"script", "b", "img"} & {tag for tag, _ in page.tags}
    assert page.words["own.text"].startswith(HOSTILE)
    assert HOSTILE in page.words["own.table"]
    assert not [href for href in page.values("href") if not is_allowed_href(href)]


@given(_TEXTS, _TEXTS)
def test_neither_a_title_nor_a_stylesheet_can_leave_the_style_element(title: str, css: str):
    document = _document(title=f"{title}</style><script>", organisation='"} </style>')
    page = _Page(html_bytes(document, f"{css}</style><script>x</script>"))
    assert [tag for tag, _ in page.tags if tag in ("style", "script")] == ["style"]


@pytest.mark.parametrize(
    ("href", "allowed"),
    [
        ("https://www.ecfr.gov/current/title-29/section-1910.134", True),
        ("mailto:officer@lime-and-sash.example", True),
        ("gaps.html#FIT-002", True),
        ("../program.html", True),
        ("#fit-testing", True),
        ("http://plain.example/", False),
        ("javascript:alert(1)", False),
        ("JaVaScRiPt:alert(1)", False),
        (" javascript:alert(1)", False),
        ("java\nscript:alert(1)", False),
        ("data:text/html,x", False),
        ("file:///etc/passwd", False),
        ("//elsewhere.example/", False),
        ("/etc/passwd", False),
        ("\\\\server\\share", False),
        ("C:\\file", False),
        ("https://", False),
        ('x"onclick="alert(1)', False),
        ("", False),
    ],
)
def test_only_safe_addresses_become_links(href: str, allowed: bool):
    assert is_allowed_href(href) is allowed
    page = _page(Paragraph("p", (Link(href, (Text("words"),)),)))
    assert page.words["p"] == "words"
    assert (href in page.values("href")) is allowed


def test_citations_are_printed_or_left_out_but_answers_always_know_theirs():
    blocks = (Answer("a", ("X-001", "X-002"), ("(a)(1)", "(b)"), (Paragraph("p", (CitationMark("(c)"),)),)),)
    document = _document(*blocks)
    silent = Document("d", "Title", "", "", date(2026, 11, 24), False, blocks, shows_citations=False)
    shown, hidden = _Page(html_bytes(document, "")), _Page(html_bytes(silent, ""))
    assert (shown.words["p"].strip(), hidden.words.get("p", "")) == ("[(c)]", "")
    for page in (shown, hidden):
        assert page.values("data-answers") == ["X-001 X-002"]
        assert page.values("data-citations") == ["(a)(1); (b)"]


# ---- shape --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", INLINES)
def test_every_kind_of_word_is_written(kind: type):
    node, seen, tag = ONE_OF_EACH_INLINE[kind]
    page = _page(Section("there", "There", (Paragraph("p", (node,)),)))
    assert seen in page.words["there"]
    assert tag in {name for name, _ in page.tags}


@pytest.mark.parametrize("kind", BLOCKS)
def test_every_kind_of_block_is_written(kind: type):
    node, seen, tag = ONE_OF_EACH_BLOCK[kind]
    page = _page(node)
    assert all(word in page.words[node.id] for word in seen.split())
    assert tag in {name for name, _ in page.tags}


@pytest.mark.parametrize("has_cover", [True, False])
def test_ids_are_unique_and_every_place_pointed_at_exists(has_cover: bool):
    page = _Page(WRITERS["html"](sample_document(has_cover=has_cover)))
    ids = page.values("id")
    assert len(set(ids)) == len(ids)
    pointed = [href[1:] for href in page.values("href") if href.startswith("#")]
    pointed += [name for value in page.values("aria-labelledby") for name in value.split()]
    assert pointed and set(pointed) <= set(ids)


@pytest.mark.parametrize("has_cover", [True, False])
def test_headings_start_at_one_and_never_skip_a_level(has_cover: bool):
    deep = Section("c", "C", (Section("d", "D", (Section("e", "E", (Section("f", "F", ()),)),)),))
    nested = _document(Section("a", "A", (Section("b", "B", (deep,)),)))
    for document in (sample_document(has_cover=has_cover), nested):
        page = _Page(WRITERS["html"](document))
        levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch(r"h\d", tag)]
        assert levels[0] == 1 and levels.count(1) == 1
        assert all(after - before <= 1 for before, after in pairwise(levels))


def test_the_page_is_whole_in_one_file():
    text = WRITERS["html"](sample_document()).decode("utf-8")
    page = _Page(text.encode("utf-8"))
    assert not {"script", "link", "img", "iframe"} & {tag for tag, _ in page.tags}
    assert "url(http" not in text and "@import" not in text
    assert page.tags[0] == ("html", {"lang": "en-US"})


def test_paper_is_the_document_s():
    letter = sample_document()
    a4 = resolved(Document("d", "T", "", "", date(2026, 11, 24), False, (), paper="A4"))
    assert b"@page { size: letter;" in html_bytes(letter, "")
    assert b"@page { size: A4;" in html_bytes(a4, "")


# ---- drawings -----------------------------------------------------------------------------------------

_SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">{}</svg>'


def test_two_drawings_with_the_same_ids_do_not_mix():
    drawing = _SVG.format(
        '<title>old</title><defs><path id="p"/></defs><use xlink:href="#p"/><g fill="url(#p)">a &lt; b</g>'
    )
    page = _page(Figure("one", "One", "words", drawing), Figure("two", "", "words", drawing))
    ids = page.values("id")
    assert len(set(ids)) == len(ids) and {"one--p", "two--p"} <= set(ids)
    assert {"#one--p", "#two--p"} <= set(page.values("href"))
    assert page.values("fill") == ["url(#one--p)", "url(#two--p)"]
    assert "old" not in page.words["one"] and "a < b" in page.words["one"]


@pytest.mark.parametrize(
    "inner",
    [
        "<script>alert(1)</script>",
        '<g onclick="alert(1)"/>',
        '<use href="https://elsewhere.example/x.svg"/>',
        '<image href="#x"/>',
        '<g fill="url(https://elsewhere.example/)"/>',
        '<a href="#x"/>',
        "<unclosed>",
    ],
)
def test_a_drawing_that_runs_or_reaches_outside_is_refused(inner: str):
    with pytest.raises(ProgdocError, match="ladder"):
        inline_svg(_SVG.format(inner), "ladder", "title", "words")


# ---- in a browser -------------------------------------------------------------------------------------


@pytest.fixture(scope="module", params=[True, False], ids=["with cover", "without"])
def page_file(request: Any, tmp_path_factory: Any) -> tuple[bool, Path]:
    columns, cells = (Column("Kept"), Column("By")), (Cell((Text("z" * 80),)), Cell((Text("x"),)))
    long_cell = Table("lt", "", columns, (Row("lr", cells),), has_header=False)
    long_word = Section("long", "x" * 120, (Notice("n", "note", (Paragraph("np", (Text("y" * 300),)),)), long_cell))
    document = sample_document(has_cover=request.param)
    document = resolved(replace(document, blocks=(*document.blocks, long_word)))
    file: Path = tmp_path_factory.mktemp("page") / "program.html"
    file.write_bytes(html_bytes(document, (templates_root() / "style.css").read_text(encoding="utf-8")))
    return request.param, file


# With a cover or without, and how wide: the engine reads each once on each change, every pair at night.
READ = [(True, 1200), (False, 390), *([(True, 390), (False, 1200)] if TIMES > 1 else ())]


def test_the_page_never_scrolls_sideways_and_the_accessibility_engine_finds_nothing(
    browser: Browser, page_file: tuple[bool, Path]
) -> None:
    has_cover, file = page_file
    page = browser.new_page()
    page.goto(file.as_uri())
    for width in (1200, 800, 390, 320):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        if (has_cover, width) in READ:
            results = Axe().run(page)
            assert results.violations_count == 0, results.generate_report()
    page.close()


def test_the_first_tab_reaches_a_way_past_the_contents(browser: Browser, page_file: tuple[bool, Path]):
    page = browser.new_page()
    page.goto(page_file[1].as_uri())
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "page--main"
    page.close()


def test_every_printed_page_is_marked_a_draft(browser: Browser, page_file: tuple[bool, Path]):
    """Chromium repeats what is fixed on the page on every sheet: on paper the mark is fixed and shown."""
    page = browser.new_page()
    page.goto(page_file[1].as_uri())
    page.emulate_media(media="print")
    style = page.evaluate(
        "(({position, display}) => [position, display])(getComputedStyle(document.querySelector('.watermark')))"
    )
    assert style == ["fixed", "block"]
    page.close()


# ---- the gap report, folded ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def gaps_file(tmp_path_factory: Any) -> Path:
    findings = (MASK, FIT, OFFICER, replace(STORAGE, fix=f"Say it.\nprocedures:\n  storage:\n    where: {'x' * 200}"))
    document = gap_document(sample_report(findings=findings), "Brook & Lintel", True)
    file: Path = tmp_path_factory.mktemp("gaps") / "gaps.html"
    file.write_bytes(html_bytes(document, (templates_root() / "style.css").read_text(encoding="utf-8")))
    return file


def test_the_gap_report_reads_on_every_screen(browser: Browser, gaps_file: Path):
    """The engine reads the narrowest on each change, the others at night."""
    page = browser.new_page()
    page.goto(gaps_file.as_uri())
    for width in (1200, 390, 320):
        page.set_viewport_size({"width": width, "height": 844})
        for is_open in ("false", "true"):
            page.evaluate(f"document.querySelectorAll('details').forEach(each => each.open = {is_open})")
            assert page.evaluate("document.documentElement.scrollWidth") <= width
        if TIMES > 1 or width == 320:
            results = Axe().run(page)
            assert results.violations_count == 0, results.generate_report()
    page.close()


def test_a_link_to_a_finding_opens_what_it_is_folded_into(browser: Browser, gaps_file: Path):
    page = browser.new_page()
    page.goto(gaps_file.as_uri())
    assert page.locator("details[open]").count() == 0
    page.goto(f"{gaps_file.as_uri()}#STO-001")
    page.wait_for_selector("details[open]")
    assert page.locator("details[open] #STO-001").count() == 1
    page.close()


def test_paper_holds_the_questions_and_what_was_opened(browser: Browser, gaps_file: Path):
    page = browser.new_page()
    page.goto(gaps_file.as_uri())
    page.evaluate("document.querySelector('details').open = true")
    page.emulate_media(media="print")
    shown = [each.is_visible() for each in page.locator("details").all()]
    assert shown == [True, *[False] * (len(shown) - 1)]
    assert all(each.is_visible() for each in page.locator("section > h3").all())
    page.close()
