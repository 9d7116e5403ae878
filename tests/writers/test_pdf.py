"""The PDF: every node and every word is in it, nothing typed is run, it is tagged, and its bytes repeat.

Read back by poppler (pdftotext, pdfinfo), which shares no code with what writes it. What is asked of a tagged
file is from ISO 14289-1 (PDF/UA-1): a title, a language, headings, lists and tables as such, alternative text.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from calls import calls_in
from examples import examples
from hypothesis import example, given
from hypothesis import strategies as st
from writers.docx_sample import long_program, long_table, program, words_of
from writers.one_of_each import ONE_OF_EACH_BLOCK, ONE_OF_EACH_INLINE
from writers.sample_tree import HOSTILE, sample_document

from progdoc.cli import main
from progdoc.core.errors import ProgdocError
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    BLOCKS,
    INLINES,
    Block,
    Cell,
    Column,
    Document,
    FieldKind,
    Figure,
    FormField,
    Formula,
    Link,
    Listing,
    ListItem,
    OpenPoint,
    Paragraph,
    Row,
    Section,
    Signatures,
    Strong,
    Table,
    Text,
)
from progdoc.writers.pdf import pdf_bytes

# What typst would run, resolve or set otherwise, had it been written as markup or as a literal.
TYPST_HOSTILE = (
    '#panic("x") #{panic()} "; #panic() // ]#panic()[ \\u{41} \\" $x^2$ @ref <label> = no heading',
    "#import \"@preview/x:1.0.0\": * #read('/etc/passwd') ~ -- --- ... 'single' \"double\" /* c */ // d",
    HOSTILE,
)
_LETTERS = st.characters(
    min_codepoint=0x21, max_codepoint=0x17F, exclude_categories=("C", "Z"), exclude_characters="­ŉſ"
)


@lru_cache(maxsize=16)  # many tests look at the same few
def _pdf(document: Document) -> bytes:
    return pdf_bytes(document)


def _printed(document: Document, *options: str, tool: str = "pdftotext") -> str:
    """Return what poppler reads in the document."""
    arguments = [tool, *options, "-", *(["-"] if tool == "pdftotext" else [])]
    done = subprocess.run(arguments, input=_pdf(document), capture_output=True, check=True)
    return done.stdout.decode("utf-8")


def _pages(document: Document) -> list[str]:
    return _printed(document, "-raw").split("\f")[:-1]


def _squeezed(text: str) -> str:
    """Return the text without spaces and places to break: lines end elsewhere on paper."""
    return re.sub(r"[\s\u200b]+", "", text)


def _alternatives(document: Document) -> str:
    """Return the words that stand for drawings; poppler knows the tags but not these."""
    return b" ".join(re.findall(rb"/Alt\s*\(([^)]*)\)", _pdf(document))).decode("latin-1")


def _with(*blocks: Block, **changes: Any) -> Document:
    bare = Document("d", "Masks", "Lime & Sash", "3", date(2026, 11, 24), False, blocks)
    return resolved(replace(bare, **changes))


def _words(name: str, text: str) -> Paragraph:
    return Paragraph(name, (Text(text),))


# ---- nothing missing ----------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", BLOCKS)
def test_every_kind_of_block_is_on_paper(kind: type) -> None:
    block, words, _ = ONE_OF_EACH_BLOCK[kind]
    document = _with(block)
    text = _printed(document, "-raw") + _alternatives(document)
    assert _squeezed(words).casefold() in _squeezed(text).casefold()


@pytest.mark.parametrize("kind", INLINES)
def test_every_kind_of_word_is_on_paper(kind: type) -> None:
    inline, words, _ = ONE_OF_EACH_INLINE[kind]
    document = _with(Section("there", "There", (Paragraph("p", (inline,)),)))
    assert _squeezed(words) in _squeezed(_printed(document, "-raw"))


@pytest.mark.parametrize("document", [program(), sample_document()], ids=["program", "sample"])
def test_every_word_of_a_document_is_on_paper(document: Document) -> None:
    text = _squeezed(_printed(document, "-raw") + _alternatives(document)).replace("-", "")
    assert [words for words in sorted(words_of(document)) if _squeezed(words).replace("-", "") not in text] == []


def test_citations_are_printed_or_left_out() -> None:
    assert "[29 CFR 1910.134(c)(1)]" in _printed(sample_document(), "-raw")
    assert "1910.134(" not in _printed(sample_document(shows_citations=False), "-raw")


def test_a_form_has_boxes_to_tick_and_shows_what_is_filled_in() -> None:
    fields = (
        FormField("f1", "Result", FieldKind.CHOICE, ("passed", "failed"), "failed"),
        FormField("f2", "Seen", FieldKind.BOX),
        FormField("f3", "Mask", FieldKind.LINE, value="Half mask, P100"),
        FormField("f4", "Remarks", FieldKind.LINES, lines=4),
    )
    text = _printed(_with(Paragraph("p", fields)), "-raw")
    assert re.search(r"☐\s*passed\s*☒\s*failed\s*☐\s*Half mask, P100", text)


# ---- what was typed stays what it was ------------------------------------------------------------------


def _everywhere(text: str) -> Document:
    """Return a document with the text at every place that takes one."""
    cells = (Cell((Text(text),)), Cell((Strong((Text(text),)),)))
    return _with(
        Section("s", text, (_words("p", text),)),
        Table("t", text, (Column(text, 2), Column(text, 3)), (Row("r", cells),)),
        Formula("f", text),
        OpenPoint("o", text, text, "gaps.html"),
        Signatures("g", ((text, text),)),
        Listing("l", True, (ListItem("i", (Paragraph("q", (Link("https://example.org/", (Text(text),)),)),)),)),
        Paragraph("z", (FormField("ff", text, FieldKind.CHOICE, (text,)),)),
        title=text,
        organisation=text,
    )


_PLACES = 15  # of `_everywhere`, those in the page's header left out


@pytest.mark.parametrize("text", TYPST_HOSTILE)
def test_nothing_typed_is_run_or_read_as_markup(text: str) -> None:
    printed = _squeezed(_printed(_everywhere(text), "-raw")).replace("-", "")
    assert printed.count(_squeezed(text).replace("-", "")) >= _PLACES - 2  # titles of columns stand side by side


@examples(40)
@given(st.lists(st.text(_LETTERS, min_size=1, max_size=60), min_size=1, max_size=8))
def test_words_come_back_as_they_were_typed(typed: list[str]) -> None:
    text = " ".join(typed)
    cell = Table("t", "", (Column("Own words"),), (Row("r", (Cell((Text(text),)),)),))
    printed = _squeezed(_printed(_with(_words("p", text), cell), "-raw"))
    assert printed.count(_squeezed(text)) >= 2


@examples(20)
@given(st.text(max_size=40))
@example("0\xad")  # typst 0.15 fails at a link that ends so, or shows nothing
@example("\u200b\u0301\u2060")
@example("👩🏽‍🔧 🇺🇸 \ufe0f")
def test_any_text_at_all_makes_a_document(text: str) -> None:
    assert pdf_bytes(_everywhere(text or "x")).startswith(b"%PDF-1.7")


def test_characters_without_a_glyph_are_shown_and_said() -> None:
    text = _printed(_with(_words("p", "Mask of 山田 😷, size M")), "-raw")
    assert "Mask of \ufffd\ufffd \ufffd, size M" in text
    assert "3 characters that the fonts of this file do not have" in text


def test_set_in_a_process_of_its_own_it_is_the_same_file(monkeypatch: pytest.MonkeyPatch) -> None:
    document = _with(_words("p", "Mask of 山田 😷, size M"))
    here = pdf_bytes(document)
    assert pdf_bytes(document, apart=True) == here
    monkeypatch.setattr(sys, "executable", str(Path(__file__).parent / "nothing-of-the-kind"))
    assert pdf_bytes(document, apart=True) == here  # it is set here where no process can be started
    monkeypatch.undo()
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><script>alert(1)</script></svg>'
    with pytest.raises(ProgdocError, match="<script>"):
        pdf_bytes(_with(Figure("f", "Ladder", "steps", svg)), apart=True)


def test_only_addresses_that_may_be_links_are() -> None:
    refused = ("javascript:alert(1)", "file:///etc/passwd", "//example.org", "https://x.example/" + "y" * 9000)
    links = tuple(Link(href, (Text("here "),)) for href in ("gaps.html#FIT-002", "https://www.ecfr.gov/", *refused))
    listed = _printed(_with(Paragraph("p", links)), "-url", tool="pdfinfo").splitlines()[1:]
    assert [line.split()[-1] for line in listed] == ["gaps.html#FIT-002", "https://www.ecfr.gov/"]


def test_a_drawing_that_runs_something_is_refused() -> None:
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><script>alert(1)</script></svg>'
    with pytest.raises(ProgdocError, match="<script>"):
        pdf_bytes(_with(Figure("f", "Ladder", "steps", svg)))


# ---- nothing cut off -----------------------------------------------------------------------------------


@pytest.mark.parametrize("letter", ["m", "W", "x", "i", "Ж", "@"])
def test_a_word_without_end_stays_on_the_sheet(letter: str) -> None:
    word = letter * 400
    columns = (Column("A", 1), Column("B", 4), Column("C", 2))
    cells = (Cell((Text(word),)), Cell((Text("beside"),)), Cell((Text(word),)))
    document = _with(_words("p", word), Table("t", "", columns, (Row("r", cells),)), title=word)
    boxes = re.findall(
        r'xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)" yMax="[\d.]+">([^<]*)<', _printed(document, "-bbox")
    )
    right = 612 - 65 + 1  # Letter, in points, less the margin
    assert [box for box in boxes if float(box[1]) > right] == []
    edge_of_first_column = 65 + 482 / 7
    assert [box for box in boxes if float(box[0]) < 70 and box[2] == letter * len(box[2])]
    beside = [box for box in boxes if box[2] == "beside"]
    assert float(beside[0][0]) > edge_of_first_column


def test_a_row_taller_than_a_page_runs_on() -> None:
    text = " ".join(f"word{n}" for n in range(3000))
    document = _with(Table("t", "", (Column("A"), Column("B")), (Row("r", (Cell((Text(text),)),)),)))
    printed = _printed(document, "-raw")
    assert [n for n in range(3000) if not re.search(rf"\bword{n}\b", printed)] == []


def test_rows_stay_whole_and_the_header_comes_again() -> None:
    rows = tuple(
        Row(f"r{n}", (Cell((Text(f"start{n}."),)), Cell((Text("word " * (5 + n % 90) + f"end{n}."),))))
        for n in range(120)
    )
    document = _with(Table("t", "Register", (Column("First title"), Column("Second title", 2)), rows))
    pages = _pages(document)
    assert len(pages) > 3
    assert all("First title Second title" in page for page in pages)
    for n in range(120):
        assert [f"start{n}." in page for page in pages] == [f"end{n}." in page for page in pages]


# ---- the page around the text --------------------------------------------------------------------------


@pytest.mark.parametrize("document", [sample_document(), long_program()], ids=["sample", "long"])
def test_every_page_of_a_draft_says_so_across_the_sheet(document: Document) -> None:
    pages = _pages(replace(document, draft=True))
    assert len(pages) > 2
    assert all(_squeezed(page).count("DRAFT") >= 2 for page in pages)


def test_a_final_document_says_draft_nowhere() -> None:
    assert "DRAFT" not in _squeezed(_printed(sample_document(draft=False), "-raw"))


def test_footer_says_revision_and_page_of_pages() -> None:
    pages = _pages(sample_document())
    for n, page in enumerate(pages, 1):
        assert "Revision 3 · in effect from 1 December 2026 · judged as of 24 November 2026" in page
        assert f"Page {n} of {len(pages)}" in page


def test_contents_name_the_page_on_which_the_heading_stands() -> None:
    pages = _pages(long_program())
    contents = "".join(page for page in pages if re.search(r"(\. ){20}", page))
    listed = re.findall(r"^(\d+(?:\.\d+)*) (.+?) (?:\. ){4,}(\d+)$", contents, re.MULTILINE)
    assert len(listed) > 10
    for number, title, page in listed:
        assert f"{number} {title}\n" in pages[int(page) - 1]


def test_references_lead_to_the_page_of_their_place(tmp_path: Path) -> None:
    file = tmp_path / "sample.pdf"
    file.write_bytes(_pdf(sample_document()))
    command = ["pdftohtml", "-xml", "-i", "-stdout", str(file)]
    html = subprocess.run(command, capture_output=True, check=True).stdout.decode()
    assert re.search(r'<a href="[^"]*#2">Table 1</a>', html)
    assert re.search(r'<a href="[^"]*#3">Annex A Worked calculations</a>', html)
    assert re.search(r'<a href="[^"]*#2"><b>Choosing a mask</b></a>', html)  # in the contents


def test_sections_can_be_reached_by_their_ids() -> None:
    names = _printed(sample_document(), "-dests", tool="pdfinfo")
    assert all(f'"{name}"' in names for name in ("scope", "scope.who", "masks", "working.lead"))


@pytest.mark.parametrize(("paper", "size"), [("Letter", "612 x 792 pts (letter)"), ("A4", "595.276 x 841.89 pts (A4)")])
def test_paper_is_what_the_document_asks_for(paper: str, size: str) -> None:
    assert size in _printed(replace(sample_document(), paper=paper), tool="pdfinfo")


# ---- read aloud ----------------------------------------------------------------------------------------


def test_properties_say_what_it_is() -> None:
    properties = _printed(sample_document(), tool="pdfinfo")
    for line in (
        r"Title: +Written respiratory protection program",
        r"Author: +Lime & Sash Restoration",
        r"Keywords: +respirators, lead",
        r"CreationDate: +Tue Nov 24 00:00:00 2026",
        r"Tagged: +yes",
        r"JavaScript: +no",
    ):
        assert re.search(line, properties)


def test_file_claims_pdf_ua_1_and_its_language() -> None:
    metadata = _printed(sample_document(), "-meta", tool="pdfinfo")
    assert "<pdfuaid:part>1</pdfuaid:part>" in metadata
    assert "<rdf:li>en-US</rdf:li>" in metadata


def test_tags_tell_headings_lists_tables_and_drawings_apart() -> None:
    tags = _printed(sample_document(), "-struct-text", tool="pdfinfo")
    for tag in ('H1 "1 Purpose and scope"', 'H2 "1.1 Who is covered"', "TOCI", "LBody", "THead", "/Scope /Column"):
        assert tag in tags
    assert "Figure" in tags
    assert "The air holds 4.8 times the limit." in _alternatives(sample_document())


def test_fonts_are_inside_and_none_is_the_machine_s() -> None:
    fonts = subprocess.run(
        ["pdffonts", "-"], input=_pdf(sample_document()), capture_output=True, check=True
    ).stdout.decode()
    listed = [line for line in fonts.splitlines()[2:] if line]
    assert listed
    assert all(re.match(r"[A-Z]{6}\+(LibertinusSerif|DejaVuSansMono|NewCM)", line) for line in listed)


# ---- the same every time, and only where it can be -----------------------------------------------------


IN_TWO_PROCESSES = (sample_document(), replace(program(), saves_as="to-fill-in.json"))  # the latter with fields


def test_two_processes_write_the_same_bytes() -> None:
    code = (
        "import sys; from writers.test_pdf import IN_TWO_PROCESSES; from progdoc.writers import WRITERS; "
        "sys.stdout.buffer.write(b''.join(map(WRITERS['pdf'], IN_TWO_PROCESSES)))"
    )
    root = Path(__file__).resolve().parents[2]
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join((str(root), str(root / "tests"))),
        "PYTHONHASHSEED": "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1",
        "TZ": "Pacific/Auckland",
    }
    there = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, check=True).stdout
    assert there == b"".join(map(pdf_bytes, IN_TWO_PROCESSES))


def test_the_work_grows_with_the_rows_and_not_faster() -> None:
    def calls(rows: int) -> int:
        document = _with(long_table(rows))
        return calls_in(lambda: pdf_bytes(document))

    assert calls(200) < 5 * calls(50)


def test_the_program_is_written_as_pdf_when_asked_for(tmp_path: Path) -> None:
    sample = Path(__file__).resolve().parents[2] / "sample_config" / "small_shop"
    arguments = ["build", str(sample), "-o", str(tmp_path / "out"), "--on", "2026-06-01", "--only", "pdf"]
    assert main(arguments) == 0
    assert (tmp_path / "out" / "program.pdf").read_bytes().startswith(b"%PDF-1.7")
    assert not (tmp_path / "out" / "program.docx").exists()
