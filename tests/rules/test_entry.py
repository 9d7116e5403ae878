"""People who stand by, firms to whom work is left, spaces without a permit, oxygen shown long ago: held to the rest."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from programs.patching import catalogue_of, checked_by, judged_by, patched
from published_value import published

CODES = ("CSP-007", "CSP-008", "IDL-008", "IDL-009", "TSK-029", "TSK-030")
CATALOGUE = catalogue_of(CODES)
AIRLINE = {"masks": [{"mask": "airline"}]}
FRESH = {"lowest": "20.9 %", "basis": "Doors open", "date": "2026-05-20"}
SPACE = {"tasks[0].confined_space": "yes", "tasks[0].entry": {"permit_required": "no"}}


def found(change: dict[str, Any], program: str = "") -> list[str]:
    entry = {"set": change, "program": program} if program else {"set": change}
    return [d.code for d in checked_by(CATALOGUE, patched(entry)).report.findings if d.code in CODES]


def of_permits(change: dict[str, Any]) -> list[str]:
    return [code for code in found(change) if code.startswith("CSP")]


def crew(size: int, with_masks: int | None = None) -> list[dict[str, Any]]:
    masks = size if with_masks is None else with_masks
    return [{"id": f"p{n}", **(AIRLINE if n < masks else {})} for n in range(size)]


@published("29 CFR 1910.134(g)(3)(i), (vi)(A): one employee or more outside, in positive pressure")
@pytest.mark.parametrize("standby", [1, 2, 3])
def test_whoever_goes_in_leaves_as_many_outside_as_are_to_stand_by(standby: int) -> None:
    plan = {"procedures.emergencies.idlh.standby": str(standby)}
    assert found({**plan, "people": crew(standby + 1)}, "crypt-with-airline") == []
    assert found({**plan, "people": crew(standby)}, "crypt-with-airline") == ["IDL-008", "IDL-009"]
    assert found({**plan, "people": crew(standby + 1, standby)}, "crypt-with-airline") == ["IDL-009"]
    alone = {**plan, "people": crew(standby + 1), "organisation.employees": str(standby)}
    assert found(alone, "crypt-with-airline") == ["IDL-008"]


@published("29 CFR 1910.134(g)(3)(i): whoever stands by is located outside of that very air")
def test_a_deadly_task_names_as_many_as_go_in_and_stand_by() -> None:
    for standby, inside in ((1, 1), (2, 1), (1, 2)):
        needed = standby + inside
        plan = {f"procedures.emergencies.idlh.{name}": str(n) for name, n in (("standby", standby), ("inside", inside))}
        for named in range(1, needed + 2):
            there = {**plan, "people": crew(needed + 1), "tasks[0].people": [f"p{n}" for n in range(named)]}
            assert found(there, "crypt-with-airline") == ([] if named >= needed else ["IDL-009"]), (needed, named)
        twice = {**plan, "people": crew(needed + 1), "tasks[0].people": ["p0"] * needed}
        assert found(twice, "crypt-with-airline") == ["IDL-009"]


@published("29 CFR 1910.134(g)(4)(i)-(ii): two inside and two outside")
def test_a_burning_building_takes_two_and_two() -> None:
    scba = [{"id": f"p{n}", "masks": [{"mask": "scba"}]} for n in range(4)]
    assert "IDL-008" not in found({"people": scba}, "fire-fighting")
    assert "IDL-008" in found({"people": scba[:3]}, "fire-fighting")


@pytest.mark.parametrize(
    "others",
    ["Jo Marsh", "jo marsh, our foreman", "Jo", "Brook & Lintel", "Brook & Lintel, the night crew", "Ourselves",
     "Our own crew", "Whoever is cheapest", "Anybody who has time", "Some contractor"],
)  # fmt: skip
def test_the_firm_itself_its_people_and_whoever_turns_up_are_no_others(others: str) -> None:
    left = {"organisation.name": "Brook & Lintel", "tasks[0].done_by": "others", "tasks[0].others": others}
    assert found(left) == ["TSK-029"]


@pytest.mark.parametrize(
    "others",
    ["Deepwell Access, confined-space contractor", "Deepwell Access, called by Jo Marsh", "County fire service",
     "The client's own rescue team", "Jo Marshall Access", "Brookside Diving, who work for whoever owns the dock"],
)  # fmt: skip
def test_another_firm_is_one_whoever_calls_it(others: str) -> None:
    left = {"organisation.name": "Brook & Lintel", "tasks[0].done_by": "others", "tasks[0].others": others}
    assert found(left) == []


@published("29 CFR 1910.146(b), hazardous atmosphere (3) and (5); 29 CFR 1926.1202 says the same")
@pytest.mark.parametrize("industry", ["general", "construction"])
@pytest.mark.parametrize(
    "air",
    [
        {"tasks[0].oxygen": {**FRESH, "lowest": "19.4 %"}},
        {"tasks[0].oxygen": {**FRESH, "lowest": "23.6 %"}},
        {"tasks[0].oxygen": FRESH, "tasks[0].immediately_dangerous": "yes"},
        {"tasks[0].oxygen": FRESH, "hazards[0].exposure.results[0].concentration": "120 mg/m3"},  # IDLH of lead: 100
    ],
)
def test_air_that_kills_makes_a_space_one_for_permits(air: dict[str, Any], industry: str) -> None:
    assert of_permits({**SPACE, **air, "tasks[0].industry": industry}) == ["CSP-007"]
    permitted = {"tasks[0].entry": {"permit_required": "yes"}}
    assert of_permits({**SPACE, **air, **permitted, "tasks[0].industry": industry}) == []


@published("29 CFR 1910.146(b), hazardous atmosphere (4) with its note: what harms over years alone is not meant")
def test_a_passed_limit_asks_whether_the_agent_harms_at_once() -> None:
    assert of_permits({**SPACE, "tasks[0].oxygen": FRESH}) == ["CSP-008"]
    kept = {"hazards[0].exposure.results[0].concentration": "0.001 mg/m3"}
    assert of_permits({**SPACE, **kept, "tasks[0].oxygen": {**FRESH, "lowest": "19.5 %"}}) == []


@pytest.mark.parametrize(("day", "asked"), [("2025-05-31", True), ("2025-06-01", False), ("2026-05-31", False)])
def test_oxygen_of_a_space_is_looked_at_anew_after_a_year(day: str, asked: bool) -> None:
    space = {"tasks[0].confined_space": "yes", "tasks[0].entry": {"permit_required": "yes"}}
    assert ("TSK-030" in found({**space, "tasks[0].oxygen": {**FRESH, "date": day}})) is asked


def test_oxygen_of_an_open_place_gets_no_older() -> None:
    assert found({"tasks[0].oxygen": {**FRESH, "date": "2019-05-31"}}) == []


@pytest.mark.parametrize("day", ["2025-05-31", "2025-06-01", "2026-05-20"])
def test_what_is_asked_of_the_oxygen_and_what_is_due_are_one(day: str, tmp_path: Path) -> None:
    space = {"tasks[0].confined_space": "yes", "tasks[0].entry": {"permit_required": "yes"}}
    change = {**space, "tasks[0].oxygen": {**FRESH, "date": day}}
    outlook = judged_by(CATALOGUE, patched({"set": change}), tmp_path).due(30)
    late = [item.id for item in outlook.overdue if item.id.startswith("oxygen.")]
    assert late == (["oxygen.scrape-sashes"] if "TSK-030" in found(change) else [])
    assert "oxygen.scrape-sashes" in [one.id for one in (*outlook.overdue, *outlook.soon, *outlook.later)]
