"""A plant with more than one answer to a task: each is in the papers, and judged for what it is worn against."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from programs.patching import AS_OF, judged, patched, written
from published_value import published

from progdoc.app.check import check
from progdoc.app.selection_lines import selection_lines
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.model.load import load
from progdoc.rules.judged.result import Judged

NEW = ("OWN-", "ALT-", "AIR-060", "FIT-061")


@pytest.fixture(scope="module")
def plant(tmp_path_factory: pytest.TempPathFactory) -> Judged:
    return judged(patched({"program": "plant-with-bodies"}), tmp_path_factory.mktemp("plant"))


def _changed(folder: Path, **changes: Any) -> Judged:
    return judged(patched({"program": "plant-with-bodies", **changes}), folder)


def _told(found: Judged) -> dict[str, str]:
    return {one.code: f"{one.location.path}: {one.what}" for one in found.findings if one.code.startswith(NEW)}


def test_every_item_of_the_plant_is_in_its_papers(plant: Judged) -> None:
    written = written_program(plant, shipped_templates())
    program = printed_words(written.program)
    for item in (
        *(
            "RP 7",
            "RP 1, plant safety manual",
            "RP 3, respirator manual",
            "Cole Ames",
            "1 April 2027",
            "RP 9, entry of tanks",
        ),
        *(
            "The shift supervisors",
            "Control room",
            "Mere Gases",
            "Quay Air",
            "The cascade at the tank",
            "certified by them",
        ),
        *(
            "By day, kettles open",
            "By night, kettles shut",
            "entrant",
            "standby",
            "300 ppm toluene",
            "leave; nobody goes in",
        ),
        *("Walk out by the east door", "Passing the gate", "Sign the board.", "hose set", "Gate 2", "Red card"),
    ):
        assert item.lower() in program, item
    told = printed_words(form_documents(plant)["plhcp-information"])
    assert "(by night, kettles shut)" in told and "(standby)" in told
    pages = task_documents(plant)
    assert "by night, kettles shut" in printed_words(pages["mix-stain"]) and "450 ppm toluene" in printed_words(
        pages["mix-stain"]
    )
    assert "standby" in printed_words(pages["clean-tank"])
    assert "gear worn: hard hat" in printed_words(annex_document(plant))


def test_the_plant_as_it_stands_has_none_of_the_findings(plant: Judged) -> None:
    assert _told(plant) == {}


@published(
    "29 CFR 1910.134(d)(3)(i)(A), Table 1: a half mask 10, a full facepiece 50; 1910.1000 Table Z-1: 15 mg/m3 of dust"
)
def test_a_mask_is_judged_for_the_air_of_its_condition(plant: Judged, tmp_path: Path) -> None:
    """By night the half mask meets dust alone, by day the full facepiece both."""
    night = plant.selection.masks["mix-stain", "half-mask"]
    assert [muc.hazard for muc in night.mucs] == ["stain-pigment"]
    day = plant.selection.masks["mix-stain", "full-mask"]
    assert [muc.hazard for muc in day.mucs] == ["stain-toluene", "stain-pigment"]
    worse = _changed(tmp_path, set={"hazards[1].exposure.concentration": "200 mg/m3"})  # 13.3 times 15
    of_night = [one for one in worse.findings if one.code == "SEL-003" and "night" in one.what]
    assert [one.subject for one in of_night] == [("tasks.mix-stain", "masks.half-mask")]
    assert "(by night, kettles shut)" in of_night[0].what


@pytest.mark.parametrize(
    ("changes", "code", "says"),
    [
        ({"tasks[0].masks[0].against": ["stain-pigment"]}, "ALT-001", "no mask is worn against toluene"),
        ({"tasks[0].masks[1].against": ["tank-toluene"]}, "ALT-001", "`tank-toluene` is no hazard of this task"),
        ({"tasks[0].steps[1].over": "600 ppm"}, "ALT-003", "clear full mask may be worn to 500 ppm"),
        (
            {"tasks[0].steps[0].mask": "rescue-set", "tasks[0].steps[0].filters": []},
            "ALT-003",
            "none of the task's masks",
        ),
        ({"tasks[1].masks[1].role": "helper"}, "ALT-005", "none for the standby"),
        ({"people[0].fit_tests[0].gear": ["none"]}, "FIT-061", "hard hat (“Mixing stain”)"),
        ({"program.control.next_review": "2026-05-31"}, "OWN-010", "31 May 2026"),
        ({"program.control.approver": "Quentin Unheard"}, "OWN-012", "Quentin Unheard"),
        (
            {"procedures.air_supply.suppliers[1].certified": "no"},
            "AIR-060",
            "Quay Air is not shown to be good: `certified` is no",
        ),
        ({"definitions[0].term": "IDLH"}, "OWN-002", "immediately dangerous to life or health"),
        ({"own_sections[0].before": "clening"}, "OWN-001", "did you mean `cleaning`"),
    ],
    ids=lambda value: value if isinstance(value, str) and value[3] == "-" else "",
)
def test_what_breaks_an_item_is_told(changes: dict[str, Any], code: str, says: str, tmp_path: Path) -> None:
    told = _told(_changed(tmp_path, set=changes))
    assert list(told) == [code] and says in told[code]


def test_each_supplier_has_a_finding_of_its_own(tmp_path: Path) -> None:
    drop = ["procedures.air_supply.suppliers[0].dew_point", "procedures.air_supply.suppliers[1].grade"]
    found = [one for one in _changed(tmp_path, drop=drop).findings if one.code == "AIR-060"]
    assert [one.location.path[-12:] for one in found] == ["suppliers[0]", "suppliers[1]"]


def test_a_mask_of_one_shift_is_never_named_without_it(tmp_path: Path) -> None:
    """Who selects, and who reads what a person may do, sees the condition beside the mask."""
    values = patched({"program": "plant-with-bodies", "set": {"people[0].masks": [{"mask": "half-mask", "size": "M"}]}})
    checked = check(load({"plant.yaml": written(values).encode()}, "plant"), AS_OF)
    assert checked.judged is not None
    lines = [
        line.text
        for block in selection_lines(checked)
        for line in block
        if re.search("PROTECT.*: grey half", line.text)
    ]
    assert lines and all("by night, kettles shut" in line for line in lines)
    (person,) = checked.judged.description.people
    one = checked.judged.roster.assignment(person, checked.judged.description.tasks[0])
    assert [choice.label for choice in one.choices] == ["grey half mask (by night, kettles shut)"]
