"""Each form filled in by programs that know nothing of progdoc, and read back field by field.

LibreOffice fills in the Word form through its own interface (UNO) and saves it; Chromium fills in the page and keeps
it: some forms on each change, at night all. PDFium and qpdf fill in the PDF of every form.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from examples import some
from playwright.sync_api import Browser, Page
from programs.whole import judged_whole
from writers.libreoffice import LibreOffice
from writers.pdf_fillers import filled_by_pdfium, filled_by_qpdf

from progdoc.app.form_reading import form_fields
from progdoc.document.papers.forms import MadeForm, crew_forms, made_forms
from progdoc.document.tree.nodes import Document, FieldKind, FormField
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS

_PROGRAMS = ("restoration_2026", "crypt-with-airline", "fire-brigade", "everything-said")
Case = tuple[Judged, MadeForm]


@cache
def _cases() -> list[Case]:
    """Return every form once, the longest of its name, and the sheets of one crew; the shorter ones first."""
    found: dict[str, Case] = {}
    for program in _PROGRAMS:
        judged = judged_whole(program)
        for form in made_forms(judged):
            if form.name not in found:
                found[form.name] = judged, form
    judged = judged_whole("restoration_2026")
    found |= {name: (judged, form) for name, form in crew_forms(judged) if name.endswith("scrape-sashes")}
    return sorted(found.values(), key=lambda case: len(case[1].places))


_TRIED = some(_cases(), max(1, len(_cases()) // 2))


def _value(field: FormField, number: int) -> str:
    match field.kind:
        case FieldKind.DATE:
            return f"2026-11-{number % 28 + 1:02}"
        case FieldKind.BOX:
            return "yes" if number % 3 else ""
        case FieldKind.CHOICE:
            return field.choices[number % len(field.choices)]
        case _:
            return f"Words {number} of Jo & Ann"


def _filling(form: MadeForm) -> dict[int, str]:
    """Return what is filled in, by the number of the field: the first is the form's own mark, and stays."""
    return {number: _value(place.field, number) for number, place in enumerate(form.places, 1)}


def _assert_read_back(data: bytes, judged: Judged, form: MadeForm) -> None:
    fields = form_fields(data, judged)
    assert isinstance(fields, dict), (form.name, fields)
    assert fields.pop("form.mark") == (form.mark,)
    wanted = {place.field.id: (text,) for place, text in zip(form.places, _filling(form).values(), strict=True)}
    assert fields == wanted, form.name


def test_what_libreoffice_fills_in_is_read_back(office: LibreOffice) -> None:
    """It drops the names of the fields, so that they are told by their order; a form under a wrong mark is not."""
    jobs = [(WRITERS["docx"](form.document), _filling(form)) for _, form in _TRIED]
    jobs.append((jobs[0][0], {0: _TRIED[-1][1].mark}))
    *read, wrong = office.filled(jobs)
    for (judged, form), data in zip(_TRIED, read, strict=True):
        _assert_read_back(data, judged, form)
    assert isinstance(form_fields(wrong, _TRIED[0][0]), str)


def test_what_chromium_fills_in_is_read_back(browser: Browser) -> None:
    page = browser.new_page()
    for judged, form in some(_TRIED, 2):
        page.set_content(WRITERS["html"](form.document).decode())
        for place, text in zip(form.places, _filling(form).values(), strict=True):
            _fill(page, place.field, text)
        with page.expect_download() as kept:
            page.get_by_role("button", name="Keep the answers as a file").click()
        assert kept.value.suggested_filename == form.document.saves_as
        _assert_read_back(Path(kept.value.path()).read_bytes(), judged, form)
    page.close()


def _fill(page: Page, field: FormField, text: str) -> None:
    named = page.locator(f'[name="{field.id}"]')
    if field.kind is FieldKind.CHOICE:
        named.and_(page.locator(f'[value="{text}"]')).check()
    elif field.kind is FieldKind.BOX:
        named.set_checked(text == "yes")
    else:
        named.fill(text)


@cache
def _pdf(document: Document) -> bytes:
    return WRITERS["pdf"](document)


@pytest.mark.parametrize("by", [filled_by_pdfium, filled_by_qpdf])
def test_what_is_filled_into_the_pdf_of_every_form_is_read_back(by: Callable[[bytes, dict[str, str]], bytes]) -> None:
    """Nothing filled in reads as nothing filled in; and whatever is, field by field."""
    for judged, form in _cases():
        empty = _pdf(form.document)
        assert form_fields(empty, judged) == {
            "form.mark": (form.mark,),
            **{place.field.id: (place.field.value,) for place in form.places},
        }
        texts = _filling(form).values()
        filling = {place.field.id.replace(".", "/"): text for place, text in zip(form.places, texts, strict=True)}
        _assert_read_back(by(empty, filling), judged, form)


@pytest.mark.parametrize("writer", ["docx", "html"])
def test_a_form_says_which_form_it_is_in_its_first_field(writer: str) -> None:
    judged = judged_whole("restoration_2026")
    form = next(made_forms(judged))
    assert form.mark.replace("&", "&amp;").encode() in _text(WRITERS[writer](form.document))


def _text(data: bytes) -> bytes:
    from io import BytesIO
    from zipfile import ZipFile

    return ZipFile(BytesIO(data)).read("word/document.xml") if data.startswith(b"PK") else data
