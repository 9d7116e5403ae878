"""Who may do which task: the order of 29 CFR 1910.134, clearance before fit test before use, training before use.

One complete program and small changes to it go in as YAML; the answers for persons and tasks come out.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import catalogue_of, judged, judged_by, patched
from published_value import published

from progdoc.core.diagnostics import Scope, Severity
from progdoc.rules.judged.assignment_results import Assignment
from progdoc.rules.reading.catalogue import built_in_catalogue

JO, RAVI = "people[0]", "people[1]"
SASHES, BOOKS = "scrape-sashes", "sort-books"


# What bars nothing settles no assignment; `test_matrix_and_gap_report_never_disagree` judges by all the others too.
BARRING = catalogue_of(
    {requirement.code for requirement in built_in_catalogue().requirements if requirement.bars != "nothing"}
)


def answer(folder: Path, person: str, task: str, **changes: Any) -> Assignment:
    values = patched({"set": changes.get("set", {}), "drop": changes.get("drop", [])})
    found = judged_by(BARRING, values, folder)
    return found.roster.assignment(found.index.people[person][1], found.index.tasks[task][1])


def codes(one: Assignment) -> list[str]:
    return [bar.code for bar in one.reasons]


def test_whoever_is_in_order_may_do_the_task_in_their_mask_and_size(tmp_path: Path) -> None:
    one = answer(tmp_path, "jo-marsh", SASHES)
    assert one.may and one.is_named and one.is_mask_required
    (choice,) = one.good
    assert (choice.mask, choice.size) == ("half-mask", "M")
    assert choice.fit_tested_until is not None and choice.fit_tested_until.isoformat() == "2027-02-17"
    assert one.reasons == ()


@published("29 CFR 1910.134(e)(1), (e)(6), (f)(1)-(f)(4), (k)(1), (k)(3), (k)(5): what comes before use")
@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"drop": [f"{JO}.medical"]}, "MED-030"),
        ({"set": {f"{JO}.medical[0].recommendation": "not-cleared"}}, "MED-031"),
        ({"set": {f"{JO}.medical[0].follow_up_pending": "yes"}}, "MED-032"),
        ({"set": {f"{JO}.medical[0].next_review": "2026-05-31"}}, "MED-033"),
        ({"set": {f"{JO}.medical[0].date": "2026-02-18"}}, "MED-036"),
        ({"set": {f"{JO}.medical[0].limits": ["powered-mask-only"]}}, "MED-035"),
        ({"set": {f"{JO}.medical[0].reevaluate": [{"date": "2026-05-30"}]}}, "MED-500"),
        ({"drop": [f"{JO}.fit_tests"]}, "FIT-001"),
        ({"set": {f"{JO}.fit_tests[0].date": "2025-05-31"}}, "FIT-002"),
        ({"set": {f"{JO}.masks[0].size": "S"}}, "FIT-003"),
        ({"set": {f"{JO}.fit_tests[0].result": "fail"}}, "FIT-004"),
        ({"set": {f"{JO}.changes": [{"date": "2026-04-02", "kind": "weight"}]}}, "FIT-005"),
        ({"drop": [f"{JO}.training"]}, "TRN-011"),
        ({"set": {f"{JO}.training[0].date": "2025-05-31"}}, "TRN-012"),
    ],
)
def test_whatever_is_missing_bars(tmp_path: Path, changes: dict[str, Any], code: str) -> None:
    one = answer(tmp_path, "jo-marsh", SASHES, **changes)
    assert not one.may
    assert code in codes(one)


def test_every_reason_is_given_and_not_the_first(tmp_path: Path) -> None:
    one = answer(tmp_path, "jo-marsh", SASHES, drop=[f"{JO}.medical", f"{JO}.fit_tests", f"{JO}.training"])
    assert {"MED-030", "FIT-001", "TRN-011"} <= set(codes(one))


def test_a_test_of_another_size_names_both(tmp_path: Path) -> None:
    one = answer(tmp_path, "jo-marsh", SASHES, set={f"{JO}.masks[0].size": "S"})
    (bar,) = [bar for bar in one.reasons if bar.code == "FIT-003"]
    assert "size S" in bar.what and "grey half mask, M" in bar.what


def test_a_second_mask_in_order_opens_the_task_again(tmp_path: Path) -> None:
    both = [{"mask": "half-mask", "size": "M"}, {"mask": "powered-mask", "size": "L"}]
    one = answer(tmp_path, "ravi-stone", SASHES, set={f"{RAVI}.masks": both})
    assert [choice.mask for choice in one.good] == ["powered-mask"]
    (barred,) = [choice for choice in one.choices if choice.bars]
    assert {"FIT-003", "MED-035"} <= {bar.code for bar in barred.bars}  # not tested, and powered masks only
    assert one.may and one.reasons == ()


@published("29 CFR 1910.134(f)(6): over a factor of 10, a negative-pressure mask needs a quantitative test")
def test_a_qualitative_test_bars_only_where_more_than_ten_is_needed(tmp_path: Path) -> None:
    loud = {"masks[0].facepiece": "full-facepiece", "hazards[0].exposure.results[0].concentration": "700 ug/m3"}
    one = answer(tmp_path, "jo-marsh", SASHES, set=loud)
    assert not one.may and "FIT-507" in codes(one)


def test_a_mask_that_does_not_protect_bars_everybody(tmp_path: Path) -> None:
    one = answer(tmp_path, "jo-marsh", SASHES, set={"hazards[0].exposure.results[0].concentration": "700 ug/m3"})
    assert not one.may and "SEL-003" in codes(one)


def test_a_person_without_a_mask_for_the_task_may_not_do_it(tmp_path: Path) -> None:
    one = answer(tmp_path, "jo-marsh", SASHES, drop=[f"{JO}.masks"])
    assert not one.may and one.reasons


def test_what_is_not_known_bars(tmp_path: Path) -> None:
    one = answer(tmp_path, "jo-marsh", SASHES, drop=["masks[0].facepiece"])
    assert not one.may and "FIT-001" in codes(one)


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"drop": ["hazards[0]"]}, "TSK-002"),
        ({"drop": ["tasks[0].industry"]}, "TSK-004"),
        ({"drop": ["masks[0].mode"]}, "MSK-002"),
        ({"drop": ["masks[0].approval"]}, "MSK-003"),
        ({"set": {"hazards[0].exposure": {"kind": "unknown"}}}, "EXP-001"),
        ({"drop": ["hazards[0].exposure.results[0].rest_of_shift"]}, "EXP-005"),
    ],
)
def test_nobody_may_start_where_nothing_shows_that_the_mask_protects(
    tmp_path: Path, changes: dict[str, Any], code: str
) -> None:
    one = answer(tmp_path, "jo-marsh", SASHES, **changes)
    assert not one.may
    assert code in codes(one)


PACK = {
    "id": "pack", "make": "Hallam", "model": "S-1", "sizes": ["L"], "facepiece": "full-facepiece",
    "mode": "scba-pressure-demand", "service_time": "30 min", "approval": "TC-13F-0000", "within_approval": "yes",
}  # fmt: skip


# What is asked of the air of such a mask, and of whoever goes into deadly air, as a fire brigade has it.
_BRIGADE = patched({"program": "fire-fighting"})["procedures"]
AIR_AND_RESCUE = {
    "procedures.air_supply": _BRIGADE["air_supply"],
    "procedures.emergencies.idlh": {**_BRIGADE["emergencies"]["idlh"], "inside": "1", "standby": "1"},
}


@published("29 CFR 1910.134(d)(1)(iii), (d)(2)(i)(A): air that nobody knows is for pressure-demand SCBA of 30 minutes")
def test_air_that_nobody_knows_leaves_the_pack(tmp_path: Path) -> None:
    test = {**patched({})["people"][1]["fit_tests"][0], "mask": "pack"}
    changes = {
        **AIR_AND_RESCUE,
        "hazards[0].exposure": {"kind": "unknown"},
        "masks[3]": {**PACK, "low_air_alarm": "yes"},
        "tasks[0].masks[2]": {"mask": "pack"},
        f"{RAVI}.masks": [{"mask": "pack", "size": "L"}],
        f"{RAVI}.fit_tests": [test],
        f"{RAVI}.medical[0].recommendation": "cleared",
    }
    assert codes(answer(tmp_path, "ravi-stone", SASHES, set=changes)) == ["MED-035"]  # for a powered mask only
    one = answer(tmp_path, "ravi-stone", SASHES, set=changes, drop=[f"{RAVI}.medical[0].limits"])
    assert [choice.mask for choice in one.good] == ["pack"], one.reasons


@pytest.mark.parametrize(("day", "may"), [("2026-06-01", True), ("2026-05-31", False)])
@published("29 CFR 1910.134(i)(4)(i): cylinders are tested as 49 CFR part 180 says")
def test_a_mask_of_which_no_single_one_is_in_order_is_not_worn(tmp_path: Path, day: str, may: bool) -> None:
    cylinder = {"id": "c-1", "serial": "C-1", "requalified": "2021-05-01", "requalify_by": day}
    looked_at = [{"date": "2026-05-20", "by": "Jo Marsh", "findings": "In order, full", "remedy": "none"}]
    units = [{"id": "u-1", "serial": "S-1", "place": "Office", "cylinder": cylinder, "inspections": looked_at}]
    test = {**patched({})["people"][1]["fit_tests"][0], "mask": "pack"}
    changes = {
        **AIR_AND_RESCUE,
        "masks[3]": {**PACK, "units": units},
        "tasks[0].masks[2]": {"mask": "pack"},
        f"{RAVI}.masks": [{"mask": "pack", "size": "L"}],
        f"{RAVI}.fit_tests": [test],
        f"{RAVI}.medical[0].recommendation": "cleared",
    }
    one = answer(tmp_path, "ravi-stone", SASHES, set=changes, drop=[f"{RAVI}.medical[0].limits"])
    assert one.may is may, one.reasons


@published("29 CFR 1910.134(k)(6): Appendix D for those who wear a mask by choice")
def test_work_in_which_a_mask_is_worn_by_choice_may_be_done_without(tmp_path: Path) -> None:
    one = answer(tmp_path, "jo-marsh", BOOKS, drop=[f"{JO}.appendix_d"])
    assert one.may and not one.good
    assert codes(one)


@published("29 CFR 1910.134(c)(2)(ii): a dust mask by choice; (k)(6)")
@pytest.mark.parametrize(("drop", "is_good"), [((), True), ((f"{JO}.appendix_d",), False)])
def test_a_dust_mask_by_choice_need_not_be_issued(drop: tuple[str, ...], is_good: bool, tmp_path: Path) -> None:
    one = answer(tmp_path, "jo-marsh", BOOKS, drop=[f"{JO}.masks", f"{JO}.fit_tests", *drop])
    assert [choice.mask for choice in one.choices] == ["dust-mask"]
    assert one.may and bool(one.good) is is_good


def test_everybody_is_answered_for_everything(tmp_path: Path) -> None:
    found = judged(patched({}), tmp_path).roster
    pairs = {(one.person.id, one.task.id) for one in found.all_pairs()}
    assert pairs == {(p, t) for p in ("jo-marsh", "ravi-stone") for t in (SASHES, BOOKS)}
    assert {(one.person.id, one.task.id) for one in found.all_pairs() if one.is_named} == pairs - {
        ("ravi-stone", BOOKS)
    }


CHANGES = st.fixed_dictionaries(
    {},
    optional={
        f"{JO}.fit_tests[0].date": st.sampled_from(["2025-05-31", "2025-06-01", "2026-05-01"]),
        f"{JO}.fit_tests[0].result": st.sampled_from(["pass", "fail"]),
        f"{JO}.fit_tests[0].protocol": st.sampled_from(["saccharin", "mirror", "irritant-smoke"]),
        f"{JO}.medical[0].recommendation": st.sampled_from(["cleared", "not-cleared"]),
        f"{JO}.medical[0].limits": st.just(["light-work-only"]),
        f"{JO}.medical[0].follow_up_pending": st.sampled_from(["yes", "no"]),
        f"{JO}.training[0].knowledge_shown": st.sampled_from(["yes", "no"]),
        f"{JO}.training[0].date": st.sampled_from(["2025-05-31", "2026-05-01"]),
        f"{JO}.spectacles": st.sampled_from(["yes", "no"]),
    },
)


@examples(25)
@given(CHANGES)
def test_matrix_and_gap_report_never_disagree(
    tmp_path_factory: pytest.TempPathFactory, changes: dict[str, Any]
) -> None:
    """Whoever has a required record finding may not do the task, with that code; whoever has none may."""
    found = judged(patched({"set": changes}), tmp_path_factory.mktemp("both"))
    gaps = {
        finding.code
        for finding in found.findings
        if finding.severity is Severity.REQUIRED
        and finding.scope is Scope.RECORD
        and "people.jo-marsh" in finding.subject
        and not finding.code.startswith("VOL")
    }
    one = found.roster.assignment(found.index.people["jo-marsh"][1], found.index.tasks[SASHES][1])
    assert set(codes(one)) == gaps
    assert one.may is (not gaps)


@pytest.mark.parametrize(
    ("medical", "may_wear"),
    [
        ({"recommendation": "cleared"}, True),
        ({"recommendation": "not-cleared"}, False),
        ({"recommendation": "cleared-with-limits", "limits": ["powered-mask-only"]}, False),
        ({"recommendation": "cleared-with-limits", "limits": ["no-negative-pressure"]}, False),
        ({"recommendation": "cleared-with-limits", "limits": ["no-scba"]}, True),
        (None, True),  # nobody has to be evaluated for a dust mask worn by choice, (c)(2)(ii)
    ],
)
def test_a_known_refusal_holds_for_a_dust_mask_by_choice_too(
    tmp_path: Path, medical: dict[str, Any] | None, may_wear: bool
) -> None:
    entry = [] if medical is None else [{"date": "2026-05-04", "copy_given": "yes", **medical}]
    changes = {
        "tasks[1].masks": [{"mask": "dust-mask"}],
        "people[0].masks": [{"mask": "dust-mask", "size": "one size"}],
        "people[0].medical": entry,
    }
    found = judged(patched({"set": changes}), tmp_path)
    person, task = found.index.people["jo-marsh"][1], found.index.tasks["sort-books"][1]
    assert bool(found.roster.assignment(person, task).good) is may_wear


def test_nobody_is_said_to_work_at_a_task_that_does_not_name_them(tmp_path: Path) -> None:
    values = {"drop": [f"{JO}.masks", "tasks[0].people"], "set": {}}
    one = answer(tmp_path, "jo-marsh", SASHES, **values)
    assert not one.is_named and not one.may and "PRG-004" not in codes(one)
    assert any("has none of the masks" in bar.what for bar in one.reasons)
    assert not any(" works at " in bar.what for bar in one.reasons)
    named = answer(tmp_path, "jo-marsh", SASHES, drop=[f"{JO}.masks"])
    assert named.is_named and "PRG-004" in codes(named)
