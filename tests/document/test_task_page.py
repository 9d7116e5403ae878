"""The page of a task: short, without a worker's name, and plain about what is not settled."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest
from document.reading import of_type, program_of, section_ids, words
from programs.patching import judged, patched
from programs.whole import judged_whole, written_whole

from progdoc.app.disk.description_files import load_path
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.person_card import card_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.document.tree.nodes import Document, Notice, Paragraph, Section, Table, Text
from progdoc.rules.judge import judge
from progdoc.rules.reading.catalogue import built_in_catalogue

SAMPLE = Path(__file__).resolve().parents[2] / "sample_config" / "restoration_2026"


def _page(folder: Path, entry: dict[str, Any], task: str = "scrape-sashes") -> Document:
    return task_documents(judged(patched(entry), folder))[task]


def _text(page: Document) -> str:
    return " ".join(words(paragraph) for paragraph in of_type(page, Paragraph))


def test_a_page_tells_the_crew_what_it_needs(tmp_path: Path) -> None:
    page = _page(tmp_path, {})
    assert section_ids(page) == ["mask", "air", "leave", "emergencies"]
    text = _text(page)
    assert "the grey half mask with magenta disc, or the blower mask with blower filter" in text
    assert "2.1 times its limit" in text
    assert "hold your breath for 10 s" in text
    assert "Ada Brook, 555-0142" in text
    assert "Ravi Stone" not in " ".join(t.text for t in of_type(page, Text))


def test_a_mask_worn_by_choice_is_not_required(tmp_path: Path) -> None:
    assert "No mask is needed. You may wear the white dust mask" in _text(_page(tmp_path, {}, "sort-books"))


def test_a_task_without_a_mask_that_protects_does_not_start(tmp_path: Path) -> None:
    page = _page(tmp_path, {"set": {"hazards[0].exposure": {"kind": "unknown"}}})
    assert of_type(page, Notice)[0].kind == "danger"
    assert "Do not start." in _text(page)
    assert page.draft


def test_the_work_of_others_is_theirs(tmp_path: Path) -> None:
    entry = {
        "set": {"tasks[0].done_by": "others", "tasks[0].others": "Deepwell Access", "tasks[0].confined_space": "yes"}
    }
    page = _page(tmp_path, entry)
    text = _text(page)
    assert "Who does it: Deepwell Access." in text
    assert "Stay out" in text
    assert "mask" not in section_ids(page)


def test_an_unsettled_seal_check_is_said(tmp_path: Path) -> None:
    text = _text(_page(tmp_path, {"drop": ["procedures.use.seal_check.adopt"]}))
    assert "Which check to do has not been settled: ask before you start." in text


def test_a_change_schedule_without_a_basis_is_not_passed_on(tmp_path: Path) -> None:
    plan = {"id": "plan", "filter": "ov", "tasks": ["scrape-sashes"], "change": "When it smells", "basis": "odour"}
    part = {"id": "ov", "name": "black cartridge", "gases": ["organic-vapour"]}
    worn = {"tasks[0].masks[0].filters": ["ov"]}
    entry = {"set": {"filters[2]": part, "procedures.filter_changes.schedules": [plan], **worn}}
    text = _text(_page(tmp_path, entry))
    assert "When to change the black cartridge has not been settled." in text
    assert "When it smells" not in text


SPILT = {"what": "A can tips over", "crew": "Everybody walks out", "agents": ["toluene"], "going_in": "no"}
FIRE = {"what": "The rags burn", "crew": "Everybody leaves and calls 911", "going_in": "no"}
CHANGE, IN_USE = "Change the black-and-magenta cartridge", "3 h in use at most"


@pytest.mark.parametrize(
    ("file", "said", "instead"),
    [
        ("tasks.yaml", "{mask: full-face, filters: [ov-p100]}", "{mask: full-face, filters: [p100-disc]}"),
        ("masks.yaml", "gases: [organic-vapour]", "gases: [acid-gas]"),
        ("masks.yaml", "filters: [p100-disc, ov-p100]", "filters: [p100-disc]"),
    ],
)
def test_nothing_orders_the_change_of_a_cartridge_that_nobody_may_wear(
    file: str, said: str, instead: str, tmp_path: Path
) -> None:
    """Neither the task's page nor the first page: a time to change it by would read as leave to wear it."""
    folder = tmp_path / "firm"
    copytree(SAMPLE, folder)
    (folder / file).write_text((folder / file).read_text(encoding="utf-8").replace(said, instead), encoding="utf-8")
    found = judge(load_path(folder), built_in_catalogue(), date(2026, 11, 24))
    page = _text(task_documents(found)["spray-varnish"])
    assert "Do not start" in page and CHANGE not in page
    assert IN_USE not in glance(program_of(found))


def test_the_change_of_a_cartridge_that_may_be_worn_is_ordered() -> None:
    assert CHANGE in _text(task_documents(judged_whole("restoration_2026"))["spray-varnish"])
    assert IN_USE in glance(written_whole("restoration_2026").program)


def glance(document: Document) -> str:
    """Return the words of the table that says who wears what where."""
    (table,) = (table for table in of_type(document, Table) if table.id == "at-a-glance.all")
    return " ".join(text.text for text in of_type(table, Text))


def test_a_page_tells_what_may_happen_in_the_task(tmp_path: Path) -> None:
    """By the agent that is then in the air; what names none may happen anywhere."""
    entry = {"set": {"procedures.emergencies.foreseeable[1]": SPILT, "procedures.emergencies.foreseeable[2]": FIRE}}
    pages = task_documents(judged(patched(entry), tmp_path))
    scraping, sorting = _text(pages["scrape-sashes"]), _text(pages["sort-books"])
    told = "What may happen: the blower stops. Then: the wearer walks out and changes the battery outside."
    assert told in scraping
    assert "the blower stops" not in sorting
    assert "a can tips over" not in scraping + sorting
    rule = "Nobody goes in before the air is known to be clean"
    assert 0 < scraping.index(rule) < scraping.index("What may happen")
    assert all("the rags burn. Then: Everybody leaves and calls 911." in text for text in (scraping, sorting))


def test_a_page_of_others_tells_what_may_happen_there(tmp_path: Path) -> None:
    entry = {"set": {"tasks[0].done_by": "others", "tasks[0].others": "Deepwell Access"}}
    assert "the blower stops" in _text(_page(tmp_path, entry))


def test_an_emergency_stands_on_the_pages_of_its_tasks_alone(tmp_path: Path) -> None:
    stop = {"what": "The lamp goes out", "crew": "Everybody walks out", "agents": ["lead"], "going_in": "no"}
    for tasks in (["sort-books"], ["scrape-sashes"], ["sort-books", "scrape-sashes"]):
        told = {"procedures.emergencies.foreseeable": [{**stop, "tasks": tasks}]}
        found = judged(patched({"set": told}), tmp_path)
        pages = task_documents(found)
        assert [task for task, page in pages.items() if "the lamp goes out" in _text(page)] == sorted(
            tasks, key=list(pages).index
        )


@pytest.mark.parametrize("kits", [True, False])
def test_no_page_lists_spectacles_under_a_full_facepiece_with_a_lens_kit(kits: bool, tmp_path: Path) -> None:
    """29 CFR 1910.134(g)(1)(ii)."""
    changes = {"masks[0].facepiece": "full-facepiece", "masks[0].lens_kits": "yes" if kits else "no"}
    changes |= {"tasks[0].gear": ["spectacles", "coveralls"], "tasks[0].gear_clear_of_seal": "yes"}
    changes |= {"tasks[0].masks": [{"mask": "half-mask", "filters": ["p100-disc"]}]}
    found = judged(patched({"set": changes}), tmp_path)
    page = _text(task_documents(found)["scrape-sashes"])
    assert ("Along with it: coveralls." in page) is kits
    assert ("the lens kit, and no spectacles" in page) is kits
    forms = printed_words(list(form_documents(found).values()))
    assert ("coveralls, the lens kit of grey half mask in place of spectacles" in forms) is kits
    assert ("SEL-029" in {d.code for d in found.findings}) is not kits


# ---- the page follows the kind of mask ------------------------------------------------------------------------

KINDS: list[tuple[dict[str, Any], set[str], set[str]]] = [
    ({"facepiece": "full-facepiece", "mode": "scba-pressure-demand", "low_air_alarm": "yes", "service_time": "45 min"},
     {"check the seal", "straps", "the cylinder is full", "low-air alarm"}, {"filter", "blower", "hose"}),
    ({"facepiece": "full-facepiece", "mode": "airline-pressure-demand", "auxiliary_air": "yes"},
     {"check the seal", "straps", "hose and couplings", "the cylinder is full"}, {"filter", "blower"}),
    ({"facepiece": "hood", "mode": "airline-continuous-flow"},
     {"hose and couplings"}, {"check the seal", "straps", "filter", "no hair", "cylinder"}),
    ({"facepiece": "filtering-facepiece", "mode": "air-purifying", "built_in_filter": "P100"},
     {"check the seal", "thrown away", "both hands"}, {"filters", "Change a filter", "valves", "straps", "Hand in"}),
    ({"facepiece": "half-mask", "mode": "air-purifying", "filters": ["p100-disc"]},
     {"check the seal", "straps", "Filters covered", "Change a filter", "to change a filter"},
     {"hose", "cylinder", "thrown away"}),
]  # fmt: skip


@pytest.mark.parametrize(("mask", "told", "left_out"), KINDS, ids=[kind["mode"] for kind, _, _ in KINDS])
def test_a_page_speaks_of_the_mask_that_is_there(
    mask: dict[str, Any], told: set[str], left_out: set[str], tmp_path: Path
) -> None:
    worn = [{"mask": "half-mask", "filters": mask.get("filters", [])}]
    one = {"id": "half-mask", "name": "the one", **mask}
    entry = {
        "set": {"masks[0]": one, "tasks[0].masks": worn, "tasks[0].controls": ["Windows open"]},
        "drop": ["procedures.emergencies.foreseeable"],
    }
    text = _text(_page(tmp_path, entry))
    assert {words for words in told if words not in text} == set()
    assert {words for words in left_out if words in text} == set()


def test_the_page_of_dangerous_air_tells_what_keeps_people_alive(tmp_path: Path) -> None:
    text = _text(_page(tmp_path, {"program": "fire-fighting"}, "attic-fire"))
    for told in (
        "2 or more of our people stay outside", "in contact by voice or signal line", "Ada Brook, 555-0142",
        "Harness and line on everybody", "30 min by its rating", "Its alarm sounds", "have air of their own",
    ):  # fmt: skip
        assert told.casefold() in text.casefold(), told
    assert "Not all of it has been settled" not in text
    silent = {"program": "fire-fighting", "drop": ["procedures.emergencies.idlh.retrieval_by"]}
    assert "Not all of it has been settled" in _text(_page(tmp_path, silent, "attic-fire"))
    assert "Retrieval gear" not in _text(_page(tmp_path, silent, "attic-fire"))
    assert "Going in" not in _text(_page(tmp_path, {}))


@pytest.mark.parametrize(("facepiece", "seals"), [("hood", False), ("loose-fitting", False), ("half-mask", True)])
def test_a_card_orders_a_seal_check_where_there_is_a_seal(facepiece: str, seals: bool, tmp_path: Path) -> None:
    one = {"id": "half-mask", "name": "the one", "facepiece": facepiece, "mode": "powered"}
    entry = {
        "set": {"masks[0]": one, "people[0].masks": [{"mask": "half-mask", "size": "M"}]},
        "drop": ["tasks[1].masks[0]", "tasks[0].masks[1]"],
    }
    found = judged(patched(entry), tmp_path)
    card = _text(card_documents(found)[found.description.people[0].id])
    assert ("seal check" in card) is ("hair" in card) is seals


@pytest.mark.parametrize("words", ["TBD", "Not possible", "Carries on without it, tells the foreman at noon"])
def test_what_is_no_answer_is_no_order_to_the_crew(words: str, tmp_path: Path) -> None:
    """Neither on the page of a task nor on the first page of the program."""
    found = judged(patched({"set": {"procedures.emergencies.mask_fails": words}}), tmp_path)
    page = _text(task_documents(found)["scrape-sashes"])
    first = printed_words(of_type(program_of(found), Section)[0])
    assert words.casefold() not in page.casefold() and words.casefold() not in first
    assert "out at once with the mask on" in page and "out at once with the mask on" in first
    answered = judged(patched({}), tmp_path)
    assert "If the mask fails" in _text(task_documents(answered)["scrape-sashes"])
    assert "if the mask fails" in printed_words(of_type(program_of(answered), Section)[0])
