"""A state's own exposure limits: that they are the printed ones, where they bind, and that they only tighten."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from examples import TIMES
from programs.patching import AS_OF, written
from published_value import published

from progdoc.app.check import Checked, check
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.workplace import Industry
from progdoc.model.load import load
from progdoc.rules.judged.published import Limit
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.limits import is_alike
from progdoc.rules.lookup.substances import find_substance, limits_for
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import catalogue_with

CALIFORNIA, _ = catalogue_with((), frozenset({"California"}))


def program(agent: str = "toluene", state: str = "California", **more: Any) -> dict[str, Any]:
    """Return a firm with a task in each of two yards; the second lies in Ohio."""
    place = {"authority": "state-plan", "state": state} | more
    return {
        "format": "1",
        "program": {"jurisdiction": place},
        "organisation": {"sites": [{"id": "here", "name": "Yard"}, {"id": "there", "name": "Barn", "state": "Ohio"}]},
        "tasks": [{"id": name, "name": f"Painting {name}", "sites": [name]} for name in ("here", "there")],
        "hazards": [{"id": f"air-{name}", "task": name, "agent": agent} for name in ("here", "there")],
    }


def checked(values: dict[str, Any], folders: tuple[Path, ...] = ()) -> Checked:
    loaded = load({"program.yaml": written(values).encode()})
    return check(loaded, AS_OF, catalogue_with(folders)[0] if folders else None)


def limits(found: Checked, task: str) -> set[str]:
    assert found.judged is not None, [d.what for d in found.report.findings]
    return {
        limit.in_words.replace("29 CFR 1910.1000, ", "") for limit in found.judged.selection.air[task].agents[0].limits
    }


# ---- the printed figures --------------------------------------------------------------------------------

PRINTED = [
    ("Toluene", "vapour", "10 ppm TWA, 150 ppm STEL, 500 ppm ceiling"),
    ("NMP", "vapour", "1 ppm TWA"),
    ("lead", "dust", "0.01 mg/m³ TWA"),
    ("carbon monoxide", "gas", "25 ppm TWA, 200 ppm ceiling"),
    ("acetone", "vapour", "500 ppm TWA, 750 ppm STEL, 3,000 ppm ceiling"),
    ("styrene", "vapour", "50 ppm TWA, 100 ppm STEL, 500 ppm ceiling"),
    ("MDI", "vapour", "0.005 ppm TWA"),
    ("crystalline silica", "dust", "0.05 mg/m³ TWA, respirable"),
    ("wood dust", "dust", "2 mg/m³ TWA, total, 5 mg/m³ STEL, total"),
    ("welding fumes", "fume", "5 mg/m³ TWA, total"),
    ("1-bromopropane", "vapour", "5 ppm TWA"),
    ("VM&P naphtha", "vapour", "300 ppm TWA, 400 ppm STEL"),
    ("butadiene", "gas", "1 ppm TWA, 5 ppm STEL"),
    ("titanium dioxide", "dust", "10 mg/m³ TWA, total, 5 mg/m³ TWA, respirable"),
    ("gypsum", "dust", "10 mg/m³ TWA, total, 5 mg/m³ TWA, respirable"),
    ("zinc oxide", "fume", "5 mg/m³ TWA, 10 mg/m³ STEL"),
]


@published("8 CCR 5155, Table AC-1, in force 2025-01-01; official copy of the section captured 2026-09-04")
@pytest.mark.parametrize(("agent", "form", "figures"), PRINTED, ids=[agent for agent, _, _ in PRINTED])
def test_the_limits_in_california_are_those_of_its_table(agent: str, form: str, figures: str) -> None:
    values = program(agent)
    for hazard in values["hazards"]:
        hazard["form"] = form
    found = check(load({"program.yaml": written(values).encode()}), AS_OF, replace(CALIFORNIA, requirements=()))
    own = [words for words in limits(found, "here") if "8 CCR 5155" in words]
    assert {words.partition(" (")[0] for words in own} == set(figures_of(figures))


def figures_of(text: str) -> list[str]:
    """Read "2 mg/m³ TWA, total, 5 mg/m³ STEL, total" as two figures."""
    parts: list[str] = []
    for part in text.split(", "):
        if part[0].isdigit():
            parts.append(part)
        else:
            parts[-1] += f", {part}"
    return parts


def test_every_row_names_its_table_and_binds_from_the_day_of_the_edition() -> None:
    assert len(CALIFORNIA.limits) > 350
    cited = {(one.limit.citation, one.limit.kind.value) for one in CALIFORNIA.limits}
    table = {("8 CCR 5155, Table AC-1", kind) for kind in ("TWA", "STEL", "ceiling")}
    assert cited == table | {("8 CCR 1532.1(b)", "action-level"), ("8 CCR 5198(b)", "action-level")}
    assert {one.state for one in CALIFORNIA.limits} == {"California"}
    assert max(one.in_force_from for one in CALIFORNIA.limits) <= AS_OF


@published(
    "8 CCR 1532.1(b), 5198: the action level of lead is 2 µg/m³; 29 CFR 1926.62(d)(6)(ii): every six months from it"
)
def test_samples_of_lead_are_repeated_from_the_action_level_of_california() -> None:
    def asked(level: str, state: str, industry: str) -> set[str]:
        values = program("lead", state)
        values["tasks"][0]["industry"] = industry
        sample = {"concentration": level, "duration": "480 min", "date": "2025-09-01"}
        values["hazards"] = [
            values["hazards"][0] | {"form": "dust", "exposure": {"kind": "samples", "results": [sample]}}
        ]
        found = checked(values).judged
        assert found is not None
        return {reason.code for reason in found.selection.air["here"].agents[0].reasons} & {"EXP-031", "EXP-054"}

    assert asked("2 ug/m3", "California", "construction") == {"EXP-031"}
    assert asked("2 ug/m3", "California", "general") == {"EXP-054"}, "its interval was not read: it is to be looked up"
    assert asked("1.9 ug/m3", "California", "construction") == asked("29 ug/m3", "Ohio", "construction") == set()


# ---- where they bind ------------------------------------------------------------------------------------


def test_each_task_has_the_limits_of_the_state_in_which_it_is_done() -> None:
    found = checked(program())
    assert "10 ppm TWA (8 CCR 5155, Table AC-1)" in limits(found, "here")
    assert limits(found, "there") == {
        "200 ppm TWA (Table Z-2)",
        "300 ppm ceiling (Table Z-2)",
        "500 ppm peak (Table Z-2)",
    } | {words for words in limits(found, "there") if "1926" in words or "1915" in words}
    assert found.report.rules_pack == "us-federal+california"


def test_a_task_without_a_site_is_done_at_all_of_them() -> None:
    values = program(state="Ohio", authority="federal")
    values["organisation"]["sites"][0]["state"] = "CA"
    del values["tasks"][0]["sites"]
    assert "10 ppm TWA (8 CCR 5155, Table AC-1)" in limits(checked(values), "here")


@pytest.mark.parametrize(
    ("place", "binds"),
    [
        ({"authority": "federal"}, True),  # a finding asks why; until then the stricter table binds
        ({"authority": "federal", "because": "All our work is inside the naval base, a federal enclave"}, False),
        ({"authority": "federal", "because": "TBD"}, True),
        ({"state": "ca"}, True),
        ({"state": "Nevada"}, False),
    ],
)
def test_who_enforces_decides(place: dict[str, str], binds: bool) -> None:
    found = limits(checked(program(**place)), "here")
    assert any("8 CCR" in words for words in found) is binds


def test_a_site_in_a_state_with_a_plan_is_asked_about_under_federal_authority() -> None:
    def told(**place: str) -> list[str]:
        values = program(**place)
        values["organisation"]["sites"][1]["state"] = "Oregon"
        return [d.what for d in checked(values).report.findings if d.code == "PRG-074"]

    assert ["Oregon has an approved plan" in what for what in told(state="Ohio", authority="federal")] == [True]
    assert told(state="Ohio", authority="federal", because="Our yard there lies on tribal land") == []
    assert ["Oregon, where another plan enforces" in what for what in told(state="Nevada")] == [True]
    assert told(state="Nevada and Oregon") == []
    assert told(state="Nevada", because="Our yards there lie on tribal land") == []


# ---- that they only tighten -----------------------------------------------------------------------------


@pytest.mark.parametrize("industry", [industry.value for industry in Industry])
def test_no_agent_has_a_looser_limit_in_california_than_the_federal_one(industry: str) -> None:
    """Every agent of the federal tables: for each of its limits one as strict or stricter binds there."""
    agents = sorted({row["agent"] for row in table_rows("limits")})
    if TIMES == 1:  # at night all of them
        agents = agents[list(Industry).index(Industry(industry)) :: 6]
    values = program()
    values["tasks"] = [{"id": "here", "name": "Work", "industry": industry}]
    values["organisation"] = {}
    values["hazards"] = [{"id": f"h{i}", "task": "here", "agent": agent} for i, agent in enumerate(agents)]
    found = checked(values).judged
    assert found is not None
    tightened = 0
    for agent, air in zip(agents, found.selection.air["here"].agents, strict=True):
        substance = find_substance(agent)
        assert substance is not None
        for federal in limits_for(substance, industry):
            kept = [one for one in air.limits if one == federal or is_as_strict(one, federal, agent)]
            assert kept, (agent, federal.in_words)
            tightened += federal not in air.limits
    assert tightened > (20 if TIMES > 1 else 10)


def is_as_strict(one: Limit, federal: Limit, agent: str) -> bool:
    if one.value is None or federal.value is None or not is_alike(federal, one):
        return False
    value = in_limit_unit(Quantity(one.value, one.unit, ""), federal.unit, find_substance(agent))
    return value is not None and value <= federal.value


def test_a_users_pack_may_hold_limits_and_a_looser_one_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "pack.yaml").write_text('pack: client\nversion: "1"\n', encoding="utf-8")
    (tmp_path / "limits.yaml").write_text(
        "source: us-29cfr1910.134\nin_force: 2026-01-01\nlimits:\n"
        '  - {agent: toluene, kind: TWA, value: 20 ppm, citation: "(a)(1)"}\n'
        '  - {agent: toluene, kind: ceiling, value: 900 ppm, citation: "(a)(1)", until: 2030-12-31}\n'
        '  - {agent: toluene, kind: STEL, value: 30 ppm, citation: "(a)(1)", in_force: 2027-01-01}\n',
        encoding="utf-8",
    )
    found = limits(checked(program(state="Ohio"), (tmp_path,)), "here")
    assert "20 ppm TWA (client, on 29 CFR 1910.134(a)(1))" in found  # in the pack's words, not the law's
    assert "200 ppm TWA (Table Z-2)" not in found
    assert "300 ppm ceiling (Table Z-2)" in found  # the pack's 900 ppm stands beside it and takes nothing away
    assert not [words for words in found if "STEL" in words and "30 ppm" in words]


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ("kind: TWA, value: 20 furlongs", "furlongs"),
        ("kind: TWA, value: 0 ppm", "a limit lies above zero"),
        ("kind: hourly, value: 20 ppm", "`kind: hourly` is not known"),
        ("kind: TWA, value: 20 ppm, industry: mining", "`industry: mining` is not known"),
        ("kind: TWA, value: 20 ppm, form: sludge", "`form: sludge` is not known"),
        ("kind: TWA", "toluene lacks `value`"),
        ("kind: TWA, value: 20 ppm, skinn: yes", "Did you mean `skin`?"),
    ],
)
def test_a_limit_that_cannot_be_read_is_refused(keys: str, words: str, tmp_path: Path) -> None:
    (tmp_path / "pack.yaml").write_text('pack: client\nversion: "1"\n', encoding="utf-8")
    (tmp_path / "limits.yaml").write_text(
        f'source: us-29cfr1910.134\nin_force: 2026-01-01\nlimits:\n  - {{agent: toluene, citation: "(a)", {keys}}}\n',
        encoding="utf-8",
    )
    _, faults = catalogue_with([tmp_path])
    assert [words in fault.what for fault in faults] == [True], [fault.what for fault in faults]


@pytest.mark.parametrize(("state", "known"), [("California", True), ("CA", True), ("Atlantis", False)])
def test_a_pack_names_a_state_of_the_list(state: str, known: bool, tmp_path: Path) -> None:
    (tmp_path / "pack.yaml").write_text(f'pack: client\nversion: "1"\nstate: {state}\n', encoding="utf-8")
    assert (catalogue_with([tmp_path])[1] == ()) is known


def test_no_limit_is_twice_in_the_pack() -> None:
    for one, other in product(CALIFORNIA.limits, repeat=2):
        if one is not other and one.limit.kind is other.limit.kind and one.names & other.names:
            places = [(limit.industry, limit.fraction, limit.form) for limit in (one.limit, other.limit)]
            assert places[0] != places[1], (one.limit, other.limit)
