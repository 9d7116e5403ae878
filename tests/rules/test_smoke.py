"""Smoke of wildfires: what each reading asks in each state, and that it asks nothing where no state sets a step."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from programs.patching import AS_OF, loaded
from published_value import published

from progdoc.app.check import check
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import catalogue_with, states_that_ship

FOUND, _ = catalogue_with((), states_that_ship())
LAW = replace(FOUND, requirements=tuple(rule for rule in FOUND.requirements if rule.code.startswith("SMK-")))
MASK = {"id": "n95", "facepiece": "filtering-facepiece", "mode": "air-purifying", "built_in_filter": "N95"}
WORN = {"use": "required", "masks": [{"mask": "n95"}]}
OFFERED = {"use": "voluntary", "masks": [{"mask": "n95"}]}
READING = {"kind": "smoke", "source": "Air agency, monitor at Northbridge", "date": "2026-05-28", "time": "06:45"}


def smoky(state: str, task: dict[str, Any], smoke: dict[str, Any] | None = None, **reading: Any) -> Judged:
    """Return a firm that clears brush in smoke, in a state."""
    values = {
        "format": "1",
        "program": {"jurisdiction": {"authority": "state-plan", "state": state}},
        "organisation": {"sites": [{"id": "yard", "name": "Yard", "state": state}]},
        "masks": [MASK],
        "tasks": [{"id": "brush", "name": "Clearing brush", "sites": ["yard"], "done_by": "our-people"} | task],
        "hazards": [
            {"id": "smoke", "task": "brush", "agent": "wildfire smoke", "form": "dust", "exposure": READING | reading}
        ],
        "procedures": {"smoke": smoke or {}},
    }
    judged = check(loaded(values), AS_OF, LAW).judged
    assert judged is not None
    return judged


def status(judged: Judged, code: str) -> str:
    return next((v.status.value for v in judged.verdicts if v.requirement.code == code), "no such rule")


@published("WAC 296-820-840 by its twin 296-307-09840, in force 2024-01-15: 20.5, 35.5, 250.5 and 500.4 µg/m³ of PM2.5")
def test_each_step_of_washington_asks_for_its_masks() -> None:
    out = {"handed_out": "yes"}
    cases = [
        # PM2.5, the task, whether handed out; SMK-003, SMK-004, the factor that a mask has to have
        ("20.4", {"use": "none"}, {}, "not-applicable", "not-applicable", 0.0),
        ("20.5", {"use": "none"}, {}, "not-applicable", "gap", 0.0),
        ("20.5", OFFERED, {}, "not-applicable", "met", 0.0),
        ("35.4", {"use": "none"}, {}, "not-applicable", "gap", 0.0),
        ("35.5", {"use": "none"}, {}, "gap", "not-applicable", 0.0),
        ("35.5", OFFERED, {}, "met", "not-applicable", 0.0),
        ("250.4", OFFERED, {}, "met", "not-applicable", 0.0),
        ("250.5", OFFERED, {}, "gap", "not-applicable", 0.0),
        ("250.5", OFFERED, out, "met", "not-applicable", 0.0),
        ("500.3", OFFERED, out, "met", "not-applicable", 0.0),
        ("500.4", OFFERED, out, "gap", "not-applicable", 10.0),
        ("500.4", WORN, out, "met", "not-applicable", 10.0),
    ]
    for level, task, handed_out, steps, on_request, factor in cases:
        judged = smoky("Washington", task, handed_out, pm25=f"{level} ug/m3")
        found = (status(judged, "SMK-003"), status(judged, "SMK-004"), judged.selection.air["brush"].agents[0].floor)
        assert found == (steps, on_request, factor), level
        assert judged.selection.air["brush"].needs_mask is (factor > 0), level


@published("WAC 296-820-840: not for who is out in it for 15 minutes or less in 24 hours")
def test_a_short_walk_through_thick_smoke_asks_for_no_mask_in_washington() -> None:
    def needs(minutes: str) -> bool:
        judged = smoky("Washington", OFFERED, {"handed_out": "yes"}, pm25="510 ug/m3", minutes_exposed=minutes)
        return judged.selection.air["brush"].needs_mask

    assert (needs("15"), needs("16")) == (False, True)


def test_washington_goes_by_the_grains_and_an_index_alone_counts_as_its_highest_step() -> None:
    judged = smoky("Washington", OFFERED, index="160")
    [finding] = [d for d in judged.findings if d.code == "SMK-003"]
    assert "its PM2.5 is not told" in finding.what and judged.selection.air["brush"].needs_mask


@published("WAC 296-820-840 by its twin 296-307-09840(4): its last step ends at 554.9 µg/m³; what follows was not read")
def test_beyond_the_last_step_of_washington_nobody_works_until_it_is_looked_up() -> None:
    def found(level: str, **more: str) -> str:
        return status(smoky("Washington", WORN, {"handed_out": "yes"}, pm25=level, **more), "SMK-007")

    assert [found(level) for level in ("554.9 ug/m3", "555 ug/m3", "0.6 mg/m3")] == ["not-applicable", "gap", "gap"]
    for unread in ("Not read yet", "We did not look it up", "Not yet checked by Jo Marsh", "unknown"):
        assert found("555 ug/m3", rule_checked=unread) == "gap", unread
    assert found("555 ug/m3", rule_checked="Jo Marsh read (5): powered masks, which all wear") == "met"
    assert LAW.law_on(AS_OF)["smoke-beyond"].value is None, "no step of federal law"
    assert next(rule for rule in LAW.requirements if rule.code == "SMK-007").bars == "task"


@published("8 CCR 5141.1(a)(1)(A): from an index of 151 on; (c), (d), (e): looked up, told, trained; (f) was not read")
def test_california_watches_smoke_and_has_the_paragraph_on_masks_looked_up() -> None:
    watched = {"looked_up": "yes", "told": "yes", "trained": "yes"}
    assert status(smoky("California", OFFERED, watched, index="163"), "SMK-005") == "met"
    for missing in watched:
        told = {name: "yes" for name in watched if name != missing}
        assert status(smoky("California", OFFERED, told, index="163"), "SMK-005") == "gap", missing
    assert status(smoky("California", OFFERED, index="150"), "SMK-006") == "not-applicable"
    assert status(smoky("California", OFFERED, index="151"), "SMK-006") == "gap"
    assert status(smoky("California", OFFERED, pm25="40 ug/m3"), "SMK-006") == "gap", "it goes by the index"
    looked_up = smoky("California", OFFERED, index="151", rule_checked="Read by Jo Marsh: N95 offered to everybody")
    assert status(looked_up, "SMK-006") == "met"


def test_elsewhere_smoke_is_advice_and_its_reading_has_day_and_hour() -> None:
    plain = smoky("Ohio", {"use": "none"}, index="220")
    assert [d.severity.value for d in plain.findings if d.code.startswith("SMK-")] == ["advice"]
    assert status(plain, "SMK-003") == status(plain, "SMK-005") == "not-applicable"
    assert not plain.selection.air["brush"].needs_mask
    assert status(smoky("Ohio", OFFERED, index="220"), "SMK-002") == "met"
    for silent in ({"time": None}, {"date": None}, {"index": None}):
        told = {key: value for key, value in (READING | {"index": "220"} | silent).items() if value is not None}
        values = {key: value for key, value in told.items() if key not in READING}
        gone = {key: None for key in READING if key not in told}
        judged = smoky("Ohio", OFFERED, **values, **gone)
        assert status(judged, "SMK-001") == "gap", silent
    assert status(smoky("Ohio", OFFERED, pm25="40 ug/m3"), "SMK-001") == "met"
