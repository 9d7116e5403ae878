"""Who gets where by a phone: the code once, few tries, the crew's pages and three records, and nothing of the desk."""

from __future__ import annotations

from pathlib import Path
from shutil import copy

import pytest
from desk.browsing import ADDRESS, Browser

from progdoc.desk.guard import Door
from progdoc.desk.phone import Code, phone_application

SAMPLES = Path(__file__).resolve().parents[2] / "sample_config"
PHONE = "198.51.100.7:8432"  # an address for examples, RFC 5737
OF_THE_DESK = ("/next", "/answers", "/work", "/due", "/papers", "/papers/program.html", "/papers/set.zip", "/compared")


@pytest.fixture
def phone(tmp_path: Path) -> Browser:
    """A phone before the code, at the desk of a firm whose masks have records of their own."""
    copy(SAMPLES / "small_shop" / "program.yaml", tmp_path / "program.yaml")
    file = tmp_path / "program.yaml"
    told = "facepiece: half-mask, units: [{id: unit-1}],"
    file.write_text(file.read_text(encoding="utf-8").replace("facepiece: half-mask,", told, 1), encoding="utf-8")
    at = Browser(file)
    at.codes = []
    at.door = Door(PHONE)
    at.code = Code(at.codes.append)
    at.app = phone_application(at.sitting, at.door, at.code)
    at.cookies = {}
    return at


def enter(phone: Browser, code: str) -> int:
    return phone.post("/enter", {"code": code}).status


def test_the_code_lets_one_in_and_is_used_up(phone: Browser) -> None:
    assert phone.get("/").status == 403 and phone.get("/enter").status == 200
    code = phone.code.valid
    assert enter(phone, f" {code.upper()} ") == 200
    assert phone.codes == [phone.code.valid] != [code], "the next is another, and is shown"
    phone.cookies = {}
    assert enter(phone, code) == 403 and phone.get("/").status == 403


def test_after_a_few_wrong_codes_nobody_gets_in(phone: Browser) -> None:
    assert [enter(phone, f"wrong-{n}") for n in range(5)] == [403] * 5
    assert enter(phone, phone.code.valid) == 403 and phone.get("/").status == 403
    assert "Nobody gets in any more" in phone.get("/enter").text


def test_the_code_is_typed_on_its_own_page(phone: Browser) -> None:
    for origin in ("http://evil.test", "null", f"http://{ADDRESS}"):
        assert phone.send("POST", "/enter", {"code": phone.code.valid}, {"origin": origin}).status == 403
    assert phone.get("/enter", host=ADDRESS).status == 421
    assert phone.codes == [] and phone.code.wrong == 0, "such requests are no tries"


def test_a_phone_reaches_its_own_pages_and_nothing_of_the_desk(phone: Browser) -> None:
    enter(phone, phone.code.valid)
    for url in ("/", "/tasks/sand-casts", "/record/inspection", "/record/face-change", "/record/filter-change"):
        assert phone.get(url).status == 200, url
    for url in (*OF_THE_DESK, "/ask/employer", "/record/medical", "/record/leaving", "/tasks/unknown", "/begin?key=x"):
        assert phone.get(url).status == 404, url
    token = phone.get("/record/inspection").hidden["token"]
    for url in ("/ask/employer", "/issue", "/undo", "/record/medical", "/try/employer"):
        assert phone.post(url, {"token": token}).status == 404, url
    assert phone.post("/record/face-change", {"who": "nora"}).status == 403, "without the token of a form"


def test_what_happened_on_site_is_recorded_and_can_be_taken_back_at_the_desk(phone: Browser) -> None:
    enter(phone, phone.code.valid)
    before = phone.sitting.path.read_text(encoding="utf-8")
    seal = phone.fill("/record/face-change", {"who": "nora"})
    assert "Nora Quill may not start" in seal.text
    phone.fill("/record/inspection", {"unit": "unit-1", "result": "out-of-service", "by": "Milo Hatch"})
    phone.fill("/record/filter-change", {"filter": "p100", "tasks": "sand-casts", "by": "Milo Hatch"})
    program = phone.sitting.checked().loaded.program
    assert program is not None
    assert program.people[0].changes[-1].kind == "fit-unacceptable"
    assert program.masks[0].units[0].inspections[-1].result == "out-of-service"
    assert program.procedures.filter_changes.done[-1].filter == "p100"
    assert len(phone.sitting.done) == 3
    while phone.sitting.done:
        phone.sitting.take_back()
    assert phone.sitting.path.read_text(encoding="utf-8") == before


def test_a_phone_records_only_what_its_form_offers(phone: Browser) -> None:
    enter(phone, phone.code.valid)
    before = phone.sitting.path.read_bytes()
    for url, sent in {
        "/record/face-change": {"who": "all", "what": "surgery"},
        "/record/inspection": {"unit": "unit-1", "result": "splendid"},
        "/record/filter-change": {"filter": "nora", "diagnosis": "asthma"},
    }.items():
        page = phone.fill(url, sent)
        assert page.status == 422 and "This can't be taken" in page.text, url
    assert phone.sitting.path.read_bytes() == before
