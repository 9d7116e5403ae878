"""The PDF of a form: each field can be filled in, is tagged and called as one, and on paper all is as before.

What is asked of a field in a file for all readers is from ISO 14289-1 (PDF/UA-1), 7.18: it lies under a tag of its own
(7.18.4), is described in words (7.18.1), and the order of the page is that of the tags (7.18.3). Read by qpdf (pikepdf)
and poppler, and judged by the checker `pdfua`.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from examples import some
from programs.whole import judged_whole
from writers.pdf_fillers import form_fields_of
from writers.test_program_on_paper import heard

from progdoc.core.errors import ProgdocError
from progdoc.core.paper_language import language_of
from progdoc.document.papers.forms import MadeForm, crew_forms, made_forms
from progdoc.document.tree.nodes import Document, FieldKind, FormField
from progdoc.writers.pdf import pdf_bytes
from progdoc.writers.pdf_form.field_places import Widget
from progdoc.writers.pdf_form.fillable_pdf import fillable_pdf

_KINDS = {FieldKind.BOX: "/Btn", FieldKind.CHOICE: "/Btn"}
_READ_ONLY, _SEVERAL_LINES, _RADIO = 1, 1 << 12, 1 << 15  # ISO 32000-1, tables 221, 226, 228


@cache
def _forms() -> list[MadeForm]:
    """Return every form of the firm and of a fire brigade, and the sheets of a crew, with names in them."""
    judged = judged_whole("restoration_2026")
    found = {
        form.name: form
        for program in ("fire-brigade", "restoration_2026")
        for form in made_forms(judged_whole(program))
    }
    found |= {name: form for name, form in crew_forms(judged) if name.endswith("scrape-sashes")}
    return list(found.values())


@cache
def _pdf(document: Document) -> bytes:
    return pdf_bytes(document)


def _paper(document: Document) -> bytes:
    """Return the same paper for the pen: without fields."""
    return pdf_bytes(replace(document, saves_as=""))


def _opened(document: Document) -> pikepdf.Pdf:
    return pikepdf.open(BytesIO(_pdf(document)))


def _read_by_poppler(data: bytes) -> str:
    return subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=data, capture_output=True, check=True
    ).stdout.decode()


# ---- what can be filled in ----------------------------------------------------------------------------


def test_every_field_of_every_form_can_be_filled_in_and_is_called_by_its_label() -> None:
    for form in _forms():
        with _opened(form.document) as file:
            mark, *fields = form_fields_of(file)
            assert (str(mark.T), str(mark.V), int(mark.Ff) & _READ_ONLY) == ("form/mark", form.mark, 1)
            assert [_told(field) for field in fields] == [_wanted(place.field) for place in form.places], form.name
            assert "NeedAppearances" not in file.Root.AcroForm


def _told(field: Any) -> tuple[Any, ...]:
    choices = tuple(str(choice) for choice in field.get("/Opt", []))
    is_radio = bool(int(field.get("/Ff", 0)) & _RADIO)
    value = str(field.get("/V", "")).removeprefix("/Off").removeprefix("/")
    shown = choices[int(value)] if is_radio and value else value
    several = bool(int(field.get("/Ff", 0)) & _SEVERAL_LINES)
    return (
        str(field.T),
        str(field.TU),
        str(field.FT),
        several,
        choices,
        shown,
        len(field.get("/Kids", [])) == len(choices),
    )


def _wanted(field: FormField) -> tuple[Any, ...]:
    label = f"{field.label} (year first, such as 2027-01-31)" if field.kind is FieldKind.DATE else field.label
    kind, several = _KINDS.get(field.kind, "/Tx"), field.kind is FieldKind.LINES
    return field.id.replace(".", "/"), label, kind, several, field.choices, field.value, True


def test_a_box_of_a_choice_is_heard_with_what_it_stands_for() -> None:
    judged = judged_whole("restoration_2026")
    form = next(form for form in made_forms(judged) if form.name == "fit-test-saccharin")
    with _opened(form.document) as file:
        field = next(field for field in form_fields_of(file) if str(field.TU) == "Result")
        heard_as = [str(_tag(file, place).Alt) for place in field.Kids]
    assert heard_as == ["Result: pass", "Result: fail"]


# ---- for all readers ----------------------------------------------------------------------------------


def _places(file: pikepdf.Pdf) -> Iterator[tuple[Any, Any]]:
    for page in file.pages:
        for annotation in page.obj.get("/Annots", []):
            yield page, annotation


def _tag(file: pikepdf.Pdf, place: Any) -> Any:
    return pikepdf.NumberTree(file.Root.StructTreeRoot.ParentTree)[int(place.StructParent)]


def test_each_place_lies_under_a_tag_of_its_own_and_no_link_is_left() -> None:
    for form in _forms():
        with _opened(form.document) as file:
            places = list(_places(file))
            count = sum(max(len(place.field.choices), 1) for place in form.places)
            assert len(places) == count + 1, form.name
            for page, place in places:
                tag = _tag(file, place)
                assert place.Subtype == "/Widget" and tag.S == "/Form" and page.obj.Tabs == "/S"
                (inside,) = tag.K
                assert (
                    inside.Type == "/OBJR" and inside.Obj.objgen == place.objgen and place.P.objgen == page.obj.objgen
                )
                assert tag.objgen in [kid.objgen for kid in tag.P.K if isinstance(kid, pikepdf.Dictionary)]
        assert b"/Link" not in _pdf(form.document) and b"field:" not in _pdf(form.document)


def test_no_word_is_left_on_the_page_without_its_tag() -> None:
    """The words that moved into a field are gone from the page, and from the list of what its tags hold."""
    for form in _forms():
        with _opened(form.document) as file:
            parents = pikepdf.NumberTree(file.Root.StructTreeRoot.ParentTree)
            for page in file.pages:
                drawn = {int(n) for n in re.findall(rb"/MCID (\d+)", page.obj.Contents.read_bytes())}
                tagged = {n for n, tag in enumerate(_under(parents, page)) if isinstance(tag, pikepdf.Dictionary)}
                assert drawn == tagged, form.name


def _under(parents: pikepdf.NumberTree, page: Any) -> list[Any]:
    """Return the tags of a page by the numbers of its words; none of a page that shows nothing but its foot."""
    return list(parents[int(page.obj.StructParents)]) if "/StructParents" in page.obj else []


def test_every_form_can_be_heard(tmp_path: Path) -> None:
    """PDF/UA-1 (ISO 14289-1), as far as a machine can tell."""
    file = tmp_path / "form.pdf"
    for form in some(_forms(), 2):
        file.write_bytes(_pdf(form.document))
        assert heard(file) == [], form.name
        with pikepdf.open(file) as opened:
            assert opened.check_pdf_syntax() == [], form.name


# ---- on paper -----------------------------------------------------------------------------------------


def test_printed_empty_every_form_says_what_it_said_without_fields() -> None:
    for form in some(_forms(), 2):
        paper, screen = _read_by_poppler(_paper(form.document)), _read_by_poppler(_pdf(form.document))
        assert paper.count("\f") == screen.count("\f"), form.name
        assert re.sub(r"[☐\s]+", "", paper) == re.sub(r"\s+", "", screen), form.name


def test_the_words_that_stand_in_a_field_are_drawn_as_they_were_set() -> None:
    form = next(
        form for form in _forms() if form.name == "training" and any(place.field.value for place in form.places)
    )
    with _opened(form.document) as file:
        field = next(field for field in form_fields_of(file) if str(field.get("/V", "")) == "Ada Brook")
        left, below, right, above = (float(edge) for edge in field.Rect)
        assert right - left > 150 and above - below > 12  # the whole cell, so that a longer name has room
        (font,) = {str(font.BaseFont) for font in field.AP.N.Resources.Font.values() if "Regular" in str(font.BaseFont)}
    assert font.endswith("+LibertinusSerif-Regular-Identity-H")
    assert "Ada Brook" in _read_by_poppler(_pdf(form.document))


def test_room_for_a_pen_is_as_high_as_on_paper() -> None:
    """7 mm a line (`templates/page.typ`): rules to write on are drawn beside the fields, not by them."""
    for form in some(_forms(), 3):
        with pikepdf.open(BytesIO(_paper(form.document))) as paper, _opened(form.document) as screen:
            rules = [_rules(file) for file in (paper, screen)]
            assert rules[0] == rules[1], form.name


def _rules(file: pikepdf.Pdf) -> int:
    """Return how many lines to write on are drawn: filled shapes of half a point's height."""
    drawn = b"".join(page.obj.Contents.read_bytes() for page in file.pages)
    return len(re.findall(rb" ([\d.]+) m [\d.]+ ([\d.]+) l 0 \2 l 0 \1 l", drawn))


# ---- only where it can be -----------------------------------------------------------------------------


def test_a_file_that_the_typesetter_makes_otherwise_is_a_fault_of_ours() -> None:
    widget, english = Widget(FormField("a.field", "A")), language_of("en")
    for file in (b"no PDF", _paper(_forms()[0].document), _pdf(_forms()[0].document)):
        with pytest.raises(ProgdocError):
            fillable_pdf(file, [widget], english)
