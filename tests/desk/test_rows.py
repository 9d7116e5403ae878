"""Forms that ask about several at once: a row left alone records nothing, and what is wrong names whose row it is.

Of four people a newcomer left one empty, who was recorded with the only mask there is.
"""

from __future__ import annotations

import re
from pathlib import Path
from shutil import copy

import pytest
from desk.browsing import Browser

from progdoc.app.answering import answered, answered_for
from progdoc.app.question_forms import question_of, sheet_of
from progdoc.desk.shown import address_of
from progdoc.model.description.input_fields import ONE_MORE
from progdoc.rules.questions.asked_again import all_questions
from progdoc.rules.reading.question_list import question_list

SHOP = Path(__file__).resolve().parents[2] / "sample_config" / "small_shop" / "program.yaml"
PEOPLE = re.compile(r"^people:$.*?(?=^\w|\Z)", re.MULTILINE | re.DOTALL)
FOUR = """people:
  - {id: nora, name: Nora Quill}
  - {id: milo, name: Milo Hatch}
  - {id: tess, name: Tess Rowan}
  - {id: omar, name: Omar Finch}
"""
ALL = "about=people.nora&about=people.milo&about=people.tess&about=people.omar&more=yes"
MASKS, FITS = f"/ask/masks-of-person?{ALL}", f"/ask/fit-test-of-person?{ALL}"


@pytest.fixture
def desk(tmp_path: Path) -> Browser:
    copy(SHOP, tmp_path / "program.yaml")
    text = (tmp_path / "program.yaml").read_text(encoding="utf-8")
    assert len(PEOPLE.findall(text)) == 1
    (tmp_path / "program.yaml").write_text(PEOPLE.sub(FOUR, text), encoding="utf-8")
    return Browser(tmp_path / "program.yaml")


def recorded(desk: Browser, name: str) -> list[int]:
    """Return how many entries each of the four has in one of their lists."""
    program = desk.sitting.checked().loaded.program
    assert program is not None
    return [len(getattr(one, name)) for one in program.people]


def test_who_was_handed_nothing_is_recorded_with_nothing(desk: Browser) -> None:
    said = {"people[1].masks[+].mask": "half-mask", "as-first": ["people.nora", "people.tess"]}
    page = desk.fill(MASKS, said)
    assert page.status == 200, page.text
    assert recorded(desk, "masks") == [1, 1, 1, 0]
    asked = (one for one in desk.sitting.checked().questions if one.id == "masks-of-person")
    assert any("people.omar" in one.subject for one in asked), "it is asked of him again"


def test_three_tests_are_recorded_beside_one_that_was_not_made(desk: Browser) -> None:
    page = desk.get(FITS)
    assert page.hidden["people[3].fit_tests[+].mask"] == ["", "half-mask"], "ticked, since a date has to come to it"
    said = {f"people[{n}].fit_tests[+].date": f"2026-05-0{n + 1}" for n in range(3)}
    assert desk.post(FITS, {**page.hidden, **said}).status == 200
    assert recorded(desk, "fit_tests") == [1, 1, 1, 0]


def test_what_is_wrong_in_a_row_names_whose_it_is(desk: Browser) -> None:
    said = {"people[0].fit_tests[+].date": "2026-05-01", "people[3].fit_tests[+].size": "M"}
    page = desk.fill(FITS, said)
    assert page.status == 422
    (told,) = re.findall(r'<li><a href="#people\[3\].fit_tests\[\+\].date">(.*?)</a>', page.text)
    assert re.sub(r"<[^>]+>", "", told).startswith("Omar Finch, Date:"), told


def test_a_choice_can_be_left_unsaid_again_unless_it_is_needed(desk: Browser) -> None:
    """Browsers have no way of their own out of a choice of one."""
    page = desk.get(MASKS)
    radios = {one["name"] for one in page.fields if one.get("type") == "radio"}
    unsaid = {one["name"] for one in page.fields if one.get("type") == "radio" and not one["value"]}
    assert radios and unsaid == radios, "an entry that is not meant after all is none"


def test_no_form_of_rows_records_what_nobody_touched(desk: Browser) -> None:
    """Over every question that is asked about things of which there are a few, each as if all of them lacked it."""
    checked = desk.sitting.checked()
    assert checked.loaded.program is not None
    by_id: dict[str, list[str]] = {}
    for question in all_questions(checked.loaded.program, question_list()):
        by_id.setdefault(question.id, []).extend(question.subject)
    seen = ticked = 0
    for name, subjects in by_id.items():
        question = question_of(checked, name, tuple(subjects[:4])) if len(subjects) > 1 else None
        sheet = sheet_of(checked, question, {}) if question else None
        if sheet is None or not sheet.rows:
            continue
        seen += 1
        ticked += bool(sheet.proposed)
        assert all(ONE_MORE in path for path in sheet.proposed), name
        done = answered(checked, sheet, {**sheet.stands, **sheet.proposed}, lambda loaded: checked)
        assert not isinstance(done, list) and not done.entered, (name, done)
        assert answered_for(sheet, sheet.proposed) == sheet.question.subject, "as of an empty form"
    assert seen > 8 and ticked


def test_what_was_done_for_somebody_in_no_task_can_be_recorded(desk: Browser) -> None:
    """A clearance that came before the task: “What falls due” did not name the man, and nothing led to him."""
    text = desk.sitting.path.read_text(encoding="utf-8")
    desk.sitting.path.write_text(text.replace("omar]", "nora]").replace("nora, milo, tess, nora", "nora"), "utf-8")
    page = desk.get("/due")
    (link,) = [one for one in page.links if "/ask/clearance" in one and one.endswith("about=people.omar&more=yes")]
    assert desk.get(link).status == 200 and "people[3].medical[+].date" in desk.get(link).names


def test_all_that_a_fit_test_is_made_in_is_told_before_it(desk: Browser) -> None:
    """29 CFR 1910.134, Appendix A, Part I.A.13: what is worn at work and may spoil the fit."""
    text = desk.sitting.path.read_text(encoding="utf-8")
    gear = "gear: [face-shield, ear-muffs, gloves, safety-glasses]"
    desk.sitting.path.write_text(text.replace("gear: [none]", gear), "utf-8")
    told = desk.get("/ask/fit-test-of-person?about=people.nora").text
    assert "Nora Quill wears near the face: ear muffs, face shield, safety glasses." in told


def test_a_name_on_the_cover_is_not_frozen_before_somebody_answers_for_it(desk: Browser) -> None:
    text = desk.sitting.path.read_text(encoding="utf-8")
    (line,) = re.findall(r"summary: ([^,}\n]+)", text)[:1]
    desk.sitting.path.write_text(text.replace(line, f"{line} for Omar Finch", 1), "utf-8")
    page = desk.post("/issue", desk.get("/papers").hidden)
    assert page.status == 422 and "names a worker, and is printed on the cover" in page.text
    desk.sitting.path.write_text(text, "utf-8")
    assert "names a worker" not in desk.post("/issue", desk.get("/papers").hidden).text


def test_the_papers_tell_beforehand_what_keeps_a_revision_from_being_issued(desk: Browser) -> None:
    text = desk.sitting.path.read_text(encoding="utf-8")
    desk.sitting.path.write_text(text.replace('revision: "1"', 'revision: "two"', 1), "utf-8")
    told = desk.get("/papers")
    assert "The revision history has no entry for revision two" in told.text and "/ask/history" in " ".join(told.links)


def test_what_is_adopted_is_asked_once_on_a_page(desk: Browser) -> None:
    """“(h)(1)” was to be ticked above, and to be chosen below."""
    text = desk.sitting.path.read_text(encoding="utf-8")
    desk.sitting.path.write_text(re.sub(r"adopt: (\[.*?\]|[()a-z0-9]+), ", "", text), "utf-8")
    asked = [one for one in desk.sitting.checked().questions if one.adopts]
    assert {"cleaning", "storage"} <= {one.id for one in asked}
    for question in asked:
        page = desk.get(address_of(question))
        offered = [(one["name"], one["value"]) for one in page.fields if one.get("value") and "name" in one]
        assert offered.count((question.adopted_at, question.adopts)) == 1, question.id
