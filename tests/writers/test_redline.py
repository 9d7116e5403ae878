"""The redline: accepting every change gives the new program's text, rejecting every one the old one's.

A writer's own reader is no proof. The text is read by an OOXML reader that shares nothing with the writer and
knows tables (tracked_changes.py), and by LibreOffice, which accepts and rejects the changes itself. Both are held
against the documents that the ordinary writer makes of the two trees.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from examples import TIMES, examples
from hypothesis import HealthCheck, Phase, given
from lxml import etree
from ooxml_integrity import check
from openxml_audit import OpenXmlValidator
from writers.docx_sample import program
from writers.generated_trees import revisions
from writers.libreoffice import LibreOffice
from writers.tracked_changes import text_of

from progdoc.app.disk.description_files import check_path
from progdoc.comparison.text_changes import changed_words
from progdoc.core.resources import templates_root
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import Cell, Column, Document, Paragraph, Row, Section, Table, Text
from progdoc.writers.docx import docx_bytes
from progdoc.writers.docx.tracked_changes import redline_docx
from progdoc.writers.redline import redline_tree
from progdoc.writers.redline_html import redline_html

ROOT = Path(__file__).resolve().parents[2]
MADE = "2026-11-24T00:00:00Z"
_W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_STYLE = (templates_root() / "style.css").read_text(encoding="utf-8")


def _redline(old: Document, new: Document) -> bytes:
    return redline_docx(redline_tree(old, new), "Ada Brook", MADE)


def _written(path: Path, on: date = date(2026, 11, 24)) -> Document:
    checked = check_path(path, on)
    assert checked.judged is not None
    return written_program(checked.judged, shipped_templates()).program


@pytest.fixture(scope="module")
def samples() -> tuple[Document, Document]:
    return _written(ROOT / "sample_config/restoration_2025"), _written(ROOT / "sample_config/restoration_2026")


@pytest.fixture(scope="module")
def redline(samples: tuple[Document, Document]) -> bytes:
    return _redline(*samples)


# ---- accept = new, reject = old -----------------------------------------------------------------------


@examples(12, suppress_health_check=list(HealthCheck))
@given(revisions())
def test_generated_edits_can_be_accepted_and_rejected(pair: tuple[Document, Document]) -> None:
    old, new = pair
    data = _redline(old, new)
    assert text_of(data, "ins") == text_of(docx_bytes(new), counted=True)
    assert text_of(data, "del") == text_of(docx_bytes(old), counted=True)


def test_samples_can_be_accepted_and_rejected(samples: tuple[Document, Document], redline: bytes) -> None:
    old, new = samples
    assert text_of(redline, "ins") == text_of(docx_bytes(new), counted=True)
    assert text_of(redline, "del") == text_of(docx_bytes(old), counted=True)


def test_libreoffice_accepts_and_rejects_the_samples_and_generated_edits(
    samples: tuple[Document, Document], office: LibreOffice
) -> None:
    """The samples themselves at night. No table stands in another: LibreOffice 7.4 leaves its frame standing, empty."""
    pairs: list[tuple[Document, Document]] = []

    @examples(8, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(revisions(nests=False))
    def draw(pair: tuple[Document, Document]) -> None:
        pairs.append(pair)

    draw()
    assert len(pairs) >= 2
    _libreoffice_settles([_moved(), *pairs, *([samples] if TIMES > 1 else [])], office)


def _libreoffice_settles(pairs: list[tuple[Document, Document]], office: LibreOffice) -> None:
    """Hold what is left of each redline against the documents it was made of: the new one, then the old one."""
    settled = office.settled([(_redline(*pair), what) for pair in pairs for what in ("Accept", "Reject")])
    wanted = [document for old, new in pairs for document in (new, old)]
    for left, document in zip(settled, wanted, strict=True):
        assert text_of(left) == text_of(docx_bytes(document), counted=True)


@examples(10, suppress_health_check=list(HealthCheck))
@given(revisions())
def test_a_document_compared_with_itself_has_no_mark(pair: tuple[Document, Document]) -> None:
    data = _redline(pair[0], pair[0])
    assert not re.search(rb"<w:(ins|del|delText|move\w+)[ >]", ZipFile(BytesIO(data)).read("word/document.xml"))
    page = redline_html(redline_tree(pair[0], pair[0]), _STYLE).decode()
    assert not re.search("<(ins|del)[ >]", page)


# ---- moves --------------------------------------------------------------------------------------------


def _moved() -> tuple[Document, Document]:
    """Return a document, and the same with a section and two rows elsewhere, one of them in another table.

    The section has a table; a word of the section changed, and one of a row.
    """
    closed, opened = (
        Paragraph("first.p", (Text(f"Masks are kept in {how} boxes, away from dust."),)) for how in ("closed", "open")
    )
    boxes = _table("boxes", lid="stays shut", label="names one wearer")
    first = Section("first", "Storage", (closed, boxes))
    lead, silica, toluene = {"lead": "is dust"}, {"silica": "is sand"}, {"toluene": "is in the air at noon"}
    evening, resin = {"toluene": "is in the air at night"}, {"resin": "hardens and smells"}
    second = Section("second", "Use", (_table("agents", **lead, **silica, **toluene, **resin),))
    words = Paragraph("third.p", (Text("The officer keeps them."),))
    third = Section("third", "Records", (words, _table("kept", sheets="of each task")))
    other = replace(second, blocks=(_table("agents", **evening, **lead, **silica),))
    with_resin = replace(third, blocks=(words, _table("kept", **resin, sheets="of each task")))
    before, after = (first, second, third), (other, with_resin, replace(first, blocks=(opened, boxes)))
    bare = replace(program(), has_cover=False)  # no contents, in which the lines move too
    return resolved(replace(bare, blocks=before)), resolved(replace(bare, blocks=after))


def _table(identity: str, **rows: str) -> Table:
    lines = tuple(Row(f"of.{name}", (Cell((Text(name),)), Cell((Text(said),)))) for name, said in rows.items())
    return Table(identity, identity.title(), (Column("What"), Column("How it is")), lines)


def test_what_stands_elsewhere_is_a_move_in_word() -> None:
    old, new = _moved()
    root = etree.fromstring(ZipFile(BytesIO(_redline(old, new))).read("word/document.xml"))
    names = [[mark.get(f"{_W}name") for mark in root.iter(f"{_W}move{way}RangeStart")] for way in ("From", "To")]
    assert sorted(names[0]) == sorted(names[1]) == ["move1", "move2", "move3"]
    for way in ("From", "To"):
        starts, ends = ([m.get(f"{_W}id") for m in root.iter(f"{_W}move{way}Range{end}")] for end in ("Start", "End"))
        assert starts == ends
        words = "".join(text.text for mark in root.iter(f"{_W}move{way}") for text in mark.iter(f"{_W}t"))
        for moved in (
            "Storage",
            "Masks are kept in  boxes, away from dust.",
            "lidstays shut",
            "resinhardens and smells",
        ):
            assert words.count(moved) == 1
        assert "toluene" in words
    deleted = ["".join(mark.itertext()) for mark in root.iter(f"{_W}del")]
    inserted = ["".join(mark.itertext()) for mark in root.iter(f"{_W}ins")]
    assert {"closed", "noon"} <= set(deleted)
    assert {"open", "night"} <= set(inserted)
    assert not any(word in text for text in (*deleted, *inserted) for word in ("Storage", "lid", "toluene", "resin"))


def test_a_row_that_stands_elsewhere_goes_and_comes_as_a_row_and_its_words_move() -> None:
    """A row's mark says nothing of what is in it (ISO/IEC 29500-1, 17.13.5.12, 17.13.5.16), and knows no moves."""
    old, new = _moved()
    root = etree.fromstring(ZipFile(BytesIO(_redline(old, new))).read("word/document.xml"))
    marked: dict[tuple[str, str], set[str]] = {}
    for row in root.iter(f"{_W}tr"):
        sorts = [etree.QName(mark).localname for mark in row.iterfind(f"{_W}trPr/*") if mark.get(f"{_W}author")]
        name = "".join(text.text for text in row.find(f"{_W}tc").iter(f"{_W}t", f"{_W}delText"))
        if sorts:
            within = {etree.QName(run.getparent()).localname for run in row.iter(f"{_W}r")}
            marked[name, sorts[0]] = within
    moves = {"del": {"moveFrom"}, "ins": {"moveTo"}}
    wanted = {(name, sort): moves[sort] for name in ("What", "lid", "label", "resin") for sort in moves}
    wanted |= {("toluene", "del"): {"moveFrom", "del"}, ("toluene", "ins"): {"moveTo", "ins"}}
    assert marked == wanted


def test_what_stands_elsewhere_is_a_move_on_the_page() -> None:
    main = _main(redline_html(redline_tree(*_moved()), _STYLE).decode())
    links = main.findall(".//a[@class='moved']")
    places = {element.get("id") for element in main.iter("ins", "del") if element.get("class") == "moved"} - {None}
    assert {link.get("href") for link in links} == {f"#{place}" for place in places}
    assert len(places) == 6
    for tag, words in (("del", {"closed", "noon"}), ("ins", {"open", "night"})):
        told = [element.text for element in main.iter(tag) if element.get("class") is None]
        assert {text for text in told if text and not text.isdigit()} == words


def test_what_moved_is_counted_apart() -> None:
    """By hand: the numbers of three sections and three tables and two words changed.

    Moved are a heading, eight words of its paragraph, its table's thirteen, and rows of six and of four words.
    """
    assert changed_words(redline_tree(*_moved())) == (8, 8, 32)


# ---- the form of the marks ----------------------------------------------------------------------------


def _errors(data: bytes, file: Path) -> list[str]:
    """Return what two strict readers find; number 0, "not counted" (ISO/IEC 29500-1, 17.9.18), is no fault."""
    file.write_bytes(data)
    found = [str(error) for error in OpenXmlValidator().validate(file).errors] + [str(fault) for fault in check(file)]
    return [error for error in found if "Numbering definition '0'" not in error]


def test_strict_readers_find_no_fault(redline: bytes, tmp_path: Path) -> None:
    assert _errors(redline, tmp_path / "redline.docx") == []
    assert _errors(_redline(*_moved()), tmp_path / "moved.docx") == []


def test_every_mark_is_complete_and_numbered_once(redline: bytes) -> None:
    root = etree.fromstring(ZipFile(BytesIO(redline)).read("word/document.xml"))
    marks = [*root.iter(f"{_W}ins"), *root.iter(f"{_W}del")]
    numbers = [mark.get(f"{_W}id") for mark in marks]
    assert len(set(numbers)) == len(numbers) > 100
    assert {(mark.get(f"{_W}author"), mark.get(f"{_W}date")) for mark in marks} == {("Ada Brook", MADE)}
    for mark in root.iter(f"{_W}del"):
        assert not list(mark.iter(f"{_W}t"))  # deleted words are delText
    marked_rows = [
        p for p in root.iter(f"{_W}trPr") if p.find(f"{_W}ins") is not None or p.find(f"{_W}del") is not None
    ]
    assert marked_rows
    for properties in marked_rows:
        if properties.find(f"{_W}cantSplit") is not None:
            assert properties[0].tag == f"{_W}cantSplit"
        row = properties.getparent()
        assert all(run.getparent().tag in (f"{_W}ins", f"{_W}del") for run in row.iter(f"{_W}r"))


def test_the_same_pair_gives_the_same_bytes(samples: tuple[Document, Document], redline: bytes) -> None:
    assert _redline(*samples) == redline


def test_no_mark_is_left_as_a_character() -> None:
    old = resolved(replace(program(), title="Old title", draft=True))
    new = resolved(replace(program(), title="New title", draft=False))
    with ZipFile(BytesIO(_redline(old, new))) as archive:
        for name in archive.namelist():
            if name.endswith(".xml"):
                assert not re.search("[\ue010-\ue029]", archive.read(name).decode()), name
    assert not re.search("[\ue010-\ue029]", redline_html(redline_tree(old, new), _STYLE).decode())


def test_a_users_own_mark_character_is_only_a_character() -> None:
    text = Section("own", "Own", (Paragraph("own.p", (Text("one \ue010\ue014 two"),)),))
    new = resolved(replace(program(), blocks=(text,)))
    assert text_of(_redline(new, new))[-1] == "one \ufffd\ufffd two"
    assert "<ins>" not in redline_html(redline_tree(new, new), _STYLE).decode()


# ---- as a web page ------------------------------------------------------------------------------------


def _html_text(page: str, keeps: str) -> str:
    """Return the page's words with what the other side has left out; tags may be anywhere."""
    main = _main(page)
    for element in list(main.iter("del" if keeps == "ins" else "ins")):
        for inner in list(element):
            element.remove(inner)
        element.text = ""
    return "".join("".join(main.itertext()).split())


def _main(page: str) -> Any:
    """Return the page's body, which must be well formed: every ins and del closes where it began."""
    body = page[page.index("<main") : page.index("</main>") + 7]
    return etree.fromstring(re.sub(r"<(br|col [^>]*)>", r"<\1/>", body))


@examples(12, suppress_health_check=list(HealthCheck))
@given(revisions())
def test_the_page_holds_both_texts_and_is_well_formed(pair: tuple[Document, Document]) -> None:
    old, new = pair
    page = redline_html(redline_tree(old, new), _STYLE).decode()
    alone = [redline_html(redline_tree(one, one), _STYLE).decode() for one in (new, old)]
    assert _html_text(page, "ins") == _html_text(alone[0], "ins")
    assert _html_text(page, "del") == _html_text(alone[1], "del")
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(set(ids)) == len(ids)
