"""Masks to get out in: which the standards want at hand, and that nobody is told to do without one there."""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import cycle, product
from pathlib import Path
from typing import Any

import pytest
from document.reading import program_of
from examples import TIMES
from programs.patching import judged, patched
from published_value import published
from rules.workplaces import DAY, described, sample, samples, selected

from progdoc.app.check import check
from progdoc.app.select import is_everybody_protected, select
from progdoc.app.selection_json import selection_json
from progdoc.app.selection_lines import selection_lines
from progdoc.document.blocks.assignment_blocks import answer_words
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.person_card import card_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.model.load import load
from progdoc.rules.judged.mask_results import Escape
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.writers.assignment_csv import assignment_csv

SASHES = "scrape-sashes"
MC: dict[str, Any] = {
    "id": "strip-mc", "task": SASHES, "agent": "methylene chloride", "form": "vapour", "oil": "no",
    "exposure": {
        "kind": "estimate", "concentration": "50 ppm", "averaging": "ceiling", "by": "Clearfield Hygiene",
        "basis": "Litres used", "date": "2026-02-10",
    },
}  # fmt: skip
HOOD = {
    "id": "escape-hood", "name": "orange hood", "facepiece": "hood", "mode": "air-purifying", "escape_only": "yes",
    "escape_from": ["dichloromethane"],
}  # fmt: skip


def escape(agent: str, mask: dict[str, Any], industry: str = "construction") -> Escape:
    hazard = {**MC, "id": "h", "task": "t", "agent": agent}
    hazard["exposure"] = {**MC["exposure"], "concentration": "900 ppm"}
    program = described([hazard], mask, (), {"industry": industry, "escape_masks": ["m"]})
    return selected(program).escape["t"]


def serves(agent: str, facepiece: str, mode: str, industry: str = "construction") -> bool:
    (duty,) = escape(agent, {"facepiece": facepiece, "mode": mode, "escape_only": "yes"}, industry).duties
    return bool(duty.served_by)


FULL, HALF, LOOSE = "full-facepiece", "half-mask", "hood"
FILTERS, DEMAND, PRESSURE, AIRLINE = "air-purifying", "scba-demand", "scba-pressure-demand", "airline-continuous-flow"


@published(
    "29 CFR 1910.1028(g)(3)(i)(B), .1045(h)(3)(ii), .1047(g)(3)(iii), .1048(g)(3)(i)(C), .1050(h)(3)(i)(C),"
    " .1051(h)(3)(i) Table 1, .1052(g)(3)(ii)"
)
@pytest.mark.parametrize(
    ("agent", "will_do", "will_not"),
    [
        ("benzene", [(FULL, FILTERS), (FULL, DEMAND)], [(HALF, FILTERS), (LOOSE, PRESSURE)]),
        ("formaldehyde", [(FULL, FILTERS), (FULL, DEMAND)], [(HALF, FILTERS), (LOOSE, FILTERS)]),
        ("methylene chloride", [(FULL, FILTERS), (LOOSE, PRESSURE)], [(HALF, FILTERS), (FULL, DEMAND)]),
        ("ethylene oxide", [(FULL, FILTERS), (LOOSE, AIRLINE)], [(HALF, FILTERS), (HALF, PRESSURE)]),
        ("acrylonitrile", [(HALF, FILTERS), (FULL, PRESSURE)], [(FULL, AIRLINE)]),
        ("1,3-butadiene", [(FULL, FILTERS), (FULL, PRESSURE)], [(HALF, FILTERS), (FULL, DEMAND)]),
        ("4,4'-methylenedianiline", [(FULL, FILTERS), (LOOSE, PRESSURE)], [(HALF, FILTERS), (FULL, DEMAND)]),
    ],
)
def test_each_standard_lets_people_escape_in_its_own_kinds(
    agent: str, will_do: list[tuple[str, str]], will_not: list[tuple[str, str]]
) -> None:
    for industry in ("general", "construction"):
        assert [kind for kind in will_do if not serves(agent, *kind, industry)] == []
        assert [kind for kind in will_not if serves(agent, *kind, industry)] == []


@published("29 CFR 1926.60(i)(3)(i)(C), where 1910.1050(h)(3)(i)(C) has its twin")
def test_the_paragraph_cited_is_that_of_the_industry() -> None:
    mask = {"facepiece": "half-mask", "mode": "air-purifying"}
    cited = {i: escape("4,4'-methylenedianiline", mask, i).duties[0].citation for i in ("general", "construction")}
    assert cited == {"general": "29 CFR 1910.1050(h)(3)(i)(C)", "construction": "29 CFR 1926.60(i)(3)(i)(C)"}


def test_escape_is_asked_for_by_agents_that_have_a_standard() -> None:
    governed = {(row["agent"], row["industry"]) for row in table_rows("substance_standards")}
    asked = {(row["agent"], one) for row in table_rows("escape_masks") for one in row["industries"].split(";")}
    assert asked and asked <= governed


@pytest.mark.parametrize("agent", ["toluene", "hydrogen sulfide"])
def test_where_no_standard_provides_for_escape_none_is_asked_for(agent: str) -> None:
    assert escape(agent, {"facepiece": "half-mask", "mode": "air-purifying"}).duties == ()


# ---- what comes of it ---------------------------------------------------------------------------------


def by(folder: Path, **changes: Any) -> Judged:
    return judged(patched({"set": {"hazards[2]": MC, "masks[3]": HOOD, **changes}}), folder)


WITHOUT: dict[str, dict[str, Any]] = {
    "none named": {},
    "a half mask": {"tasks[0].escape_masks": ["escape-hood"], "masks[3].facepiece": "half-mask"},
    "one for other air": {"tasks[0].escape_masks": ["escape-hood"], "masks[3].escape_from": ["toluene"]},
    "nobody says for which air": {"tasks[0].escape_masks": ["escape-hood"], "masks[3].escape_from": []},
    "a withdrawn one": {
        "tasks[0].escape_masks": ["escape-hood"],
        "masks[3].withdrawn": {"since": "2026-05-01", "because": "Recalled by the maker"},
    },
    "one that fits nobody": {"tasks[0].escape_masks": ["escape-hood"], "masks[3].facepiece": "full-facepiece"},
}
WORK: dict[str, dict[str, Any]] = {
    "mask required": {},
    "mask by choice": {"tasks[0].use": "voluntary"},
    "no mask": {"tasks[0].use": "none", "tasks[0].masks": []},
    "no mask, under every limit": {
        "tasks[0].use": "none",
        "tasks[0].masks": [],
        "hazards[0].exposure.results[0].concentration": "1 ug/m3",
        "hazards[2].exposure.concentration": "5 ppm",
        "procedures.emergencies.foreseeable[0].agents": ["methylene chloride"],
    },
}


# On each change every lack is seen with one kind of work, and every kind of work with one lack or two; all at night.
TRIED = list(product(WORK, WITHOUT) if TIMES > 1 else zip(cycle(WORK), WITHOUT, strict=False))


@published("29 CFR 1910.1052(g)(3)(ii): whoever works in methylene chloride is given a mask to escape in")
@pytest.mark.parametrize(("work", "lacking"), TRIED)
def test_nobody_works_without_a_mask_to_get_out_in_where_a_standard_wants_one(
    tmp_path: Path, work: str, lacking: str
) -> None:
    found = by(tmp_path, **WORK[work], **WITHOUT[lacking])
    task = found.index.tasks[SASHES][1]
    for person in found.description.people:
        one = found.roster.assignment(person, task)
        assert not one.may and answer_words(one) == "no"
        assert one.reasons
    told = paper_words(found, "page", "program")
    page = told["page"]
    # The page names nobody, so it can't tell whom a mask fits.
    assert "do not start" in page or lacking == "one that fits nobody"
    assert "no mask is needed" not in page
    if lacking != "one that fits nobody":
        assert "no mask to get out of the air is shown to hang at hand" in page
        assert "no mask to get out of the air is shown to hang at hand" in told["program"][: len(told["program"]) // 3]
    rows = assignment_csv(found).decode()
    assert f",{SASHES},Scraping sash windows,yes,yes" not in rows
    assert f",{SASHES},Scraping sash windows,yes,with" not in rows


PAPERS: dict[str, Callable[[Judged], Any]] = {
    "page": lambda found: task_documents(found)[SASHES],
    "cards": lambda found: list(card_documents(found).values()),
    "annex": annex_document,
    "program": program_of,
    "forms": lambda found: list(form_documents(found).values()),
}


def paper_words(found: Judged, *names: str) -> dict[str, str]:
    """Return the words of each paper that is named, of all if none is."""
    return {name: " ".join(printed_words(PAPERS[name](found)).split()) for name in names or PAPERS}


def test_with_one_at_hand_the_work_is_done_and_every_paper_says_what_it_is_for(tmp_path: Path) -> None:
    changes = {**WORK["no mask, under every limit"], "tasks[0].escape_masks": ["escape-hood"]}
    found = by(tmp_path, **changes)
    task = found.index.tasks[SASHES][1]
    one = found.roster.assignment(found.index.people["jo-marsh"][1], task)
    assert answer_words(one) == "yes, with orange hood at hand for getting out, none worn"
    told = paper_words(found)
    assert "keep it at hand, do not work in it" in told["page"]
    assert "no mask is worn at the work." in told["page"]
    assert all("for getting out only" in told[name] for name in ("page", "program"))
    assert "orange hood at hand for getting out, none worn" in told["annex"]
    assert "orange hood at hand for getting out, none worn" in told["cards"]
    assert b"with an escape mask at hand only" in assignment_csv(found)


def test_the_professional_is_told_of_it(tmp_path: Path) -> None:
    assert (
        "for getting out only"
        in paper_words(by(tmp_path, **{"tasks[0].escape_masks": ["escape-hood"]}), "forms")["forms"]
    )


def test_an_escape_mask_is_never_worn_at_work(tmp_path: Path) -> None:
    """Named among the masks of a task it bars it; the finding says where it belongs, in the reader's own ids."""
    found = by(tmp_path, **{"tasks[0].masks[2]": {"mask": "escape-hood"}})
    (gap,) = [f for f in found.findings if f.code == "SEL-010"]
    assert gap.subject == (f"tasks.{SASHES}", "masks.escape-hood")
    assert "Take `escape-hood` out of `masks:` of “scrape-sashes”" in gap.fix
    assert f"  - id: {SASHES}\n    escape_masks: [escape-hood]" in gap.fix
    assert (SASHES, "escape-hood") in found.selection.masks
    carried = by(tmp_path, **{"tasks[0].escape_masks": ["escape-hood"]})
    assert (SASHES, "escape-hood") not in carried.selection.masks


@published("29 CFR 1910.134(d)(2)(i)(A), (B): what brings its own air serves where nothing is known of the air")
def test_a_mask_that_brings_its_own_air_needs_no_list_of_agents() -> None:
    for mode, auxiliary, is_silent in (
        (PRESSURE, "no", False), (DEMAND, "no", False), ("airline-pressure-demand", "yes", False),
        ("airline-pressure-demand", "no", True), (FILTERS, "no", True),
    ):  # fmt: skip
        units = [{"id": "1", "inspections": [{"date": "2026-05-20", "result": "serviceable"}]}]
        mask = {"facepiece": FULL, "mode": mode, "auxiliary_air": auxiliary, "units": units}
        (at_hand,) = escape("methylene chloride", mask).masks
        assert ("nobody says from which agents" in at_hand.trouble) is is_silent, (mode, auxiliary)
        assert at_hand.is_silent is is_silent, (mode, auxiliary)


@published("29 CFR 1910.1052(c), (g)(3)(ii): 25 ppm over 8 hours, 125 ppm over 15 minutes; masks for escape")
@pytest.mark.parametrize(("ppm", "is_wanted"), [("3 ppm", False), ("10 ppm", True), ("26 ppm", True)])
def test_where_a_short_term_limit_may_be_passed_a_way_out_is_wanted(ppm: str, is_wanted: bool) -> None:
    """3 ppm over 8 hours are 96 in one quarter of an hour at the most, 10 ppm may have been 320."""
    hazard = {"agent": "methylene chloride", "form": "vapour", "exposure": samples(sample(ppm))}
    found = selected(described([hazard], None, (), {"industry": "general", "masks": []}))
    assert bool(found.escape["t"].duties) is is_wanted


@pytest.mark.parametrize(("named", "protected"), [([], False), (["escape-hood"], True)])
def test_select_tells_what_hangs_at_hand(named: list[str], protected: bool) -> None:
    approved = {"approval": "TC-13F-0000", "within_approval": "yes"}
    pack = {"id": "pack", "facepiece": FULL, "mode": "airline-pressure-demand", "auxiliary_air": "yes", **approved}
    pack |= {"make": "Osterby", "model": "A-9"}
    safe = {"confined_space": "no", "immediately_dangerous": "no"}
    work = {"id": SASHES, "name": "Stripping", "industry": "construction", "use": "required", "gear": ["none"], **safe}
    task = {**work, "masks": [{"mask": "pack"}], "escape_masks": named}
    fed = {"air_supply": patched({"program": "crypt-with-airline"})["procedures"]["air_supply"]}
    values = {"format": 1, "tasks": [task], "hazards": [MC], "masks": [pack, HOOD], "procedures": fed}
    checked = check(load({"program.yaml": json.dumps(values).encode()}), DAY, built_in_catalogue())
    assert is_everybody_protected(checked) is protected
    (told,) = json.loads(selection_json(checked))["tasks"]
    assert told["escape_masks_missing_for"] == ([] if protected else ["methylene chloride"])
    assert [one["mask"] for one in told["at_hand_for_escape"]] == named
    lines = " ".join(line.text for block in selection_lines(checked) for line in block)
    assert ("NONE HANGS AT HAND" in lines) is not protected
    assert len(select(checked)) == 1


# ---- emergencies of some tasks -------------------------------------------------------------------------

SPILL = {"what": "A can tips over", "crew": "Everybody walks out", "going_in": "no"}


def _with_spill(folder: Path, **more: Any) -> Judged:
    hazard = {**MC, "exposure": {**MC["exposure"], "concentration": "1 ppm"}}
    changes = {"hazards[0]": hazard, "procedures.emergencies.foreseeable": [{**SPILL, **more}]}
    return judged(patched({"set": changes}), folder)


@published("29 CFR 1910.1052(g)(3)(iii): masks to escape in from an emergency with methylene chloride")
@pytest.mark.parametrize(
    ("more", "is_asked"),
    [
        ({"agents": ["methylene chloride"]}, True),
        ({"agents": ["methylene chloride"], "tasks": [SASHES]}, True),
        ({"agents": ["methylene chloride"], "tasks": ["sort-books"]}, False),
        ({"tasks": [SASHES]}, True),  # what is in the air of its task is in its air
        ({"tasks": ["sort-books"]}, False),
        ({}, False),
    ],
)
def test_an_emergency_makes_people_flee_from_the_air_of_its_tasks(
    more: dict[str, Any], is_asked: bool, tmp_path: Path
) -> None:
    found = _with_spill(tmp_path, **more)
    assert bool(found.selection.escape[SASHES].duties) is is_asked


@published("29 CFR 1910.134(d)(1)(iii): air that nobody identified or can estimate is immediately dangerous")
def test_going_in_is_judged_with_the_air_of_its_tasks(tmp_path: Path) -> None:
    going = {"going_in": "yes", "masks": ["half-mask"]}
    drill = {"tasks[0].emergency_only": "yes"}
    for more, is_judged in (
        ({"agents": ["lead"], "tasks": [SASHES]}, True),
        ({"tasks": [SASHES]}, True),
        ({}, False),
        ({"tasks": ["sort-books"], "agents": ["toluene"]}, False),
    ):
        told = {"procedures.emergencies.foreseeable": [{**SPILL, **going, **more}], **drill}
        found = judged(patched({"set": told}), tmp_path)
        assert ("EMG-002" not in {d.code for d in found.findings}) is is_judged, more


def test_a_task_that_no_emergency_knows_is_refused(tmp_path: Path) -> None:
    told = {"procedures.emergencies.foreseeable": [{**SPILL, "tasks": ["no-such-task"]}]}
    loaded = load({"program.yaml": json.dumps(patched({"set": told})).encode()})
    assert any(d.location.path == "procedures.emergencies.foreseeable[0].tasks[0]" for d in loaded.diagnostics)
