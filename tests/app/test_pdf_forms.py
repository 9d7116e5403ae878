"""Forms filled in as PDF become records: each that reads back, whole or in part, and no other; and where they are made.

They are filled in by PDFium, the engine of Chromium, and by qpdf.
"""

from __future__ import annotations

import re
from functools import cache
from io import BytesIO
from pathlib import Path
from shutil import copytree

import pikepdf
import pytest
from app.filled_form import called, form_called
from app.test_form_records import DAY, FIRM, TOLD, judged_for
from examples import some
from programs.whole import WHOLE, judged_whole
from writers.pdf_fillers import filled_by_pdfium, filled_by_qpdf

from progdoc.app.build import built
from progdoc.app.check import check
from progdoc.app.disk.description_files import load_path
from progdoc.app.form_reading import FilledForm, form_in
from progdoc.app.manifest import whole
from progdoc.cli import main
from progdoc.document.blocks.translation_blocks import more_languages
from progdoc.document.papers.forms import MadeForm, crew_forms, made_forms
from progdoc.model.load import load
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.writers import WRITERS


@cache
def _empty(name: str, program: str = FIRM) -> tuple[MadeForm, bytes]:
    form = form_called(name, judged_for(program))
    return form, WRITERS["pdf"](form.document)


def _filling(form: MadeForm, told: dict[str, str]) -> dict[str, str]:
    """Return what is filled in by the names of the fields in the PDF; `told` as in a record: by part and label."""
    names = {called(place): place.field.id.replace(".", "/") for place in form.places}
    return {names[where]: text for where, text in told.items()}


def _filled(name: str, program: str = FIRM, **also: str) -> bytes:
    form, empty = _empty(name, program)
    return filled_by_pdfium(empty, _filling(form, TOLD[name][1] | also))


# ---- what a form says ---------------------------------------------------------------------------------


def test_every_form_that_reads_back_says_as_pdf_what_was_filled_in() -> None:
    for name, (program, _, events) in some(TOLD.items(), 2):
        found = form_in(_filled(name, program), "f.pdf", judged_for(program))
        assert isinstance(found, FilledForm), (name, found)
        assert [(event.kind, dict(event.values)) for event in found.events] == events, name
        assert found.missing == ()


def test_a_half_filled_one_says_what_is_missing() -> None:
    found = form_in(_filled("fit-test-saccharin", **{"result/Tester": "", "who/Size": ""}), "f.pdf", judged_whole(FIRM))
    assert isinstance(found, FilledForm)
    assert found.events == ()
    assert [part.partition(": “")[2] for part in found.missing] == ["Size”, “Tester”"]


def test_a_crews_sheet_names_who_is_named_for_the_task() -> None:
    judged = judged_whole(FIRM)
    sheet = dict(crew_forms(judged))["training-scrape-sashes"]
    told = {place: TOLD["training"][1][place] for place in TOLD["training"][1] if not place.startswith("wearers/")}
    filling = _filling(sheet, told | {"wearers/Present: line 2": "yes"})
    found = form_in(filled_by_pdfium(WRITERS["pdf"](sheet.document), filling), "f.pdf", judged)
    assert isinstance(found, FilledForm), found
    names = [place.field.value for place in sheet.places if place.field.label.startswith("Name: ")]
    assert [event.values["who"] for event in found.events] == [names[1]]


def test_a_form_in_spanish_reads_back_and_asks_for_days_in_spanish() -> None:
    judged = _bilingual()
    (spanish,) = more_languages(judged)
    form = next(one for one in made_forms(judged, language=spanish) if one.plan["id"] == "mask-request")
    empty = WRITERS["pdf"](form.document)
    with pikepdf.open(BytesIO(empty)) as file:
        told = {str(field.T): str(field.TU) for field in file.Root.AcroForm.Fields}
        assert file.Root.Lang == "es-US"
    filling = {place.field.id.replace(".", "/"): place for place in form.places}
    day = next(name for name, place in filling.items() if place.field.kind == "date")
    assert told[day] == f"{filling[day].field.label} (primero el año, como 2027-01-31)"
    who = next(name for name, place in filling.items() if place.name == "who")
    found = form_in(filled_by_qpdf(empty, {day: DAY, who: "Wilf Lintel"}), "f.pdf", judged)
    assert isinstance(found, FilledForm), found
    assert [dict(event.values) for event in found.events] == [{"who": "Wilf Lintel"}]


def _bilingual() -> Judged:
    path, day = WHOLE[FIRM]
    files = {file.name: file.read_bytes() for file in path.glob("*.yaml")}
    files["program.yaml"] = re.sub(rb"(?m)^  look: .*\n", b"", files["program.yaml"])
    files["program.yaml"] = files["program.yaml"].replace(b"program:\n", b"program:\n  languages: [en, es]\n", 1)
    return judge(load(files, "firm"), built_in_catalogue(), day)


# ---- what is refused ----------------------------------------------------------------------------------


def test_an_altered_a_foreign_and_a_locked_one_are_refused_with_the_reason() -> None:
    form, empty = _empty("mask-request")
    filling = _filling(form, TOLD["mask-request"][1])
    sound = filled_by_qpdf(empty, filling)
    whom = next(name for name in filling if "who" in name)
    _, of_others = _empty("mask-request", "small_shop")
    cases = {
        "RECORD-009 It is a form of": of_others,
        "RECORD-009 It is locked": filled_by_qpdf(empty, filling, encryption=pikepdf.Encryption(owner="o", user="")),
        "RECORD-009 It is a damaged PDF": sound[:-2000],
        "RECORD-009 No named field of a form of this firm is in it; a PDF that was printed": _changed(
            sound, "AcroForm"
        ),
        "RECORD-010 Fields of the form are gone: “For whom”": _changed(sound, whom),
        "RECORD-010 It says": filled_by_qpdf(empty, filling | {"form/mark": form.mark.replace("2026.2", "2026.3")}),
        "RECORD-011 “11/20/2026” is no day": filled_by_qpdf(empty, filling | {"asked/date/field": "11/20/2026"}),
    }
    for reason, data in cases.items():
        found = form_in(data, "f.pdf", judged_whole(FIRM))
        assert isinstance(found, list), reason
        assert [f"{one.code} {one.what}".startswith(reason) for one in found] == [True], (reason, found)


def _changed(data: bytes, without: str) -> bytes:
    """Return a form that lost a field, or as it is printed into a PDF: without any."""
    with pikepdf.open(BytesIO(data)) as file:
        for page in file.pages:
            annotations = page.obj.get("/Annots", [])
            page.obj.Annots = pikepdf.Array([one for one in annotations if str(one.get("/T", "")) != without])
        fields = file.Root.AcroForm.Fields
        file.Root.AcroForm.Fields = pikepdf.Array([field for field in fields if str(field.T) != without])
        if without == "AcroForm":
            del file.Root.AcroForm
            for page in file.pages:
                del page.obj.Annots
        saved = BytesIO()
        file.save(saved)
    return saved.getvalue()


def test_the_command_keeps_it_adds_it_once_and_refuses_what_it_cannot_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "firm"
    copytree(WHOLE[FIRM][0], folder)
    form = tmp_path / "request.pdf"
    form.write_bytes(_filled("mask-request"))
    command = ["record", str(folder), "--from", str(form), "--on", "2026-11-24"]
    main([*command, "--yes"])
    (kept,) = (folder / "restricted" / "evidence").glob("mask-request-*.pdf")
    assert kept.read_bytes() == form.read_bytes()
    assert b"requested: 2026-11-20" in (folder / "people.yaml").read_bytes()
    main([*command, "--yes"])
    assert "all of it stands there already" in capsys.readouterr().out
    before = {file: file.read_bytes() for file in folder.rglob("*") if file.is_file()}
    refused = {
        "It is a damaged PDF": form.read_bytes()[:-999],
        "It is locked (encrypted)": filled_by_qpdf(form.read_bytes(), {}, encryption=pikepdf.Encryption(owner="o")),
        "It is over 30,000,000 bytes": form.read_bytes() + bytes(30_000_000),
    }
    for reason, data in refused.items():
        form.write_bytes(data)
        assert main([*command, "--yes"]) == 2
        assert reason in capsys.readouterr().err
    assert {file: file.read_bytes() for file in folder.rglob("*") if file.is_file()} == before


# ---- where they are made ------------------------------------------------------------------------------


def test_whoever_asks_for_them_gets_each_form_as_pdf_too() -> None:
    path, day = WHOLE["small_shop"]
    checked = check(load_path(path), day)
    asked = dict(built(checked, (), pdf_forms=True))
    added = [name for name in asked if name.endswith(".pdf")]
    forms = [name for name in asked if "forms/" in name and name.endswith(".docx")]
    assert added == [name.replace(".docx", ".pdf") for name in forms]
    assert {name.partition("/")[0] for name in added} == {"forms", "restricted"}
    assert all(b"/AcroForm" in whole(asked[name]) for name in added)
