"""`select`, for programs and for people, through the public door."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import yaml
from document.reading import of_type, program_of
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import checked_by, patched
from rules.workplaces import sample, samples

from progdoc.app.check import Checked
from progdoc.app.disk.description_files import check_path
from progdoc.app.select import is_everybody_protected, task_ids
from progdoc.app.selection_json import selection_json
from progdoc.app.selection_lines import selection_lines
from progdoc.cli.terminal import laid_out
from progdoc.core.numbers import number_text
from progdoc.document.tree.nodes import Table, Text
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reasons import DISPROVES, FORBIDS

DAY = date(2026, 6, 1)
LEAD = {"id": "l", "task": "scrape", "agent": "lead", "form": "dust", "irritates_eyes": "no"}
VALUES: dict[str, Any] = {
    "format": 1,
    "tasks": [
        {
            "id": "scrape",
            "name": "Scraping sashes",
            "industry": "construction",
            "use": "required",
            "confined_space": "no",
            "immediately_dangerous": "no",
            "gear": ["none"],
            "masks": [{"mask": "grey", "filters": ["p100"]}, {"mask": "dusty"}],
        },
        {"id": "unknown", "name": "Unknown air", "industry": "construction", "use": "required"},
    ],
    "hazards": [
        {**LEAD, "exposure": samples(sample("240 ug/m3"))},
        {"id": "u", "task": "unknown", "agent": "toluene", "form": "vapour"},
    ],
    "masks": [
        {
            "id": "grey",
            "name": "grey half mask",
            "make": "Hallam",
            "model": "H-40",
            "facepiece": "half-mask",
            "mode": "air-purifying",
            "approval": "TC-84A-0000",
            "within_approval": "yes",
            "filters": ["p100"],
        },
        {
            "id": "dusty",
            "name": "dust mask",
            "make": "Hallam",
            "model": "D-1",
            "label_kept": "yes",
            "facepiece": "filtering-facepiece",
            "mode": "air-purifying",
            "approval": "TC-84A-0000",
            "within_approval": "yes",
            "built_in_filter": "N95",
        },
    ],
    "filters": [{"id": "p100", "particulate": "P100", "approval": "TC-84A-0000", "label_kept": "yes"}],
    "procedures": {"fit_testing": {"protocols": ["saccharin"]}},
}


def checked(folder: Path, values: dict[str, Any]) -> Checked:
    file = folder / "program.yaml"
    file.write_text(yaml.safe_dump(json.loads(json.dumps(values))), encoding="utf-8")
    return check_path(file, DAY)


def test_json_has_the_promised_shape(tmp_path: Path) -> None:
    value = json.loads(selection_json(checked(tmp_path, VALUES)))
    assert value["format"] == "progdoc-selection/1"
    scrape, unknown = value["tasks"]
    assert set(scrape) == {
        *("task", "agents", "needed_apf", "immediately_dangerous", "masks", "classes_that_would_do"),
        *("at_hand_for_escape", "escape_masks_missing_for", "nobody_gets_out", "nobody_goes_in", "for_groups"),
    }
    assert scrape["agents"] == [
        {
            "agent": "lead",
            "cas": "7439-92-1",
            "form": "dust",
            "evidence": "samples",
            "concentration": {"value": 240.0, "unit": "ug/m3"},
            "limit": {"value": 50.0, "unit": "ug/m3", "kind": "TWA", "source": "29 CFR 1926.62(c)(1)"},
            "hazard_ratio": 4.8,
        }
    ]
    assert scrape["needed_apf"] == {"value": 4.8, "strictly_above": False}
    good, bad = scrape["masks"]
    assert good == {
        "mask": "grey",
        "adequate": True,
        "apf": 10.0,
        "does_not_stop": [],
        "muc": {"value": 500.0, "unit": "ug/m3"},
        "margin": 500.0 / 240.0,
        "service_life": None,
        "reasons": [],
    }
    assert not bad["adequate"]
    [reason] = bad["reasons"]
    assert set(reason) == {"code", "citation", "text"}
    assert reason["code"] == "SEL-016"
    assert reason["citation"] == "29 CFR 1910.134(d)(3)(iv)(B)"
    assert scrape["classes_that_would_do"][0] == {
        "class": "dust mask",
        "apf": 10.0,
        # 29 CFR 1926.62(f)(3)(ii): HEPA filters; 42 CFR 84.170: N100, R100 and P100 stop as much.
        "only_with": ["a filter of class N100, R100 or P100, no lesser one (the standard of lead)"],
    }
    assert unknown["immediately_dangerous"]
    assert unknown["needed_apf"]["value"] is None
    assert unknown["agents"][0]["concentration"] is None
    assert [c["class"] for c in unknown["classes_that_would_do"]] == [
        "pressure-demand airline, full facepiece, with auxiliary air",
        "pressure-demand SCBA, full facepiece",
    ]


def test_one_task_can_be_asked_for(tmp_path: Path) -> None:
    found = checked(tmp_path, VALUES)
    assert task_ids(found) == ("scrape", "unknown")
    assert [t["task"] for t in json.loads(selection_json(found, "unknown"))["tasks"]] == ["unknown"]
    assert "Scraping" not in laid_out(selection_lines(found, "unknown"), 100)


def test_classes_of_masks_are_listed_where_one_is_asked_for_alone(tmp_path: Path) -> None:
    low = [{**LEAD, "exposure": samples(sample("2 ug/m3"))}]
    by_choice = [{**VALUES["tasks"][0], "use": "voluntary"}, VALUES["tasks"][1]]
    told = laid_out(selection_lines(checked(tmp_path, {**VALUES, "hazards": low, "tasks": by_choice}), "scrape"), 100)
    assert "needed: no mask" in told
    assert "classes" not in told
    assert "classes" in laid_out(selection_lines(checked(tmp_path, VALUES), "scrape"), 100)


def test_the_text_leads_with_what_protects_and_why_not(tmp_path: Path) -> None:
    text = laid_out(selection_lines(checked(tmp_path, VALUES), "scrape"), 100)
    assert "protects: grey half mask (factor 10, up to 500 µg/m³ of lead, margin 2.08 = 10 ÷ 4.8)" in " ".join(
        text.split()
    )
    assert "DOES NOT PROTECT: dust mask" in text
    assert "SEL-016" in text
    assert "needed: protection factor 4.8" in text
    assert "no   quarter mask (5)" not in text  # 5 is enough for 4.8
    assert "NIOSH value" in text  # the IDLH value's support
    assert "powered mask" in text  # what the lead standard grants on request
    assert "29 CFR 1926.62(f)" in text
    assert all(len(line) <= 100 for line in text.splitlines())


def test_rounding_does_not_flatter(tmp_path: Path) -> None:
    values = {**VALUES, "hazards": [{**LEAD, "exposure": samples(sample("500.2 ug/m3"))}]}
    text = laid_out(selection_lines(checked(tmp_path, values)), 100)
    assert "10.1 times" in text
    assert "DOES NOT PROTECT: grey half mask (factor 10, margin 0.999 = 10 ÷ 10.01)" in " ".join(text.split())


def test_a_description_with_faults_of_form_selects_nothing(tmp_path: Path) -> None:
    found = checked(tmp_path, {**VALUES, "wrong": 1})
    assert json.loads(selection_json(found)) == {"format": "progdoc-selection/1", "tasks": []}
    assert "check" in laid_out(selection_lines(found), 80)


def test_names_cannot_repaint_a_terminal(tmp_path: Path) -> None:
    masks = [{**VALUES["masks"][0], "name": "grey\u202e mask"}, VALUES["masks"][1]]
    text = laid_out(selection_lines(checked(tmp_path, {**VALUES, "masks": masks})), 100)
    assert "\u202e" not in text


@examples(25)
@given(st.integers(1, 999_999))
def test_text_and_json_agree(level: int) -> None:
    from tempfile import TemporaryDirectory

    values = {**VALUES, "hazards": [{**LEAD, "exposure": samples(sample(f"{level} ug/m3"))}]}
    with TemporaryDirectory() as folder:
        found = checked(Path(folder), values)
    masks = json.loads(selection_json(found, "scrape"))["tasks"][0]["masks"]
    text = laid_out(selection_lines(found, "scrape"), 200)
    assert text.count("DOES NOT PROTECT") == sum(not mask["adequate"] for mask in masks)


def test_a_gas_cartridge_has_its_service_life() -> None:
    """The numbers are checked in tests/rules/test_schedules.py; here, that they arrive."""
    sample = Path(__file__).parents[2] / "sample_config" / "restoration_2026"
    checked = check_path(sample, date(2026, 11, 24))
    (task,) = json.loads(selection_json(checked, "spray-varnish"))["tasks"]
    life = task["masks"][0]["service_life"]
    assert set(life) == {"hours", "basis", "schedule", "refused"}
    assert life["hours"] == 3.0  # what the schedule states, and the papers print; its sources give more
    assert "our schedule is stricter" in life["basis"]
    text = " ".join(laid_out(selection_lines(checked, "spray-varnish"), 200).split())
    assert "cartridges: 3 h; basis:" in text and "change: A new pair each morning before spraying" in text


def test_nothing_says_how_far_or_how_long_a_mask_serves_that_does_not_protect(tmp_path: Path) -> None:
    """A figure beside a no would read as leave: neither `select` nor the tables of the program print one."""
    spoilt = {"drop": ["masks[0].approval"]}, {"program": "varnishing"}, {"set": {"masks[0].withdrawn": GONE}}
    for entry in spoilt:
        checked = checked_by(built_in_catalogue(), patched(entry))
        assert checked.judged is not None
        weak = 0
        for task in json.loads(selection_json(checked))["tasks"]:
            bad = [mask for mask in task["masks"] if not mask["adequate"]]
            assert all(mask["muc"] is None and mask["service_life"] is None for mask in bad)
            weak += len(bad)
        assert weak
        told = [line.text for lines in selection_lines(checked) for line in lines]
        assert not any(text.startswith("DOES NOT PROTECT") and ", up to " in text for text in told)
        if all(not mask.is_adequate for mask in checked.judged.selection.masks.values()):
            assert not any(text.startswith("cartridges: ") for text in told)
        rows = [row for table in of_type(program_of(checked.judged), Table) for row in table.rows]
        for row in rows:
            cells = ["".join(text.text for text in of_type(cell, Text)) for cell in row.cells]
            if row.id.startswith("protection.") and cells[-1] == "No":
                assert cells[3] == "–", cells
            if row.id.startswith("filter-changes.varnish"):
                assert cells[2:] == ["Nobody wears it here: it is not shown to protect.", "–"]


GONE = {"since": "2026-03-01", "because": "Its straps tear"}


def test_a_margin_can_be_done_again_with_a_pocket_calculator() -> None:
    bases = set()
    for level in ("60 ppm", "3.3 ppm", "170 ppm"):
        values = patched({"program": "varnishing", "set": {"hazards[0].exposure.concentration": level}})
        text = " ".join(laid_out(selection_lines(checked_by(built_in_catalogue(), values)), 100).split())
        found = re.findall(r"margin ([\d.,]+) = ([^÷]*?)([\d.,]+)(?: ppm)? ÷ ([\d.,]+)", text)
        assert found
        for margin, basis, top, below in found:
            numbers = [float(one.replace(",", "")) for one in (margin, top, below)]
            assert number_text(numbers[1] / numbers[2], "down") == margin
            bases.add(basis.strip())
    assert bases >= {"IDLH"}


def test_that_a_mask_does_not_protect_is_said_by_reasons_of_protection_alone() -> None:
    """Over every reason there is: what is silent, late or unclear leaves open whether a mask protects, and says so."""
    says = re.compile(r"(?:does not protect|does not do|protects nobody)\b(?! from)")
    leaves_open = re.compile(r"nobody says|not shown|not said|not settled|does not say|no NIOSH approval number")
    odd = []
    for requirement in built_in_catalogue().requirements:
        disproves, forbids = requirement.code in DISPROVES, requirement.code in FORBIDS
        if (says.search(requirement.what) and not disproves) or (disproves and leaves_open.search(requirement.what)):
            odd.append((requirement.code, requirement.what))
        if forbids and (disproves or not re.search(r"policy|rule", requirement.what)):
            odd.append((requirement.code, requirement.what))
    assert odd == []


def test_a_mask_of_which_only_something_is_missing_is_not_said_not_to_protect() -> None:
    """Beside “yes, half mask (10)” it would frighten, or teach to overlook it; what is missing stands below."""
    for path, code in (
        ("masks[0].make", "MSK-006"),
        ("masks[0].approval", "MSK-003"),
        ("masks[0].within_approval", "MSK-005"),
    ):
        checked = checked_by(built_in_catalogue(), patched({"drop": [path]}))
        text = laid_out(selection_lines(checked), 200)
        assert "NOT SHOWN TO PROTECT YET" in text and code in text, path
        assert "DOES NOT PROTECT" not in text, path
        assert not is_everybody_protected(checked), "it bars as before"
