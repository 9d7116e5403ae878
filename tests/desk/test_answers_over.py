"""Answers read over and given anew: labels, adoptions, sizes; a complaint has its field, a dust mask its class."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from desk.browsing import Browser

SHOP = (Path(__file__).resolve().parents[2] / "sample_config" / "small_shop" / "program.yaml").read_text("utf-8")
BOTH = "about=tasks.sand-casts&about=tasks.mix-black"


def desk_of(folder: Path, text: str) -> Browser:
    (folder / "program.yaml").write_text(text, encoding="utf-8")
    return Browser(folder / "program.yaml")


@pytest.fixture
def desk(tmp_path: Path) -> Browser:
    return desk_of(tmp_path, SHOP)


def answers_of(desk: Browser) -> dict[str, str]:
    """What stands for each question, by the address at which it is changed."""
    sections = desk.get("/answers").text.partition("<main")[2].split("<section>")[1:]
    plain = {re.findall(r'href="([^"]+)"', one)[0]: re.sub(r"<[^>]+>|\s+", " ", one) for one in sections}
    return {address.replace("&amp;", "&"): " ".join(words.split()) for address, words in plain.items()}


def test_every_answer_is_shown_with_its_label_and_can_be_changed(desk: Browser) -> None:
    told = answers_of(desk)
    assert "Done exactly as this asks (h)(2)" in told["/ask/storage?"]
    assert "grey half mask: Sizes S; M; L" in told["/ask/sizes?"]
    assert "Date: 2026-02-03, Recommendation: cleared, Copy given: yes" in told["/ask/clearance?about=people.nora"]
    lacking = {}
    for address in told:
        page = desk.get(address)
        places = [name for name in page.names if "." in name or "[" in name or name == "not-so"]
        if not places and "/papers#attach" not in page.links:
            lacking[address] = page.status
    assert lacking == {}


def test_what_was_adopted_is_said_where_it_is_changed_and_can_be_taken_back(desk: Browser) -> None:
    page = desk.get("/ask/storage?")
    assert "Adopted here: all is done exactly as (h)(2) asks" in page.text
    duties = page.text.partition("Adopted here")[2].partition("</details>")[0]
    assert duties.count("<li>") > 2
    done = desk.fill("/ask/storage?", {"not-so": "procedures.storage.adopt (h)(2)"})
    assert done.status == 200 and "adopt: (h)(2)" not in desk.sitting.path.read_text("utf-8")
    assert "Done exactly as this asks" not in answers_of(desk)["/ask/storage?"]


def test_a_complaint_on_a_page_of_several_has_its_field_for_each(tmp_path: Path) -> None:
    text = SHOP.replace("gear: [none]", "gear: [goggles]").replace("irritates_eyes: no, ", "")
    desk = desk_of(tmp_path, text)
    asked = {
        (question.id, finding.code, name)
        for question in desk.sitting.checked().questions
        for page in [desk.get(f"/ask/{question.id}?" + "&".join(f"about={one}" for one in question.subject))]
        for finding in question.findings
        for name in re.findall(r"`([a-z_]+)(?:: [a-z]+)?`", finding.fix.partition("\n")[0])
        if not any(one.endswith(f".{name}") for one in page.names) and "What that names is asked here" not in page.text
    }
    assert asked == set(), "neither a field nor the way to one"
    names = desk.get(f"/ask/mask-for-task?{BOTH}").names
    assert {"tasks[0].gear_clear_of_seal", "tasks[1].gear_clear_of_seal"} <= set(names)


def test_a_dust_mask_is_asked_for_its_class_and_label_and_takes_no_filter(tmp_path: Path) -> None:
    """42 CFR 84.170 classes the filter; of a filtering facepiece it is the mask (29 CFR 1910.134(b))."""
    mask = "  - {id: ff, name: white dust mask, facepiece: filtering-facepiece, mode: air-purifying}\nfilters:\n"
    worn = SHOP.replace("\nfilters:\n", f"\n{mask}", 1)
    worn = worn.replace("masks: [{mask: half-mask, filters: [p100]}]", "masks: [{mask: ff}]", 1)
    desk = desk_of(tmp_path, worn)
    own = desk.get("/ask/kind-of-mask?about=masks.ff")
    assert {f"masks[1].{one}" for one in ("built_in_filter", "make", "model", "approval")} <= set(own.names)
    page = desk.get("/ask/mask-for-task?about=tasks.sand-casts")
    assert "/ask/kind-of-mask?about=masks.ff" in page.links, "the way to the class from where it is missed"
    behind = re.findall(r'<details class="only" data-by="[^"]+\.mask" data-for="([^"]*)"', page.text)
    assert set(behind) == {"half-mask"}, "filters are for what takes some"
    done = desk.fill(
        "/ask/kind-of-mask?about=masks.ff", {"masks[1].built_in_filter": "N95", "masks[1].approval": "TC-84A-0001"}
    )
    assert done.status == 200 and "built_in_filter: N95" in desk.sitting.path.read_text("utf-8")


def test_a_kind_of_evidence_is_chosen_for_one_agent_or_for_all(desk: Browser) -> None:
    both = "/ask/level?about=hazards.white-dust&about=hazards.black-dust"
    page = desk.get(f"{both}&kind:hazards[0].exposure=&kind:hazards[1].exposure=")
    chosen = [
        {name: said[0] for name, said in parse_qs(urlsplit(link).query).items() if name.startswith("kind:")}
        for link in page.links
        if "samples" in link
    ]
    places = [set(one) for one in chosen]
    assert {"kind:hazards[0].exposure"} in [{k for k, v in one.items() if v == "samples"} for one in chosen], places
    assert any(list(one.values()) == ["samples", "samples"] for one in chosen), "or for all of these"
    assert "as-first" not in page.names, "what has no kind yet can't be the same as another"
    page = desk.get(f"{both}&kind:hazards[0].exposure=samples&kind:hazards[1].exposure=estimate")
    assert "as-first" not in page.names and "hazards[1].exposure.concentration" in page.names


def test_a_persons_language_is_asked_and_their_papers_come_in_it(tmp_path: Path) -> None:
    desk = desk_of(tmp_path, SHOP)
    page = desk.get("/ask/training-of-person?about=people.nora")
    offered = [one["value"] for one in page.fields if one.get("name") == "people[0].own_language"]
    assert offered == ["", "en", "es"] and "Español (Spanish)" in page.text
    assert desk.fill(page.url, {"people[0].own_language": "es"}).status == 200
    assert desk.sitting.checked().judged.index.paper_languages == ("es",)  # type: ignore[union-attr]
    assert {"/read/tasks/es/sand-casts.html", "/papers/es/program.docx"} <= set(desk.get("/papers").links)


def test_an_attached_file_is_brought_and_no_name_is_typed(desk: Browser) -> None:
    page = desk.get("/ask/official-texts?")
    assert "/papers#attach" in page.links and not [name for name in page.names if name.endswith(".file")]
