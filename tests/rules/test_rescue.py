"""A rescue takes sets that work and people whom their clearance lets go in: held to stock, inspections and papers."""

from __future__ import annotations

from typing import Any

import pytest
from programs.patching import catalogue_of, checked_by, patched
from published_value import published

CODES = ("IDL-010", "IDL-011")
CATALOGUE = catalogue_of((*CODES, "INS-019"))
PLAN = "procedures.emergencies.idlh"
OUT = {"date": "2026-05-11", "by": "Jo Marsh", "result": "out-of-service"}
FIT = {"date": "2026-05-11", "by": "Jo Marsh", "result": "serviceable"}
REMARK = {"date": "2026-05-11", "by": "Jo Marsh", "findings": "1200 psi"}


def found(change: dict[str, Any], program: str = "crypt-with-airline", drop: tuple[str, ...] = ()) -> list[str]:
    entry = {"set": change, "program": program, "drop": list(drop)}
    return [d.code for d in checked_by(CATALOGUE, patched(entry)).report.findings if d.code in CODES]


def units(*records: dict[str, str] | None) -> dict[str, Any]:
    each = [{"id": f"u{n}", "inspections": [record] if record else []} for n, record in enumerate(records)]
    return {"masks[0].units": each}


def crew(*limits: str) -> dict[str, Any]:
    """A crew, each with a set and a clearance with this limit, or none."""
    entry = {"date": "2026-03-02", "recommendation": "cleared"}
    people = []
    for n, limit in enumerate(limits):
        medical = {**entry, "recommendation": "cleared-with-limits", "limits": [limit]} if limit else entry
        people.append({"id": f"p{n}", "masks": [{"mask": "airline"}], "medical": [medical]})
    return {"people": people}


@published(
    "29 CFR 1910.134(g)(3)(iii), (vi)(A), (h)(4): those outside are equipped to rescue; defective masks are removed"
)
@pytest.mark.parametrize(
    "records",
    [(FIT, OUT), (OUT, OUT), (FIT, REMARK), (FIT, None), (FIT,), (REMARK, REMARK, OUT)],
)
def test_a_set_that_nobody_may_wear_rescues_nobody(records: tuple[dict[str, str] | None, ...]) -> None:
    assert found({**units(*records), f"{PLAN}.inside": "1"}) == ["IDL-010"]


@pytest.mark.parametrize("records", [(FIT, FIT), (FIT, FIT, OUT), (FIT, FIT, REMARK)])
def test_two_sound_sets_do_for_one_inside_and_one_outside(records: tuple[dict[str, str] | None, ...]) -> None:
    assert found({**units(*records), f"{PLAN}.inside": "1"}) == []


@pytest.mark.parametrize(("inside", "standby", "stock", "is_enough"), [
    (1, 1, 2, True), (1, 1, 1, False), (2, 1, 3, True), (2, 1, 2, False), (1, 2, 2, False), (3, 2, 5, True),
    (1, 1, 0, False),
])  # fmt: skip
def test_sets_are_counted_for_all_inside_and_outside(inside: int, standby: int, stock: int, is_enough: bool) -> None:
    plan = {f"{PLAN}.inside": str(inside), f"{PLAN}.standby": str(standby), "masks[0].in_stock": str(stock)}
    assert (found(plan, drop=("masks[0].units",)) == []) is is_enough


def test_what_nobody_counts_is_asked() -> None:
    shared = {"masks[0].issue": "shared", f"{PLAN}.inside": "1"}
    assert found(shared, drop=("masks[0].units",)) == ["IDL-010"]
    own = {f"{PLAN}.inside": "1", **crew("", "")}
    assert found(own, drop=("masks[0].units",)) == []  # each has one of their own


def test_how_many_go_in_at_once_is_asked_where_there_are_fewer_sets_than_people_named() -> None:
    named = {**crew("", "", "", ""), **units(FIT, FIT), "tasks[0].people": ["p0", "p1", "p2"]}
    assert found(named) == ["IDL-010"]
    assert found({**named, f"{PLAN}.inside": "0"}) == ["IDL-010"]  # nobody is no number of those who go in
    assert found({**named, f"{PLAN}.inside": "1"}) == []
    assert found({**named, **units(FIT, FIT, FIT, FIT)}) == []


@published("29 CFR 1910.134(e)(6)(i)(A): the limits; a rescue is heavy work: common practice, no source")
@pytest.mark.parametrize("limit", ["no-emergency-use", "no-scba", "light-work-only", "powered-mask-only"])
def test_whose_clearance_bars_a_rescue_stands_by_for_nobody(limit: str) -> None:
    enough = {**units(FIT, FIT, FIT), f"{PLAN}.inside": "1"}
    assert found({**enough, **crew(limit, limit)}) == ["IDL-011"]
    assert found({**enough, **crew(limit, "")}) == []
    assert found({**enough, **crew(limit, limit, ""), f"{PLAN}.standby": "2"}) == ["IDL-011"]


@pytest.mark.parametrize("limit", ["", "no-negative-pressure", "limited-time"])
def test_other_limits_let_people_stand_by(limit: str) -> None:
    assert found({**units(FIT, FIT), f"{PLAN}.inside": "1", **crew(limit, limit)}) == []


def test_who_goes_into_an_emergency_on_own_air_needs_sets_and_clearance_as_well() -> None:
    """Air that nobody judged is taken for immediately dangerous (d)(1)(iii)."""
    going = {
        "procedures.emergencies.foreseeable": [
            {"what": "A leak", "crew": "Two go in", "going_in": "yes", "masks": ["airline"]}
        ]
    }
    calm = {
        "tasks[0].confined_space": "no",
        "tasks[0].oxygen": {"lowest": "20.9 %", "basis": "Doors open", "date": "2026-05-20"},
    }
    assert found({**calm, **units(OUT)}) == []
    assert found({**calm, **going, **units(OUT), **crew("no-emergency-use")}) == ["IDL-010", "IDL-011"]


def with_numbers(*numbers: tuple[str, str]) -> dict[str, Any]:
    each = [
        {"id": f"u{n}", "serial": serial, "inspections": [FIT], "cylinder": {"id": f"c{n}", "serial": cylinder}}
        for n, (serial, cylinder) in enumerate(numbers)
    ]
    return {"masks[0].units": each, f"{PLAN}.inside": "1"}


@published("29 CFR 1910.134(g)(3)(iii), (vi)(A): each of those outside is equipped, so that one set is not two")
def test_one_cylinder_and_one_set_are_counted_once() -> None:
    for twice in ("C-1", "c-1", "C 1", "c1"):
        assert found(with_numbers(("E-1", "C-1"), ("E-2", twice))) == ["IDL-010"], twice
        assert found(with_numbers(("C-1", "K-1"), (twice, "K-2"))) == ["IDL-010"], twice
    assert found(with_numbers(("E-1", "C-1"), ("E-2", "C-2"))) == []
    assert found(with_numbers(("E-1", "E-1"), ("E-2", "E-2"))) == []  # a set and its cylinder may bear one number
    assert found(with_numbers(("E-1", "C-1"), ("E-2", "C-1"), ("E-3", "C-3"))) == []


@published("29 CFR 1910.134(h)(4): what is out of service comes back by a repair")
def test_what_was_out_of_service_comes_back_by_a_repair_alone() -> None:
    good = {**FIT, "date": "2026-05-14", "findings": "In order", "remedy": "none"}
    for last, is_sound in (
        (good, False),
        ({**good, "remedy": "Watch the gauge"}, False),
        ({**good, "remedy": "Regulator to be replaced"}, False),
        ({**good, "remedy": "Regulator replaced by the maker"}, True),
        ({**good, "result": "repaired", "remedy": "Regulator overhauled by the maker"}, True),
    ):
        each = [{"id": "a", "inspections": [OUT, last]}, {"id": "b", "inspections": [FIT]}]
        assert found({"masks[0].units": each, f"{PLAN}.inside": "1"}) == ([] if is_sound else ["IDL-010"]), last


def test_serviceable_beside_a_remedy_still_to_come_is_no_sound_set() -> None:
    for findings, remedy, is_sound in (
        ("In order", "Regulator to be repaired", False),
        ("Alarm bell does not ring", "Watch the gauge", False),
        ("Nothing was looked at", "none", False),
        ("Paint worn at the buckle", "none", True),
        ("In order", "None needed", True),
        ("Strap loosened", "Tightened", True),
    ):
        record = {**FIT, "findings": findings, "remedy": remedy}
        assert found({**units(record, FIT), f"{PLAN}.inside": "1"}) == ([] if is_sound else ["IDL-010"]), findings


WITHOUT = ["By hand, without a line", "Harness; no line", "Tripod and winch, and nobody has a rope"]
WITH = ["Tripod, winch and a line on a harness", "Nobody goes in without a line", "Rope over the tripod, no steps down"]


def test_gear_that_the_text_takes_back_is_none() -> None:
    plan = {f"{PLAN}.retrieval_with": ["harness", "line", "winch"]}
    for text, codes in (*((one, ["IDL-012"]) for one in WITHOUT), *((one, []) for one in WITH)):
        entry = {"program": "crypt-with-airline", "set": {**plan, f"{PLAN}.retrieval": text}}
        findings = checked_by(catalogue_of(("IDL-012",)), patched(entry)).report.findings
        assert [one.code for one in findings] == codes, text
