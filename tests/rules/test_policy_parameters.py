"""Every parameter of a policy: looser than the law, silent, kept, broken by the program, by a record, out of scope.

A new parameter without its cases fails here by name. The law's values are read in the standard; who asks is invented.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from examples import TIMES
from programs.patching import AS_OF, catalogue_of, judged_by, patched
from published_value import published

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.model.description.policies import Policy
from progdoc.rules.judged.result import Judged
from progdoc.rules.policy.policy_checks import parameters
from progdoc.rules.reading.catalogue import built_in_catalogue

BY = "Northbridge Diocese, Rules 2026 (policy `host`)"
LAW = built_in_catalogue().law_on(AS_OF)
ABOUT = ("id", "by", "source", "date", "sites", "tasks", "groups", "agents", "masks")
# Rules of a policy that are no figure: lists of limits and credits, and classes in a partial order.
BESIDE = ("order", "exposure_limits", "immediately_dangerous_from", "protection_credits", "least_filter")
INSTRUMENT = {
    "date": "2026-02-17", "mask": "half-mask", "size": "M", "protocol": "ambient-cnc", "tester": "Ada Brook",
    "fit_factor": "1500", "recording": "a.pdf", "result": "pass",
}  # fmt: skip
SASH = "hazards[0].exposure.results[0]"

Change = Mapping[str, Any]


@dataclass(frozen=True)
class Case:
    """How one parameter is broken and kept in a program of the suite; a change drops the paths it sets to None."""

    asks: Any
    looser: Any = None  # where the law sets a value
    kept: Change = field(default_factory=dict)
    program: Change | None = None  # breaks it in the program; None: no procedure speaks of it
    record: tuple[str, Change] | None = None  # the code of the finding, and what breaks it in a record; None: no record
    silent: tuple[str, Change] | None = None  # the code of the finding, and what takes the words away
    due: tuple[str, date] | None = None  # the item of the due list and its day under the policy
    code: str = "POL-002"  # of a breach by the program
    base: str | None = None
    more: Change = field(default_factory=dict)  # of the policy
    masks: tuple[str, ...] = ("half-mask",)  # a policy for these binds all of what the figure is about
    beside: str = "spare"  # a policy for this mask binds nobody here
    silent_there: Change | None = None  # what takes the words away from a policy for some masks, where that differs


CASES: dict[str, Case] = {
    "fit_test_interval": Case(
        "6 months", "2 years",
        kept={"procedures.fit_testing.interval": "6 months"},
        program={},
        masks=("half-mask", "powered-mask"),
        record=("FIT-002", {"people[0].fit_tests[0].date": "2025-11-20", "people[0].medical[0].date": "2025-11-01"}),
        silent=("POL-002", {"procedures.fit_testing.interval": None}),
        beside="dust-mask",
        due=("fit-test.jo-marsh.half-mask", date(2026, 8, 17)),
    ),
    "half_mask_pass": Case(
        "200", "50",
        kept={"procedures.fit_testing.half_mask_pass": "200"},
        program={},
        record=("FIT-009", {"people[0].fit_tests[0]": {**INSTRUMENT, "fit_factor": "150"}}),
        silent=("POL-002", {"procedures.fit_testing.half_mask_pass": None}),
        beside="powered-mask",
    ),
    "full_facepiece_pass": Case(
        "1000", "499",
        kept={"procedures.fit_testing.full_facepiece_pass": "1000"},
        program={},
        record=("FIT-009", {"people[1].fit_tests[0].fit_factor": "900"}),
        silent=("POL-002", {"procedures.fit_testing.full_facepiece_pass": None}),
        masks=("powered-mask",),
        beside="half-mask",
    ),
    "quantitative_only": Case(
        "yes",
        kept={"procedures.fit_testing.protocols": ["ambient-cnc"], "people[0].fit_tests[0]": INSTRUMENT},
        program={},
        record=("POL-008", {}),
        silent=("POL-002", {"procedures.fit_testing.protocols": None}),
        masks=("half-mask", "powered-mask"),
        beside="dust-mask",
    ),
    "clean_shaven": Case(
        "yes",
        kept={
            "procedures.use.hair": "clean-shaven", "people[0].clean_shaven": "yes", "people[1].clean_shaven": "yes",
        },
        program={"procedures.use.hair": "clear-of-seal-and-valve"},
        record=("POL-009", {"people[0].hair_rule_accepted": "2025-02-17"}),
        masks=("half-mask", "powered-mask"),
        beside="dust-mask",
        silent=("POL-002", {"procedures.use.hair": None}),
        more={"date": "2026-01-15"},
    ),
    "training_interval": Case(
        "6 months", "400 days",
        kept={"procedures.training.interval": "6 months"},
        program={},
        record=("TRN-012", {"people[0].training[0].date": "2025-11-20"}),
        silent=("POL-002", {"procedures.training.interval": None}),
        masks=("half-mask", "powered-mask"),
        beside="dust-mask",
        due=("training.jo-marsh", date(2026, 8, 17)),
    ),
    "evaluation_interval": Case(
        "6 months",
        kept={"procedures.evaluation.interval": "6 months"},
        program={"procedures.evaluation.interval": "12 months"},
        record=("POL-010", {"procedures.evaluation.last": "2025-11-20"}),
        silent=("POL-002", {}),
        due=("evaluation", date(2026, 8, 20)),
    ),
    "emergency_inspection_interval": Case(
        "3 weeks", "5 weeks",
        base="fire-fighting",
        kept={"procedures.inspection.emergency_interval": "21 days"},
        masks=("scba",),
        program={},
        record=("INS-015", {"masks[0].units[0].inspections[0].date": "2026-05-10"}),
        silent=("POL-002", {"procedures.inspection.emergency_interval": None}),
        due=("inspection.scba.scba-1", date(2026, 6, 1)),
    ),
    "flow_test_interval": Case(
        "6 months",
        base="fire-fighting",
        kept={"procedures.inspection.flow_test_interval": "6 months"},
        masks=("scba",),
        program={},
        record=("DEV-007", {"masks[0].units[0].flow_tests[0].date": "2025-11-20"}),
        silent=("POL-002", {"procedures.inspection.flow_test_interval": None}),
        due=("flow-test.scba.scba-1", date(2026, 8, 10)),
    ),
    "order": Case(
        [{"first": "training", "then": "fit-test"}],
        code="POL-014",
        record=("POL-014", {"people[0].training": None}),
    ),
    "evidence_interval": Case(
        "3 months",
        kept={f"{SASH}.date": "2026-05-10", "hazards[1].exposure.date": "2026-05-10"},
        record=("POL-005", {}),
        silent=("POL-005", {f"{SASH}.date": None, "hazards[1].exposure.date": None}),
        due=("exposure.book-dust", date(2026, 5, 10)),
    ),
    "voluntary_use": Case(
        "no",
        kept={"procedures.voluntary_use.allowed": "no", "tasks[1].use": "required"},
        program={},
        code="POL-012",
        silent=("POL-002", {"procedures.voluntary_use.allowed": None, "tasks[1].use": "required"}),
        silent_there={"tasks[1].use": None},
        masks=("dust-mask",),
        beside="powered-mask",
    ),
    "standby": Case(
        "2", "0",
        base="crypt-with-airline",
        masks=("airline",),
        kept={"procedures.emergencies.idlh.standby": "2"},
        program={},
        silent=("POL-002", {"procedures.emergencies.idlh.standby": None}),
    ),
    "carbon_monoxide": Case(
        "1 ppm", "20 ppm",
        base="crypt-with-airline",
        masks=("airline",),
        kept={"procedures.air_supply.carbon_monoxide": "1 ppm"},
        program={},
        silent=("POL-002", {"procedures.air_supply.carbon_monoxide": None}),
    ),
    "oil_in_air": Case(
        "0.1 mg/m3", "6 mg/m3",
        base="crypt-with-airline",
        masks=("airline",),
        kept={"procedures.air_supply.oil": "100 ug/m3"},
        program={},
        silent=("POL-002", {"procedures.air_supply.oil": None}),
    ),
    "recharge_at": Case(
        "95 %", "80 %",
        base="crypt-with-airline",
        masks=("airline",),
        kept={"procedures.inspection.recharge_at": "95 %"},
        program={},
        silent=("POL-002", {"procedures.inspection.recharge_at": None}),
    ),
    "cartridge_change": Case(
        "2 h",
        base="varnishing",
        kept={"procedures.filter_changes.schedules[0].after": "2 h"},
        program={},
        silent=("POL-002", {"procedures.filter_changes.schedules[0].after": None}),
    ),
    "least_oxygen": Case(
        "20 %", "19 %",
        code="SEL-002",
        kept={},
        program={"tasks[0].oxygen.lowest": "19.8 %", "tasks[0].oxygen.shown_by": "measured-at-worst"},
    ),
    "scba_service_time": Case(
        "60 min", "15 min",
        base="fire-fighting",
        code="POL-011",
        kept={"masks[0].service_time": "60 min"},
        masks=("scba",),
        program={},
    ),
    "mask_from": Case(
        "50 %",
        code="TSK-005",
        kept={f"{SASH}.concentration": "30 ug/m3"},
        program={f"{SASH}.concentration": "30 ug/m3", "tasks[0].use": "voluntary"},
    ),
    "dust_masks": Case(
        "no",
        code="POL-004",
        kept={"tasks[1].masks": None},
        program={},
        masks=("dust-mask",),
        beside="half-mask",
    ),
    "air_purifying": Case("no", code="POL-006", kept={"tasks[0].masks": None, "tasks[1].masks": None}, program={}),
    "least_filter": Case(
        "P100",
        code="POL-003",
        kept={"tasks[1].masks": None},
        program={},
        masks=("dust-mask",),
        beside="half-mask",
    ),
    "exposure_limits": Case(
        [{"value": "10 ug/m3"}], [{"value": "0.1 mg/m3"}],
        code="SEL-003",
        kept={f"{SASH}.concentration": "60 ug/m3"},
        program={},
        more={"agents": ["lead"]},
    ),
    "immediately_dangerous_from": Case(
        "100 ug/m3", "200 mg/m3",
        code="SEL-001",
        kept={f"{SASH}.concentration": "30 ug/m3"},
        program={},
        more={"agents": ["lead"]},
    ),
    "protection_credits": Case(
        [{"facepiece": "half-mask", "mode": "air-purifying", "most": "2"}],
        [{"facepiece": "half-mask", "mode": "air-purifying", "most": "20"}],
        code="SEL-003",
        kept={f"{SASH}.concentration": "60 ug/m3"},
        program={},
        beside="powered-mask",
    ),
}  # fmt: skip
# Figures that the program says for everybody: a policy for some masks is kept without a word about the others.
FOR_SOME = ("fit_test_interval", "quantitative_only", "clean_shaven", "training_interval")
OF_A_CASE = {
    code for case in CASES.values() for code in (case.code, *(one[0] for one in (case.record, case.silent) if one))
}
OF_POLICIES = OF_A_CASE.union(r.code for r in built_in_catalogue().requirements if r.code.startswith("POL-"))
# On each change by the codes that rest on what a policy asks, at night by all there are.
CATALOGUE = built_in_catalogue() if TIMES > 1 else catalogue_of(OF_POLICIES)
SPARE = {"id": "spare", "name": "spare mask", "facepiece": "half-mask", "mode": "air-purifying"}  # in no task


def judged_with(folder: Path, name: str, asks: Any, change: Change, **more: Any) -> Judged:
    case = CASES[name]
    entry: dict[str, Any] = {"program": case.base} if case.base else {}
    values = patched({
        **entry,
        "set": {path: value for path, value in change.items() if value is not None},
        "drop": [path for path, value in change.items() if value is None],
    })  # fmt: skip
    host = {"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", name: asks, **case.more, **more}
    return judged_by(CATALOGUE, {**values, "masks": [*values["masks"], SPARE], "policies": [host]}, folder)


def as_on_a_page(typed: Any) -> str:
    return f"{int(typed):,}" if str(typed).isdigit() else str(typed).replace("m3", "m³")


def by_policy(found: Judged) -> list[Diagnostic]:
    """Return the breaches; that a policy matches nothing (REF-009) is a caution about its own words."""
    return [d for d in found.findings if d.citation == BY and d.code != "REF-009"]


def test_every_parameter_has_its_cases() -> None:
    fields = set(Policy.model_fields) - set(ABOUT)
    assert set(CASES) == fields
    assert {rule.policy for rule in parameters(LAW)} == fields - set(BESIDE)
    assert set(BESIDE) < fields


@pytest.mark.parametrize("rule", parameters(LAW), ids=lambda rule: rule.policy)
def test_the_cases_of_a_parameter_are_whole(rule: Any) -> None:
    """What a case may leave out follows from the parameter: a value of the law, a place in the program, an interval."""
    case = CASES[rule.policy]
    assert (case.looser is not None) is (rule.value is not None)
    assert case.program is not None or case.record is not None
    assert bool(rule.program) <= bool(case.silent)
    assert (case.due is not None) is (rule.kind == "interval")
    assert (case.record is not None) or rule.kind != "interval"


# ---- one by one ---------------------------------------------------------------------------------------


@published(
    "29 CFR 1910.134: (b), (d)(2)(i)(A), (f)(2), (f)(7), (g)(3)(i), (h)(3)(i)(B), (h)(3)(iii), (i)(1)(ii), (k)(5)"
)
@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.looser is not None])
def test_looser_than_the_law_names_both_values_and_binds_nobody(name: str, tmp_path: Path) -> None:
    found = judged_with(tmp_path, name, CASES[name].looser, {})
    [finding] = [d for d in found.findings if d.code == "POL-001"]
    assert finding.severity is Severity.REQUIRED
    assert "29 CFR" in finding.what or "NIOSH" in finding.what
    rule = next((rule for rule in parameters(LAW) if rule.policy == name), None)
    if rule is not None:
        assert as_on_a_page(CASES[name].looser) in finding.what and rule.printed in finding.what
    assert by_policy(found) == []


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.silent is not None])
def test_silence_under_a_policy_is_a_gap(name: str, tmp_path: Path) -> None:
    case = CASES[name]
    assert case.silent is not None
    code, change = case.silent
    found = [d for d in by_policy(judged_with(tmp_path, name, case.asks, change)) if d.code == code]
    assert found and all(d.severity is Severity.REQUIRED for d in found)
    assert all("says nothing" in d.what or "no stated day" in d.what for d in found)


@pytest.mark.parametrize("name", CASES)
def test_kept_is_no_finding(name: str, tmp_path: Path) -> None:
    assert by_policy(judged_with(tmp_path, name, CASES[name].asks, CASES[name].kept)) == []


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.program is not None])
def test_a_breach_by_the_program_cites_the_policy_and_who_set_it(name: str, tmp_path: Path) -> None:
    case = CASES[name]
    assert case.program is not None
    found = [d for d in by_policy(judged_with(tmp_path, name, case.asks, case.program)) if d.code == case.code]
    assert found and all(d.severity is Severity.REQUIRED for d in found)
    if case.code == "POL-002":
        assert all(as_on_a_page(case.asks) in d.what and "Northbridge Diocese, Rules 2026" in d.what for d in found)


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.record is not None])
def test_a_breach_by_a_record_cites_the_policy_and_who_set_it(name: str, tmp_path: Path) -> None:
    case = CASES[name]
    assert case.record is not None
    code, change = case.record
    found = by_policy(judged_with(tmp_path, name, case.asks, change))
    assert code in {d.code for d in found}
    before = judged_with(tmp_path, name, case.asks, change, agents=["asbestos"])  # binds nobody here
    assert code not in {d.code for d in before.findings}


@pytest.mark.parametrize("name", CASES)
def test_out_of_scope_binds_nobody(name: str, tmp_path: Path) -> None:
    """The policy is for an agent that is in no air of the firm."""
    case = CASES[name]
    changes = {**(case.program or {}), **(case.record[1] if case.record else {})}
    assert by_policy(judged_with(tmp_path, name, case.asks, changes, agents=["asbestos"])) == []


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.due is not None])
def test_an_interval_moves_the_due_list(name: str, tmp_path: Path) -> None:
    case = CASES[name]
    assert case.due is not None
    identity, day = case.due
    bound = {item.id: item for item in judged_with(tmp_path, name, case.asks, {}).due(60).items}
    assert (bound[identity].due, bound[identity].basis) == (day, BY)
    free = judged_with(tmp_path, name, case.asks, {}, agents=["asbestos"])
    others = {item.id: item for item in free.due(60).items}
    assert identity not in others or others[identity].due != day


@pytest.mark.parametrize("name", CASES)
def test_dated_ahead_binds_nobody_before_its_day(name: str, tmp_path: Path) -> None:
    case = CASES[name]
    changes = {**(case.program or {}), **(case.record[1] if case.record else {})}
    found = judged_with(tmp_path, name, case.asks, changes, date="2026-06-02")
    assert by_policy(found) == []
    assert [d.what for d in found.findings if d.code == "POL-013"] == [
        "Policy `host` of Northbridge Diocese binds from 2 June 2026 on; what it asks is not judged before"
    ]
    today = judged_with(tmp_path, name, case.asks, changes, date="2026-06-01")
    assert by_policy(today) != [] and "POL-013" not in {d.code for d in today.findings}


# ---- for some masks -----------------------------------------------------------------------------------

# Every parameter is tried above with a policy for all; for some masks on each change every other one, at night all.
FOR_MASKS = list(CASES)[:: 1 if TIMES > 1 else 2]


def for_its_masks(folder: Path, name: str, asks: Any, change: Change) -> Judged:
    return judged_with(folder, name, asks, change, masks=list(CASES[name].masks))


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.looser is not None])
def test_looser_for_some_masks_binds_nobody(name: str, tmp_path: Path) -> None:
    found = for_its_masks(tmp_path, name, CASES[name].looser, {})
    assert [d.code for d in found.findings if d.code == "POL-001"] == ["POL-001"]
    assert by_policy(found) == []


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.silent is not None])
def test_silence_about_the_masks_of_a_policy_is_a_gap(name: str, tmp_path: Path) -> None:
    case = CASES[name]
    assert case.silent is not None
    code, change = case.silent
    change = change if case.silent_there is None else case.silent_there
    assert code in {d.code for d in by_policy(for_its_masks(tmp_path, name, case.asks, change))}
    assert by_policy(judged_with(tmp_path, name, case.asks, change, masks=[case.beside])) == []


@pytest.mark.parametrize("name", FOR_MASKS)
def test_kept_for_some_masks_is_no_finding(name: str, tmp_path: Path) -> None:
    assert by_policy(for_its_masks(tmp_path, name, CASES[name].asks, CASES[name].kept)) == []


@pytest.mark.parametrize("name", FOR_MASKS)
def test_a_breach_with_a_mask_that_is_named_cites_the_policy(name: str, tmp_path: Path) -> None:
    case = CASES[name]
    if case.program is not None:
        found = by_policy(for_its_masks(tmp_path, name, case.asks, case.program))
        assert case.code in {d.code for d in found}
    if case.record is not None:
        code, change = case.record
        assert code in {d.code for d in by_policy(for_its_masks(tmp_path, name, case.asks, change))}


@pytest.mark.parametrize("name", FOR_MASKS)
def test_a_policy_for_another_mask_binds_nobody(name: str, tmp_path: Path) -> None:
    case = CASES[name]
    changes = {**(case.program or {}), **(case.record[1] if case.record else {})}
    assert by_policy(judged_with(tmp_path, name, case.asks, changes, masks=[case.beside])) == []


@pytest.mark.parametrize("name", FOR_SOME)
def test_to_obey_for_one_mask_takes_no_word_about_another(name: str, tmp_path: Path) -> None:
    """The program's figure is the one for everybody; the policy's, for its mask, is printed beside it."""
    case = CASES[name]
    of_people = {path: value for path, value in case.kept.items() if path.startswith("people")}
    found = judged_with(tmp_path, name, case.asks, {**(case.program or {}), **of_people}, masks=["half-mask"])
    assert by_policy(found) == []
    [rule] = [rule for rule in parameters(LAW) if rule.policy == name]
    assert [policy.id for policy, _ in found.figures.tightened[rule.id]] == ["host"]


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.due is not None])
def test_an_interval_for_some_masks_moves_the_due_list(name: str, tmp_path: Path) -> None:
    case = CASES[name]
    assert case.due is not None
    identity, day = case.due
    bound = {item.id: item for item in for_its_masks(tmp_path, name, case.asks, {}).due(60).items}
    assert (bound[identity].due, bound[identity].basis) == (day, BY)
    free = {item.id: item for item in judged_with(tmp_path, name, case.asks, {}, masks=[case.beside]).due(60).items}
    assert identity not in free or free[identity].due != day


TWO_MASKS: Change = {
    "people[0].masks[1]": {"mask": "powered-mask", "size": "M"},
    "people[0].fit_tests[1]": {**INSTRUMENT, "mask": "powered-mask"},
}


@pytest.mark.parametrize(
    ("name", "asks", "code"),
    [
        ("fit_test_interval", "3 months", "FIT-002"),
        ("quantitative_only", "yes", "POL-008"),
        ("full_facepiece_pass", "2000", "FIT-009"),
    ],
)
def test_of_one_wearer_only_the_mask_that_is_named_is_barred(name: str, asks: str, code: str, tmp_path: Path) -> None:
    """Tests of the other mask count as before, in the findings, for the assignment, and in the due list."""
    bound = "powered-mask" if name == "full_facepiece_pass" else "half-mask"
    other = "half-mask" if bound == "powered-mask" else "powered-mask"
    found = judged_with(tmp_path, name, asks, TWO_MASKS, masks=[bound])
    of_jo = {d.subject for d in by_policy(found) if "people.jo-marsh" in d.subject}
    assert of_jo == {("people.jo-marsh", f"masks.{bound}")}
    [task] = [task for task in found.description.tasks if task.id == "scrape-sashes"]
    jo = found.roster.assignment(found.description.people[0], task)
    choices = {choice.mask: {bar.code for bar in choice.bars} for choice in jo.choices}
    assert code in choices[bound] and code not in choices[other]
    free = judged_with(tmp_path, name, asks, TWO_MASKS, masks=["spare"])
    due = {item.id: item.due for item in found.due(60).items}
    assert due[f"fit-test.jo-marsh.{other}"] == {i.id: i.due for i in free.due(60).items}[f"fit-test.jo-marsh.{other}"]
