"""Fields to fill in, in every format: Word's content controls, controls of a page without script, room for a pen.

Word's controls are checked against ISO/IEC 29500-1 (17.5.2) and the extension of Word 2010 for boxes ([MS-DOCX]
2.6.1.8) by openxml-audit and ooxml-integrity, and by LibreOffice, which must show every word.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
from examples import some
from lxml import etree
from ooxml_integrity import check
from openxml_audit import OpenXmlValidator
from playwright.sync_api import Browser
from programs.whole import judged_whole
from writers.libreoffice import LibreOffice

from progdoc.document.papers.forms import form_documents
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import Cell, Column, Document, FieldKind, FormField, Row, Table, Text
from progdoc.writers import WRITERS
from progdoc.writers.docx import docx_bytes
from progdoc.writers.docx.filled_controls import filled_controls
from progdoc.writers.html_saving import saved_fields

_W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_W14 = "{http://schemas.microsoft.com/office/word/2010/wordml}"
_CHOICES = ("pass", 'fail & "again"')


def _form(value: bool) -> Document:
    given = {
        FieldKind.LINE: "Jo | *Marsh*",
        FieldKind.LINES: "one < two",
        FieldKind.DATE: "2026-02-17",
        FieldKind.CHOICE: _CHOICES[1],
        FieldKind.BOX: "yes",
    }
    rows = tuple(
        Row(
            f"row.{kind}",
            (Cell((Text(f"The {kind}"),)), Cell((_field(kind, given[kind] if value else ""),))),
        )
        for kind in FieldKind
    )
    table = Table("t", "", (Column("", 4), Column("", 6)), rows, has_header=False)
    return resolved(Document("form", "A form", "Lime & Sash", "3", date(2026, 11, 24), False, (table,)))


def _field(kind: FieldKind, value: str) -> FormField:
    choices = _CHOICES if kind is FieldKind.CHOICE else ()
    return FormField(f"field.{kind}", f"The {kind}", kind, choices, value)


def _controls(document: Document) -> list[etree._Element]:
    with ZipFile(BytesIO(docx_bytes(document))) as archive:
        root = etree.fromstring(archive.read("word/document.xml"))
    return list(root.iter(f"{_W}sdt"))


def _shown(control: etree._Element) -> str:
    return "".join(text.text or "" for text in control.iter(f"{_W}t")).strip()


@pytest.mark.parametrize("value", [False, True], ids=["empty", "given"])
def test_two_readers_find_nothing(value: bool, tmp_path: Path) -> None:
    target = tmp_path / "form.docx"
    target.write_bytes(docx_bytes(_form(value)))
    assert [str(error) for error in OpenXmlValidator().validate(target).errors] == []
    assert [str(finding) for finding in check(target)] == []


def test_every_kind_is_a_control_of_its_own_kind_and_number() -> None:
    controls = _controls(_form(False))
    made = [control.find(f"{_W}sdtPr")[-1].tag for control in controls]
    assert made == [f"{_W}text", f"{_W}text", f"{_W}date", f"{_W}dropDownList", f"{_W14}checkbox"]
    numbers = [control.find(f"{_W}sdtPr/{_W}id").get(f"{_W}val") for control in controls]
    assert len(set(numbers)) == len(numbers)
    listed = [item.get(f"{_W}value") for item in controls[3].iter(f"{_W}listItem")]
    assert listed == list(_CHOICES)


def test_an_empty_control_prints_nothing_but_its_choices_and_boxes() -> None:
    shown = [" ".join(_shown(control).split()) for control in _controls(_form(False))]
    assert shown == ["", "", "", f"☐ {_CHOICES[0]} ☐ {_CHOICES[1]}", "☐"]


def test_what_is_given_stands_in_the_control() -> None:
    assert [_shown(control) for control in _controls(_form(True))] == [
        "Jo | *Marsh*",
        "one < two",
        "2026-02-17",
        _CHOICES[1],
        "☒",
    ]


def test_a_page_has_named_controls_and_no_script() -> None:
    page = etree.HTML(WRITERS["html"](_form(True)).decode())
    assert not page.xpath("//script | //form")
    controls = page.xpath("//input | //textarea")
    assert [control.get("type", control.tag) for control in controls] == [
        "text",
        "textarea",
        "date",
        "radio",
        "radio",
        "checkbox",
    ]
    for control in controls:
        assert control.get("aria-label") or control.xpath("ancestor::*[@role='radiogroup']/@aria-label")
    assert page.xpath("//input[@type='radio'][@checked]/@value") == [_CHOICES[1]]
    assert page.xpath("string(//textarea)").strip() == "one < two"


def test_markdown_leaves_room_for_a_pen_and_cuts_no_cell() -> None:
    lines = WRITERS["md"](_form(False)).decode().splitlines()
    rows = [line for line in lines if line.startswith("| **The")]
    assert len(rows) == len(FieldKind)
    assert rows[0].count("\\_") >= 20
    assert "☐ pass ☐ fail" in rows[3]
    given = [line for line in WRITERS["md"](_form(True)).decode().splitlines() if line.startswith("| **The")]
    assert [line.count(" | ") for line in given] == [1] * len(FieldKind)


@pytest.fixture(scope="module")
def forms() -> dict[str, Document]:
    return form_documents(judged_whole("restoration_2026"))


def test_forms_of_a_firm_need_no_repair(forms: dict[str, Document], tmp_path: Path) -> None:
    """The shortest and the longest on each change, at night all of them."""
    by_length = sorted(forms.items(), key=lambda entry: len(str(entry[1])))
    for name, form in some(by_length, len(by_length) - 1):
        target = tmp_path / f"{name}.docx"
        target.write_bytes(docx_bytes(form))
        assert [str(error) for error in OpenXmlValidator().validate(target).errors] == [], name
        assert [str(finding) for finding in check(target)] == [], name


def test_libreoffice_shows_every_label_and_what_is_filled_in(forms: dict[str, Document], office: LibreOffice) -> None:
    made = "".join(office.printed([docx_bytes(forms["fit-test-saccharin"])])[0])
    for words in ("Wearer", "Date of the test", "Saccharin solution aerosol (sweet taste)", "☐", "Hallam H-40", "60 s"):
        assert words in made


# ---- read back ----------------------------------------------------------------------------------------


def test_what_is_given_reads_back_and_what_is_empty_reads_as_nothing() -> None:
    given, empty = (filled_controls(WRITERS["docx"](_form(is_filled))) for is_filled in (True, False))
    assert list(given) == list(empty)
    assert list(given.values()) == [("Jo | *Marsh*",), ("one < two",), ("2026-02-17",), (_CHOICES[1],), ("yes",)]
    assert list(empty.values()) == [("",)] * 5


def test_the_page_that_keeps_answers_runs_its_own_script_and_no_other(browser: Browser) -> None:
    document = replace(_form(True), saves_as="answers.json")
    page = browser.new_page()
    page.set_content(WRITERS["html"](document).decode())
    page.locator("textarea").fill("Two\nlines of “words”")
    with page.expect_download() as kept:
        page.get_by_role("button", name="Keep the answers as a file").click()
    assert kept.value.suggested_filename == "answers.json"
    fields = saved_fields(Path(kept.value.path()).read_bytes())
    assert fields is not None
    assert "Two\nlines of “words”" in fields.values()
    page.locator("textarea").fill("")
    page.get_by_label("Go on with a file kept before").set_input_files(kept.value.path())
    page.get_by_text("fields were filled in from the file").wait_for()
    assert page.locator("textarea").input_value() == "Two\nlines of “words”"
    page.evaluate("document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=\"document.title=1\">')")
    assert page.title() != "1"
    page.close()


def test_any_other_page_keeps_to_its_policy_without_script() -> None:
    page = WRITERS["html"](_form(True))
    assert b"<script" not in page
    assert b"script-src" not in page
