"""What stands can be changed, emptied and taken out, and no answer is lost: two windows, an editor in between."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from shutil import copy
from typing import Any

import pytest
from desk.browsing import Browser, Page
from programs.generated import checked_values, together

from progdoc.app.answering import answered
from progdoc.app.question_forms import sheet_of
from progdoc.app.record import Recorded
from progdoc.model.description.input_fields import Input
from progdoc.model.description.scalars import PROTOCOLS
from progdoc.rules.questions.asked_again import all_questions
from progdoc.rules.reading.question_list import question_list

SHOP = Path(__file__).resolve().parents[2] / "sample_config" / "small_shop" / "program.yaml"
FITS = "/ask/fit-test-of-person?about=people.nora"
TEST = "people[0].fit_tests[0]"
MASKS = "/ask/mask-for-task?about=tasks.sand-casts"


@pytest.fixture
def desk(tmp_path: Path) -> Browser:
    """A desk of the plaster shop, without the hand's own folds: every other byte is compared."""
    copy(SHOP, tmp_path / "program.yaml")
    return Browser(tmp_path / "program.yaml")


def text(desk: Browser) -> str:
    return desk.sitting.path.read_text(encoding="utf-8")


def changed_lines(before: str, after: str) -> list[tuple[str, str]]:
    pairs = zip(before.splitlines(), after.splitlines(), strict=True)
    return [(old.strip(), new.strip()) for old, new in pairs if old != new]


def test_protocols_are_ticked_and_a_name_of_ones_own_stays(desk: Browser) -> None:
    path = "procedures.fit_testing.protocols"
    desk.sitting.path.write_text(text(desk).replace("[saccharin]", "[saccharin, Our own tent]"), encoding="utf-8")
    boxes = [one for one in desk.get("/ask/fit-test-protocols").fields if one.get("name") == path]
    assert [one["value"] for one in boxes if one["type"] == "checkbox"] == [*PROTOCOLS, "Our own tent"]
    one_test = [one for one in desk.get(FITS).fields if one.get("name") == f"{TEST}.protocol"]
    assert [one["value"] for one in one_test if one["type"] == "radio"] == [*PROTOCOLS, ""], "or none again"
    desk.fill("/ask/fit-test-protocols", {path: ["saccharin", "irritant-smoke", "Our own tent"]})
    assert '[saccharin, irritant-smoke, "Our own tent"]' in text(desk)


def test_a_wrong_date_is_changed_where_it_stands(desk: Browser) -> None:
    before = text(desk)
    page = desk.fill(FITS, {f"{TEST}.date": "2026-02-19"})
    assert page.status == 200, page.text
    ((old, new),) = changed_lines(before, text(desk))
    assert new == old.replace("fit_tests: [{date: 2026-02-17", "fit_tests: [{date: 2026-02-19")


def test_a_value_is_emptied_and_a_choice_unticked(desk: Browser) -> None:
    before = text(desk)
    assert desk.fill(FITS, {f"{TEST}.protocol": "", f"{TEST}.screened": ""}).status == 200
    ((old, new),) = changed_lines(before, text(desk))
    assert new == old.replace(", protocol: saccharin, screened: yes", "")
    assert desk.post("/undo", desk.get("/papers").hidden).status == 200
    assert text(desk) == before


def test_an_entry_without_what_it_needs_is_not_taken(desk: Browser) -> None:
    before = text(desk)
    page = desk.fill(FITS, {f"{TEST}.date": ""})
    assert page.status == 422 and "This can't be taken" in page.text
    assert text(desk) == before


def test_an_entry_is_taken_out_and_the_next_moves_up(desk: Browser) -> None:
    added = {f"people[0].fit_tests[+].{name}": value for name, value in {"date": "2026-05-02", "size": "S"}.items()}
    assert desk.fill(FITS, {**added, "people[0].fit_tests[+].mask": "half-mask"}).status == 200
    page = desk.fill(FITS, {"taken-out": TEST, "people[0].fit_tests[1].result": "pass"})
    assert page.status == 200, page.text
    program = desk.sitting.checked().loaded.program
    assert program is not None
    (left,) = program.people[0].fit_tests
    assert (str(left.date), left.result) == ("2026-05-02", "pass"), "what was typed for the second stands"
    other = desk.fill(FITS, {"taken-out": "people[1].fit_tests[0]"})
    program = desk.sitting.checked().loaded.program
    assert other.status == 422 and "Nothing new was said here" in other.text, "another's entry is none of this form"
    assert program is not None and len(program.people[1].fit_tests) == 1


def test_who_is_listed_is_not_listed_twice(desk: Browser) -> None:
    desk.fill(MASKS, {"tasks[0].masks[+].mask+new": "Grey half mask", "tasks[0].masks[+].filters": "p100"})
    program = desk.sitting.checked().loaded.program
    assert program is not None and [mask.id for mask in program.masks] == ["half-mask"]


def test_two_windows_never_lose_an_answer(desk: Browser) -> None:
    url = "/ask/employer"
    one, other = desk.get(url), desk.get(url)
    assert desk.post(url, {**one.hidden, "organisation.name": "Of the first"}).status == 200
    late = desk.post(url, {**other.hidden, "organisation.name": "Of the second"})
    assert late.status == 409 and "in the meantime" in late.text
    assert "Of the first" in late.text and typed(late, "organisation.name") == "Of the second"
    assert "Of the first" in text(desk) and "Of the second" not in text(desk)
    assert desk.post(url, {**late.hidden}).status == 200, "who has seen it may write it"
    assert "Of the second" in text(desk)


def test_an_editor_in_between_loses_nothing_either(desk: Browser) -> None:
    url = "/ask/employer"
    page = desk.get(url)
    desk.sitting.path.write_text(text(desk).replace("Wash stand in the yard", "Sink in the hall"), encoding="utf-8")
    assert desk.post(url, {**page.hidden, "organisation.name": "Ours"}).status == 200
    assert "Ours" in text(desk) and "Sink in the hall" in text(desk)
    desk.sitting.path.write_text(text(desk).replace("Sink in the hall", "Tub in the yard"), encoding="utf-8")
    refused = desk.post("/undo", desk.get("/papers").hidden)
    assert refused.status == 409 and "Tub in the yard" in text(desk), "what was typed since is not undone with it"


def test_a_file_that_somebody_broke_is_told_of_and_left_alone(desk: Browser) -> None:
    page = desk.get("/ask/employer")
    broken = text(desk).replace("people:", "people: [")
    desk.sitting.path.write_text(broken, encoding="utf-8")
    for url in ("/", "/next", "/answers", "/work", "/due", "/papers", "/papers/set.zip", "/ask/employer"):
        assert "can't be read as it stands" in desk.get(url).text, url
    assert desk.post("/ask/employer", {**page.hidden, "organisation.name": "Ours"}).status == 200
    assert text(desk) == broken


def test_what_nobody_knows_is_an_answer_whose_consequence_is_told(desk: Browser) -> None:
    url = "/ask/level?about=hazards.white-dust"
    link = next(link for link in desk.get(f"{url}&kind:hazards[0].exposure=").links if link.endswith("=unknown"))
    page = desk.fill(link, {})
    assert "work is barred by it" in page.text and "Sanding white casts" in page.text
    assert not page.url.startswith("/ask/level"), "what was looked at is not asked again at once"
    home = desk.get("/").text
    assert "looked at, still open" in home


def test_one_more_is_open_once_it_is_asked_for(desk: Browser) -> None:
    """Whoever pressed “and one more” finds the empty entry open; a firm without sites finds theirs open at once."""
    page = desk.fill("/ask/work", {"tasks[+].name": "Sweeping the loft", "again": "yes"})
    assert page.url.startswith("/ask/work") and page.text.count('class="entry" open') == 1
    assert desk.get("/ask/work").text.count('class="entry" open') == 0


def test_that_no_limit_is_published_can_be_said_and_taken_back(desk: Browser) -> None:
    """A word or a group may stand there (29 CFR 1910.134(d)(1)(iii)): no limit, or one's own; what is new counts."""
    url, limit = "/ask/agent?about=hazards.white-dust", "hazards[0].limit"
    own = {f"{limit}.value": "1 mg/m3", f"{limit}.source": "our hygienist"}

    def stands() -> object:
        program = desk.sitting.checked().loaded.program
        assert program is not None
        return program.hazards[0].limit

    for said, is_word in ((own, False), ({limit: "none published"}, True), (own, False)):
        page = desk.fill(url, said)
        assert page.status == 200, page.text
        assert (stands() == "none published") is is_word
    before = text(desk)
    both = desk.fill(url, {limit: "none published", f"{limit}.value": "3 mg/m3"})
    assert both.status == 422 and text(desk) == before, "of two new answers none is lost in silence"


def test_what_adopting_a_paragraph_answered_is_not_asked_again(desk: Browser) -> None:
    """Whoever adopted (e) said that nobody sees the answers; how they reach the professional is left to say."""
    url, medical = "/ask/medical-privacy", "procedures.medical"
    assert desk.fill(url, {f"{medical}.confidential": ""}).status == 200
    asked = desk.get(url).names
    assert f"{medical}.confidential" in asked and f"{medical}.answers_unseen" not in asked
    assert desk.fill(url, {f"{medical}.confidential": "By post"}).status == 200
    assert f"{medical}.answers_unseen" in desk.get(url).names, "it can still be said by itself"


def test_a_page_of_masks_leads_to_what_is_not_known_of_the_air(desk: Browser) -> None:
    """Where no mask is shown to protect because nobody knows the level, the page says where to say it."""
    url = "/ask/level?about=hazards.white-dust"
    assert url not in desk.get(MASKS).links
    desk.fill(
        next(link for link in desk.get(f"{url}&kind:hazards[0].exposure=").links if link.endswith("=unknown")), {}
    )
    assert url in desk.get(MASKS).links


def typed(page: Page, name: str) -> str:
    return next(one["value"] for one in page.fields if one.get("name") == name)


def test_what_a_new_entry_lacks_is_told_at_its_field(desk: Browser) -> None:
    page = desk.fill(FITS, {"people[0].fit_tests[+].size": "S", "people[0].fit_tests[+].date": "soon"})
    assert page.status == 422
    told = {name for name in page.names if f'id="{name}.fault"' in page.text}
    assert told == {"people[0].fit_tests[+].mask", "people[0].fit_tests[+].date"}
    assert "Mask: This is needed." in page.text and typed(page, "people[0].fit_tests[+].size") == "S"


def test_another_piece_of_work_is_reached_when_nothing_asks_for_one(desk: Browser) -> None:
    assert "/ask/work" in desk.get("/work").links
    assert desk.fill("/ask/work", {"tasks[+].name": "Sweeping up"}).status == 200
    assert [task.id for task in desk.sitting.checked().loaded.program.tasks][-1] == "sweeping-up"  # type: ignore[union-attr]
    before = text(desk)
    gone = desk.fill("/ask/work", {"taken-out": "tasks[0]"})
    assert gone.status == 422 and "sand-casts" in gone.text, "what still names it is told first"
    assert text(desk) == before


def test_evidence_that_can_tell_nothing_of_the_agent_is_not_offered(desk: Browser) -> None:
    before = text(desk)

    def offered(agent: str, industry: str) -> set[str]:
        now = before.replace("agent: titanium dioxide", f"agent: {agent}")
        now = now.replace("industry: general", f"industry: {industry}")
        desk.sitting.path.write_text(now, encoding="utf-8")
        page = desk.get("/ask/level?about=hazards.white-dust&kind:hazards[0].exposure=")
        return {link.rpartition("=")[2] for link in page.links if "exposure%5D=" in link or "exposure=" in link}

    assert {"samples", "estimate", "unknown"} <= offered("titanium dioxide", "general")
    assert not {"silica-table-1", "lead-task", "judgment"} & offered("titanium dioxide", "general")
    assert not {"silica-table-1"} & offered("silica", "general")
    assert "silica-table-1" in offered("silica", "construction")


def test_a_form_that_is_saved_as_it_stands_changes_nothing_in_whatever_order_it_was_written() -> None:
    """Boxes stand in the order of their list, and come back in it; what was written keeps its own."""
    turned, ordered = together("everything-said"), 0
    for _, value in list(lists_in(turned, "")):
        value.reverse()
    checked = checked_values(turned)
    assert checked.judged is not None and checked.loaded.program is not None
    for question in all_questions(checked.loaded.program, question_list()):
        sheet = sheet_of(checked, question, {})
        boxes = [one for one in sheet.inputs if isinstance(one, Input) and one.field.is_list and one.field.values]
        typed = dict(sheet.stands)
        for one in boxes:
            ticked = tuple(value for value in one.field.values if value in typed.get(one.path, ()))
            ordered += ticked != typed.get(one.path, ())
            typed |= {one.path: ticked} if set(ticked) == set(typed.get(one.path, ())) else {}
        done = answered(checked, sheet, typed, lambda loaded: replace(checked, loaded=loaded))
        assert isinstance(done, Recorded) and not done.after, question.id
    assert ordered > 1


def lists_in(value: Any, path: str) -> Iterator[tuple[str, list[Any]]]:
    """Yield every list of single words, with its place."""
    for name, one in value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ():
        yield from lists_in(one, f"{path}.{name}")
    if isinstance(value, list) and all(isinstance(one, str) for one in value):
        yield path, value


def test_a_caution_is_mended_where_it_stands_or_answered_for(tmp_path: Path) -> None:
    """A text was taken for an exception; its page had no field, no link, and no way to say that it is none."""
    path = tmp_path / "program.yaml"
    told = SHOP.read_text(encoding="utf-8")
    path.write_text(
        told.replace("by: Nora Quill, method", 'by: "Nora Quill, unless she is away", method'), encoding="utf-8"
    )
    desk = Browser(path)
    (asked,) = [one for one in desk.sitting.checked().questions if one.id == "texts"]
    page = desk.get("/ask/texts")
    place = asked.findings[0].location.path
    assert place in page.names, page.names
    said = {"accepted[+].reason": "Ana does it then", "accepted[+].by": "Nora Quill"}
    assert desk.post(page.url, {**page.hidden, **said}).status == 422, "until when is needed"
    done = desk.post(page.url, {**page.hidden, **said, "accepted[+].until": "2026-12-01"})
    assert done.status == 200 and not [one for one in desk.sitting.checked().questions if one.id == "texts"]
