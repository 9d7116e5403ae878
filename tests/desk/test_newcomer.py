"""Where a newcomer to the desk went wrong, with nothing but the address and the story of an invented floor firm."""

from __future__ import annotations

import re
from pathlib import Path
from shutil import copy

import pytest
from desk.browsing import Browser, Page
from programs.patching import patched, written

from progdoc.model.description.masks import Filter, Mask
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reading.question_list import question_list

SHOP = Path(__file__).resolve().parents[2] / "sample_config" / "small_shop" / "program.yaml"
FLOORS = """\
format: 1
program: {revision: "1"}
organisation: {name: Kestrel Floor Works}
officer: {name: Ingrid Vale}
tasks:
  - {id: grind, name: Grinding floors, industry: construction, use: required}
  - {id: glue, name: Gluing vinyl, use: required}
hazards:
  - {id: grind-silica, task: grind, agent: silica, form: dust}
  - {id: glue-toluene, task: glue, agent: toluene, form: vapour}
"""
LEVEL = "/ask/level?about=hazards.grind-silica"
SOLVENTS = ["xylene", "ethanol", "2-propanol", "ethyl acetate"]
BY_TABLE = f"{LEVEL}&kind%3Ahazards%5B0%5D.exposure=silica-table-1"
PLACE = "hazards[0].exposure"


@pytest.fixture
def desk(tmp_path: Path) -> Browser:
    (tmp_path / "program.yaml").write_text(FLOORS, encoding="utf-8")
    return Browser(tmp_path / "program.yaml")


def offered(page: Page, name: str) -> list[str]:
    """Return what is to be ticked at a place."""
    of_it = [one for one in page.fields if one.get("name") == name and one["type"] in ("radio", "checkbox")]
    return [one["value"] for one in of_it if one["value"]]


def test_an_answer_for_some_is_asked_for_the_rest_at_once(desk: Browser) -> None:
    """The controls of the second task came ten questions later, after medical, training and storage."""
    both = "/ask/controls?about=tasks.glue&about=tasks.grind"
    page = desk.get(both)
    said = {"about": "tasks.glue", "tasks[1].why_masks": "controls-not-enough", "tasks[1].controls": "Doors open"}
    after = desk.post(both, {**page.hidden, **said})
    assert after.url == "/ask/controls?about=tasks.grind"
    aside = desk.post(after.url, {**after.hidden, "aside": "yes"})
    assert "/ask/controls" not in aside.url, "what nobody can say yet holds nobody up"


def test_the_industry_is_asked_with_the_name_of_the_work(desk: Browser) -> None:
    """It decides which limits bind, and whether Table 1 does (1926.1153(c)(1)): it was asked after the masks."""
    assert "tasks[+].industry" in desk.get("/ask/work").names


def test_a_row_of_the_table_is_chosen_and_then_what_it_needs(desk: Browser) -> None:
    """29 CFR 1926.1153(c)(1), Table 1: 18 rows; (xiii), floor grinders: water, or a collector and a vacuum indoors."""
    page = desk.get(BY_TABLE)
    rows = offered(page, f"{PLACE}.row")
    assert (len(rows), rows[0], rows[-1]) == (18, "i", "xviii")
    assert "floor grinders" in page.text
    assert f"{PLACE}.controls_in_place" not in page.names, "of no row yet"
    said = {f"{PLACE}.row": "xiii", f"{PLACE}.place": "indoors", f"{PLACE}.date": "2026-05-20"}
    assert desk.post(BY_TABLE, {**page.hidden, **said}).status == 200
    page = desk.get(LEVEL)
    assert offered(page, f"{PLACE}.option") == ["1", "2"]
    controls = offered(page, f"{PLACE}.controls_in_place")
    assert "water-feed" in controls and "hepa-vacuum-passes" in controls and "cab" not in controls
    by_vacuum = [one for one in controls if not one.startswith("water-")]
    desk.post(page.url, {**page.hidden, f"{PLACE}.option": "2", f"{PLACE}.controls_in_place": by_vacuum})
    codes = {finding.code for finding in desk.sitting.checked().report.findings if "grind-silica" in str(finding)}
    assert not codes & {"EXP-008", "EXP-009", "EXP-016"}


def test_which_evidence_an_agent_needs_is_said_before_anybody_looks_for_it(desk: Browser) -> None:
    """29 CFR 1910.1000, Table Z-2: toluene, 200 ppm over 8 h, 300 ppm acceptable ceiling, 500 ppm for 10 minutes.

    Somebody reckoned a mean, was told that it could not meet the ceiling, and had to ask the hygienist again.
    """
    desk.sitting.path.write_text(FLOORS.replace("vinyl,", "vinyl, industry: general,"), encoding="utf-8")
    told = desk.get("/ask/level?about=hazards.glue-toluene").text
    assert "Toluene has limits for less than a shift: 300 ppm" in told and "500 ppm" in told
    assert "less than a shift" not in desk.get(LEVEL).text


@pytest.mark.parametrize("answer", ["who finds it out", "what not knowing means"])
def test_who_can_find_out_a_level_is_told_where_it_is_asked(desk: Browser, answer: str) -> None:
    text = desk.get(LEVEL).text
    told = {
        "who finds it out": ["industrial hygienist", "29 CFR Part 1908", "Section 8 of the safety data sheet"],
        "what not knowing means": ["until somebody does, the air counts as immediately dangerous"],
    }
    assert all(words in text for words in told[answer])


def test_several_agents_of_one_sheet_are_one_answer_each_with_its_level(desk: Browser) -> None:
    """Four solvents of one data sheet were four names, four forms, four levels: sixteen answers."""
    sheet = {f"{n}:hazards[+].agent" if n else "hazards[+].agent": agent for n, agent in enumerate(SOLVENTS)}
    kinds = {f"{n}:hazards[+].form" if n else "hazards[+].form": "vapour" for n in range(len(SOLVENTS))}
    desk.post("/ask/agents?about=tasks.glue", {**desk.get("/ask/agents?about=tasks.glue").hidden, **sheet, **kinds})
    known = desk.sitting.checked().loaded.program
    assert known is not None and [one.agent for one in known.hazards[2:]] == SOLVENTS
    (level,) = [one for one in desk.sitting.checked().questions if one.id == "level"]
    assert len(level.subject) == 2 + len(SOLVENTS)
    chosen = "&".join(f"kind:hazards[{n}].exposure=estimate" for n in (2, 3))
    page = desk.get(f"/ask/level?about=hazards.glue-xylene&about=hazards.glue-ethanol&{chosen}")
    first = {"concentration": "20 ppm", "by": "Ingrid Vale", "basis": "Litres used", "date": "2026-05-20"}
    said = {f"hazards[3].exposure.{name}": text for name, text in first.items()}
    rest = {"hazards[2].exposure.concentration": "35 ppm", "as-first": "hazards.glue-xylene"}
    desk.post(page.url, {**page.hidden, **said, **rest})
    known = desk.sitting.checked().loaded.program
    assert known is not None
    told = [(one.exposure.by, one.exposure.concentration.text) for one in known.hazards[2:4]]  # type: ignore[union-attr]
    assert told == [("Ingrid Vale", "35 ppm"), ("Ingrid Vale", "20 ppm")]


def test_a_form_of_several_that_nobody_can_answer_holds_nobody_up(desk: Browser) -> None:
    page = desk.get("/next")
    assert page.url.count("about=") == 2
    assert desk.post(page.url, page.hidden).status == 422, "nothing was said of any of them"
    assert desk.post(page.url, {**page.hidden, "aside": "yes"}).url != page.url


def test_a_mask_by_choice_is_asked_for_once_the_air_is_known(desk: Browser) -> None:
    """29 CFR 1910.134(c)(2)(ii): which mask it is decides what is owed; nobody was ever asked, and none stood there."""
    level = (
        "{kind: estimate, concentration: 5 ppm, averaging: ceiling, by: Ingrid Vale, basis: Litres, date: 2026-05-20}"
    )
    told = FLOORS.replace("Gluing vinyl, use: required", "Gluing vinyl, industry: general, use: voluntary")
    desk.sitting.path.write_text(told.replace("form: vapour", f"form: vapour, exposure: {level}"), encoding="utf-8")
    asked = [one for one in desk.sitting.checked().questions if one.id == "mask-for-task"]
    assert any("tasks.glue" in one.subject and "VOL-014" in one.settles for one in asked)


def test_what_stands_elsewhere_is_led_to(desk: Browser) -> None:
    """“Correct the industry of the task”, said a page without that field."""
    told = FLOORS.replace("industry: construction, ", "industry: general, ").replace(
        "agent: silica, form: dust",
        "agent: silica, form: dust, exposure: {kind: silica-table-1, row: i, place: indoors}",
    )
    desk.sitting.path.write_text(told, encoding="utf-8")
    assert "/ask/industry?about=tasks.grind" in desk.get(LEVEL).links


def test_answers_tell_of_a_thing_what_begins_it_and_of_the_air_of_a_task_its_own(desk: Browser) -> None:
    page = desk.get("/answers").text
    told = re.findall(r"<dd>(.*?)</dd>", page)
    assert "Grinding floors, construction; Gluing vinyl" in told
    assert "silica, dust" in told and "toluene, vapour" in told
    assert not any("silica" in one and "toluene" in one for one in told)


def test_each_kind_of_mask_is_folded_away_under_its_task(desk: Browser) -> None:
    page = desk.get("/work").text
    assert page.count("Which kinds of mask would protect") == 2 and "<details open>" not in page


def test_like_facts_of_several_agents_are_asked_once(desk: Browser) -> None:
    known = ", exposure: {kind: estimate, concentration: 120 ppm, by: Ingrid Vale, basis: Litres, date: 2026-05-20}"
    worn = "masks: [{id: half, name: Half mask, facepiece: half-mask, mode: air-purifying}]\n"
    told = FLOORS.replace("agent: silica, form: dust", "agent: xylene, form: vapour").replace(
        "form: vapour", f"form: vapour{known}"
    )
    desk.sitting.path.write_text(
        told.replace("use: required", "use: required, masks: [{mask: half}]") + worn, encoding="utf-8"
    )
    (form,) = [one for one in desk.sitting.checked().questions if one.id == "form"]
    assert form.subject == ("hazards.glue-toluene", "hazards.grind-silica")


def test_yes_and_no_are_spanish_on_a_spanish_page(desk: Browser) -> None:
    page = desk.get("/ask/air-of-place?about=tasks.glue&language=es")
    assert re.search(r'value="yes"[^>]*>\s*sí\s*</label>', page.text), page.text


class TestReady:
    """A firm with nothing required left."""

    @pytest.fixture
    def shop(self, tmp_path: Path) -> Browser:
        copy(SHOP, tmp_path / "program.yaml")
        return Browser(tmp_path / "program.yaml")

    def test_the_papers_come_next(self, shop: Browser) -> None:
        page = shop.get("/")
        assert "No required gap" in page.text
        assert 'class="button" href="/papers"' in page.text or "Nothing is left to ask" in page.text

    def test_what_falls_due_is_recorded_as_one_more(self, shop: Browser) -> None:
        record = next(link for link in shop.get("/due").links if link.startswith("/ask/fit-test-of-person"))
        assert re.search(r'<details class="entry" open>\s*<summary>Fit tests: one more', shop.get(record).text)

    def test_a_number_that_is_taken_leads_to_the_next(self, shop: Browser) -> None:
        assert "is issued" in shop.post("/issue", shop.get("/papers").hidden).text
        path = shop.sitting.path
        path.write_text(path.read_text(encoding="utf-8").replace("Clearfield", "Northfield"), encoding="utf-8")
        page = shop.post("/issue", shop.get("/papers").hidden)
        assert page.status == 422 and "was issued before" in page.text
        assert "/ask/revision?" in page.links and "--into" not in page.text


FINDING = "procedures.evaluation.findings[+]"


def test_what_an_evaluation_found_is_taken_and_nobody_is_asked_for_an_id(desk: Browser) -> None:
    """“This is needed.”, and the form had no field for it: no finding could be written down (1910.134(l)(1))."""
    for what, made in (("Mask on a nail", "mask-on-a-nail"), ("Mask on a nail", "mask-on-a-nail-2")):
        page = desk.get("/ask/last-evaluation?&more=yes")
        assert f"{FINDING}.what" in page.names and f"{FINDING}.id" not in page.names
        after = desk.post(page.url, {**page.hidden, f"{FINDING}.date": "2026-05-20", f"{FINDING}.what": what})
        assert "This is needed" not in after.text
        known = desk.sitting.checked().loaded.program
        assert known is not None and known.procedures.evaluation.findings[-1].id == made


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ("posts", {"posts[+].name": "Office"}),
        ("air-suppliers", {"procedures.air_supply.suppliers[+].name": "North Gas"}),
        ("own-texts", {"own_sections[+].title": "Dust rules", "own_sections[+].text": "Vacuum first."}),
        ("policies", {"policies[+].by": "The host", "policies[+].source": "Site rules, 3"}),
        ("reserve", {"cylinders[+].serial": "C-17"}),
    ],
)
def test_an_entry_of_any_list_gets_its_id(desk: Browser, question: str, said: dict[str, str]) -> None:
    """Eight lists have ids that no form asks for; each was a form that could not be sent."""
    page = desk.get(f"/ask/{question}?&more=yes")
    assert set(said) <= set(page.names)
    assert "This is needed" not in desk.post(page.url, {**page.hidden, **said}).text


def test_of_several_it_is_said_that_each_has_its_box(desk: Browser) -> None:
    """“Such as: S, M, L” under three boxes: all was typed into the first, and the mask had one size, “S, M, L”."""
    text = desk.get("/ask/officer").text
    assert "20 (one in each box)" in text, "qualifications, of which there are several"
    assert text.count("one in each box") == 2, "and deputies; not the name"


def test_a_question_without_a_field_shows_what_was_found(tmp_path: Path) -> None:
    """It stood shut under “Write it down”, and there was nothing to write: the mending is done at another question."""
    said = "procedures: {training: {by: Il capo della bottega e degli operai}}\n"
    (tmp_path / "program.yaml").write_text(FLOORS + said, encoding="utf-8")
    page = Browser(tmp_path / "program.yaml").get("/ask/texts")
    assert re.search(r"<details open><summary>What was found</summary>\s*<ul><li>“Il capo", page.text)
    assert "procedures.training.by" in page.names and "I can't say yet" in page.text


def test_what_was_typed_stays_when_a_kind_of_evidence_is_chosen(desk: Browser) -> None:
    """The choice is a link, and took with it what had been typed about the other agents."""
    both = "/ask/level?about=hazards.glue-toluene&about=hazards.grind-silica"
    first = desk.get(f"{both}&kind:hazards[1].exposure=estimate")
    typed = {**first.hidden, "hazards[1].exposure.by": "Ingrid Vale", "choosing": "yes"}
    then = desk.post(f"{both}&kind:hazards[1].exposure=estimate&kind:hazards[0].exposure=samples", typed)
    assert then.status == 200 and then.hidden["hazards[1].exposure.by"] == ["Ingrid Vale"]
    program = desk.sitting.checked().loaded.program
    assert program is not None and program.hazards[1].exposure is None, "nothing is written yet"


def test_no_hint_names_a_field_of_equipment_that_no_page_has() -> None:
    """“Name it in Service data”, said a page without that field, and no other page had it either."""
    asked = {field.rpartition(".")[2] for one in question_list().questions for field in one.fields}
    named = {name for one in built_in_catalogue().requirements for name in re.findall(r"`([a-z_]+)`", one.fix)}
    of_equipment = {*Mask.model_fields, *Filter.model_fields} - {"id", "units", "stock"}
    assert "service_data" in named and named & of_equipment <= asked


def test_what_a_finding_wants_typed_elsewhere_in_its_thing_has_its_field_on_the_page(tmp_path: Path) -> None:
    """“The task has no spraying described”, said a page about tanks and crypts, and had no field for it."""
    told = {"spraying.place": "We spray paint in the booth.", "hot_work.place": "Brackets are stick welded."}
    for field, text in told.items():
        values = patched({"program": "base", "set": {"tasks[0].description": text}})
        (tmp_path / "program.yaml").write_text(written(values), encoding="utf-8")
        page = Browser(tmp_path / "program.yaml").get(f"/ask/air-of-place?about=tasks.{values['tasks'][0]['id']}")
        assert f"tasks[0].{field}" in page.names
