"""The Word document: every node is in it, nothing in it needs repair, and it opens in another program.

Structure is checked against ISO/IEC 29500 (WordprocessingML) by two independent readers, openxml-audit and
ooxml-integrity; what neither sees (open fields and bookmarks, short rows, repeated ids) is checked here.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import replace
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZIP_STORED, ZipFile

import docx
import pytest
from calls import calls_in
from examples import TIMES, examples
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from ooxml_integrity import check
from openxml_audit import OpenXmlValidator
from published_value import published
from writers.docx_sample import long_program, long_table, nodes_below, paragraph, program, task_page, words_of
from writers.reference_docx import reference_bytes

from progdoc.core.resources import templates_root
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    BLOCKS,
    INLINES,
    Answer,
    Cell,
    Column,
    Document,
    Link,
    Listing,
    Notice,
    Paragraph,
    Row,
    Section,
    Table,
    Text,
)
from progdoc.writers.docx import docx_bytes, package
from progdoc.writers.letter_widths import text_width

_A = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
_EMBED = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}embed"
_W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"


def _part(data: bytes, name: str) -> str:
    with ZipFile(BytesIO(data)) as archive:
        return archive.read(name).decode()


def _body(document: Document) -> etree._Element:
    return etree.fromstring(_part(docx_bytes(document), "word/document.xml").encode())


def _with(*blocks: Any, **changes: Any) -> Document:
    return resolved(replace(program(), blocks=blocks, has_cover=False, **changes))


def _text(element: etree._Element) -> str:
    return "".join(node.text or "" for node in element.iter(f"{_W}t"))


def _style(element: etree._Element) -> str:
    style = element.find(f"{_W}pPr/{_W}pStyle")
    return "" if style is None else str(style.get(f"{_W}val"))


def _styled(body: etree._Element, style: str) -> list[etree._Element]:
    return [element for element in body.iter(f"{_W}p") if _style(element) == style]


# ---- nothing missing ----------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [*INLINES, *BLOCKS])
def test_sample_holds_every_kind_of_node(kind: type) -> None:
    assert any(type(node) is kind for node in nodes_below(program().blocks))


def test_every_node_is_in_the_text() -> None:
    text = " ".join(_text(_body(program())).split())
    assert [words for words in sorted(words_of(program())) if words not in text] == []


# ---- nothing to repair --------------------------------------------------------------------------------


READ = [program(), program(draft=False), task_page(), *([long_program()] if TIMES > 1 else [])]


@pytest.mark.parametrize("document", READ, ids=lambda d: d.id)
def test_two_readers_find_nothing(document: Document, tmp_path: Path) -> None:
    target = tmp_path / "document.docx"
    target.write_bytes(docx_bytes(document))
    assert [str(error) for error in OpenXmlValidator().validate(target).errors] == []
    assert [str(finding) for finding in check(target)] == []


@published("MS-ODRAWXML 2.3.3.1, svgBlip: the drawing beside the points that older programs show")
def test_a_drawing_is_in_the_package_in_the_type_of_the_document() -> None:
    data = docx_bytes(program())
    (blip,) = (one for one in etree.fromstring(_part(data, "word/document.xml").encode()).iter(f"{_A}blip") if len(one))
    (drawn,) = blip.iter("{http://schemas.microsoft.com/office/drawing/2016/SVG/main}svgBlip")
    relations = etree.fromstring(_part(data, "word/_rels/document.xml.rels").encode())
    targets = {relation.get("Id"): relation.get("Target") for relation in relations}
    svg = etree.fromstring(_part(data, f"word/{targets[drawn.get(_EMBED)]}").encode())
    plain = etree.fromstring(_part(data, "word/styles.xml").encode()).find(f"{_W}docDefaults/{_W}rPrDefault/{_W}rPr")
    assert plain is not None
    assert svg.get("font-family") == f"{plain.find(f'{_W}rFonts').get(f'{_W}ascii')}, sans-serif"
    assert svg[0].get("font-family") == "Mono"  # what says its own type keeps it
    assert targets[blip.get(_EMBED)].endswith(".png")


def test_reference_document_is_what_its_script_makes(tmp_path: Path) -> None:
    committed = templates_root().joinpath("reference.docx").read_bytes()
    assert committed == reference_bytes()
    (tmp_path / "reference.docx").write_bytes(committed)
    assert [str(error) for error in OpenXmlValidator().validate(tmp_path / "reference.docx").errors] == []
    assert [str(finding) for finding in check(tmp_path / "reference.docx")] == []


def test_the_reference_document_is_read_and_fitted_once_for_many_papers() -> None:
    package._entries.cache_clear()
    package._styles.cache_clear()
    written = [docx_bytes(replace(task_page(), title=f"Page {number}")) for number in range(5)]
    assert len(set(written)) == 5
    assert (package._entries.cache_info().misses, package._styles.cache_info().misses) == (1, 1)


def _open_fields(root: etree._Element) -> int:
    depth = 0
    for mark in root.iter(f"{_W}fldChar"):
        depth += {"begin": 1, "separate": 0, "end": -1}[str(mark.get(f"{_W}fldCharType"))]
        assert depth >= 0
    return depth


@pytest.mark.parametrize("document", [program(), long_program(), task_page()], ids=lambda d: d.id)
def test_fields_bookmarks_rows_and_ids_are_whole(document: Document) -> None:
    data = docx_bytes(document)
    with ZipFile(BytesIO(data)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist() if name.endswith(".xml")}
    roots = [etree.fromstring(part) for part in parts.values()]
    assert [_open_fields(root) for root in roots] == [0] * len(roots)

    body = etree.fromstring(parts["word/document.xml"])
    starts = [mark.get(f"{_W}id") for mark in body.iter(f"{_W}bookmarkStart")]
    ends = [mark.get(f"{_W}id") for mark in body.iter(f"{_W}bookmarkEnd")]
    names = [str(mark.get(f"{_W}name")) for mark in body.iter(f"{_W}bookmarkStart")]
    assert sorted(starts) == sorted(ends)
    assert len(set(starts)) == len(starts)
    assert len({name.lower() for name in names}) == len(names)
    assert all(re.fullmatch(r"[A-Za-z_]\w{0,39}", name, re.ASCII) for name in names)
    anchors = {str(link.get(f"{_W}anchor")) for link in body.iter(f"{_W}hyperlink") if link.get(f"{_W}anchor")}
    assert anchors <= set(names)
    assert anchors

    for table in body.iter(f"{_W}tbl"):
        columns = len(table.findall(f"{_W}tblGrid/{_W}gridCol"))
        assert [len(row.findall(f"{_W}tc")) for row in table.findall(f"{_W}tr")] == [columns] * len(
            table.findall(f"{_W}tr")
        )
        assert all(cell[-1].tag == f"{_W}p" for cell in table.iter(f"{_W}tc"))
        assert table.getnext().tag == f"{_W}p"  # or Word joins it to the next table
    for point in _styled(body, "OpenPoint"):
        assert re.match(r"TableGap|Heading\d", str(_style(point.getnext())))  # or Word draws one frame round two
    drawings = [mark.get("id") for mark in body.iter("{*}docPr")]
    assert len(set(drawings)) == len(drawings)


def test_nothing_prompts_runs_or_fetches() -> None:
    with ZipFile(BytesIO(docx_bytes(program()))) as archive:
        names = archive.namelist()
        everything = "".join(archive.read(name).decode() for name in names if name.endswith((".xml", ".rels")))
    assert "updateFields" not in everything
    assert "w:dirty" not in everything
    assert not [name for name in names if "vba" in name.lower() or "macro" in name.lower()]
    outside = re.findall(r'Target="([^"]+)" TargetMode="External"', everything)
    assert sorted(outside) == ["gaps.html#ADM-002", "https://www.ecfr.gov/current/title-29"]


# ---- same input, same bytes ---------------------------------------------------------------------------


def test_bytes_repeat_in_another_process() -> None:
    code = (
        "import sys; from hashlib import sha256; from writers.docx_sample import program; "
        "from progdoc.writers.docx import docx_bytes; print(sha256(docx_bytes(program())).hexdigest())"
    )
    root = Path(__file__).resolve().parents[2]
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    there = subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        capture_output=True,
        env={"PYTHONHASHSEED": seed, "PYTHONPATH": f"{root}{':'}{root / 'tests'}", "TZ": "Pacific/Auckland"},
    ).stdout
    assert there.decode().strip() == sha256(docx_bytes(program())).hexdigest()


def test_zip_entries_are_stored_with_one_date() -> None:
    with ZipFile(BytesIO(docx_bytes(program()))) as archive:
        entries = archive.infolist()
    assert {entry.compress_type for entry in entries} == {ZIP_STORED}
    assert {entry.date_time for entry in entries} == {(1980, 1, 1, 0, 0, 0)}
    assert entries[0].filename == "[Content_Types].xml"


def test_libraries_load_only_when_a_document_is_written() -> None:
    code = "import sys, progdoc.writers.docx; print([m for m in ('docx', 'lxml') if m in sys.modules])"
    root = Path(__file__).resolve().parents[2]
    made = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, cwd=root)
    assert made.stdout.strip() == b"[]"


# ---- properties, page ---------------------------------------------------------------------------------


def test_core_properties_and_language() -> None:
    data = docx_bytes(program())
    properties = docx.Document(BytesIO(data)).core_properties
    assert properties.title == "Written Respiratory Protection Program"
    assert properties.author == "Lime & Sash Restoration"
    assert properties.keywords == "respirators, restoration"
    assert str(properties.created) == str(properties.modified) == "2026-11-24 00:00:00+00:00"
    assert properties.language == "en-US"
    assert 'w:lang w:val="en-GB"' in _part(docx_bytes(task_page()), "word/styles.xml")


@pytest.mark.parametrize(("document", "size"), [(program(), ("12240", "15840")), (task_page(), ("11906", "16838"))])
def test_paper(document: Document, size: tuple[str, str]) -> None:
    sheet = _body(document).find(f".//{_W}pgSz")
    assert sheet is not None
    assert (sheet.get(f"{_W}w"), sheet.get(f"{_W}h")) == size


@pytest.mark.parametrize("is_draft", [True, False])
def test_every_page_of_a_draft_says_so_and_no_other(is_draft: bool) -> None:
    data = docx_bytes(program(is_draft))
    for name in ("word/header1.xml", "word/header2.xml"):
        assert ("<w:t" in _part(data, name) and ">DRAFT<" in _part(data, name)) is is_draft
        assert ('string="DRAFT"' in _part(data, name)) is is_draft


def test_contents_name_every_part_and_lead_to_it() -> None:
    body = _body(program())
    entries = [_text(element) for level in (1, 2) for element in _styled(body, f"TOC{level}")]
    headings = [_text(element) for level in (1, 2) for element in _styled(body, f"Heading{level}")]
    assert len(entries) == len(headings)
    assert all(any(heading in entry for heading in headings) for entry in entries)
    assert [entry for entry in entries if entry.startswith("Annex AWorked calculations")]
    instructions = [str(node.text).split()[0] for node in body.iter(f"{_W}instrText")]
    assert instructions.count("TOC") == 1


# ---- headings, lists, tables --------------------------------------------------------------------------


def test_headings_are_counted_by_word_and_typed_where_word_would_count_otherwise() -> None:
    inner = Section("b.a", "Inner", ())
    body = _body(_with(Section("a", "One", ()), Section("b", "Two", (inner,))))
    assert [_text(element) for element in _styled(body, "Heading1")] == ["One", "Two"]
    skipped = replace(_with(), blocks=(Section("a", "One", (), number="7"),))
    (heading,) = _styled(_body(skipped), "Heading1")
    assert _text(heading) == "7 One"
    assert heading.find(f"{_W}pPr/{_W}numPr/{_W}numId").get(f"{_W}val") == "0"


def test_each_list_has_numbering_of_its_own() -> None:
    data = docx_bytes(program())
    body = etree.fromstring(_part(data, "word/document.xml").encode())
    used = {
        str(node.find(f"{_W}pPr/{_W}numPr/{_W}numId").get(f"{_W}val"))
        for style in ("ListNumber", "ListBullet")
        for node in _styled(body, style)
    }
    assert len(used) == sum(isinstance(node, Listing) for node in nodes_below(program().blocks))
    numbering = _part(data, "word/numbering.xml")
    assert all(f'w:numId="{number}"' in numbering for number in used)
    assert numbering.count("<w:startOverride") == len(used)


def test_no_heading_of_a_column_is_broken_within_a_word_where_others_have_room() -> None:
    columns = (Column("Lavado", 2), Column("Desinfectado", 2), Column("Firma", 9))
    made = Table("log", "", columns, (Row("log.1", (Cell(()), Cell(()), Cell(()))),))
    table = _body(_with(made)).findall(f"{_W}body/{_W}tbl")[-1]
    widths = [int(str(column.get(f"{_W}w"))) for column in table.findall(f"{_W}tblGrid/{_W}gridCol")]
    assert sum(widths) == 9632
    assert widths[1] - 170 > text_width("Desinfectado", 180, is_bold=True)  # 9 pt, and the margins of a cell


def test_table_repeats_its_header_and_keeps_rows_whole() -> None:
    titled = long_table(3)
    titled = replace(titled, columns=tuple(replace(column, title=column.title[-1]) for column in titled.columns))
    body = _body(_with(titled))
    table = body.findall(f"{_W}body/{_W}tbl")[-1]
    rows = table.findall(f"{_W}tr")
    assert [row.find(f"{_W}trPr/{_W}tblHeader") is not None for row in rows] == [True, False, False, False]
    assert all(row.find(f"{_W}trPr/{_W}cantSplit") is not None for row in rows)
    widths = [int(str(column.get(f"{_W}w"))) for column in table.findall(f"{_W}tblGrid/{_W}gridCol")]
    assert sum(widths) == 9632
    assert widths[1] == pytest.approx(2 * widths[0], abs=2)
    numeric = rows[1].findall(f"{_W}tc")[3].find(f"{_W}p/{_W}pPr/{_W}jc")
    assert numeric is not None
    assert numeric.get(f"{_W}val") == "right"
    (caption,) = _styled(body, "Caption")
    assert _text(caption) == "Table 1. Register of masks"
    assert caption.find(f"{_W}pPr/{_W}keepNext") is not None


def test_the_work_grows_with_the_rows_of_a_table() -> None:
    def calls(rows: int) -> int:
        document = _with(long_table(rows))
        return calls_in(lambda: docx_bytes(document))

    assert calls(800) < 5 * calls(200)  # 16 times and more, were it quadratic


@pytest.mark.parametrize("kind", ["danger", "caution", "note"])
def test_notice_says_its_kind_in_words(kind: str) -> None:
    body = _body(_with(Notice("n", kind, (paragraph("p", "Words."),))))
    assert [_text(element) for element in _styled(body, "NoticeHeading")] == [kind.capitalize()]


def test_table_that_ends_a_notice_is_followed_by_a_paragraph() -> None:
    document = _with(Notice("n", "note", (Answer("a", (), (), (long_table(1),)),)))
    cells = list(_body(document).iter(f"{_W}tc"))
    assert all(cell[-1].tag == f"{_W}p" for cell in cells)


# ---- what people type ---------------------------------------------------------------------------------


@examples(25)
@given(st.text())
def test_any_text_is_escaped_and_stays_what_it_was(text: str) -> None:
    body = _body(_with(Paragraph("p", (Text(text),))))
    written = "".join(
        {f"{_W}t": node.text or "", f"{_W}br": "\n", f"{_W}tab": "\t"}.get(str(node.tag), "")
        for node in _styled(body, "Normal")[-1].iter()
    )
    kept = re.sub("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]", "", text)
    assert written == kept.replace("\r\n", "\n").replace("\r", "\n")


def test_characters_that_xml_forbids_do_not_stop_a_title_or_an_address() -> None:
    named = _with(paragraph("p", Link("plan-ü.pdf", (Text("plan"),))), title="A\x07B", organisation="C\x00D")
    data = docx_bytes(named)
    assert docx.Document(BytesIO(data)).core_properties.title == "AB"
    assert 'Target="plan-%C3%BC.pdf"' in _part(data, "word/_rels/document.xml.rels")


def test_spaces_at_the_edges_stay() -> None:
    assert '<w:t xml:space="preserve">  two </w:t>' in _part(
        docx_bytes(_with(paragraph("p", "  two "))), "word/document.xml"
    )


@pytest.mark.parametrize("href", ["javascript:alert(1)", "file:///etc/hosts", "//example.org/x", "a b"])
def test_address_that_is_none_of_ours_is_printed_as_words(href: str) -> None:
    data = docx_bytes(_with(paragraph("p", Link(href, (Text("here"),)))))
    assert href not in _part(data, "word/_rels/document.xml.rels")
    assert "here" in _text(etree.fromstring(_part(data, "word/document.xml").encode()))


def test_ids_that_look_alike_in_word_keep_bookmarks_of_their_own() -> None:
    long = "a" * 60
    sections = tuple(Section(name, name, ()) for name in ("x-y", "x.y", "X.Y", long, f"{long}b"))
    names = [str(mark.get(f"{_W}name")) for mark in _body(_with(*sections)).iter(f"{_W}bookmarkStart")]
    assert len({name.lower() for name in names}) == len(sections)
    assert max(map(len, names)) <= 40
