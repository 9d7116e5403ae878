"""Policies tighten and never loosen: parameter by parameter, and as a property over random policies."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import catalogue_of
from published_value import published
from rules.test_selection import AGENTS, FITTED, LEVELS, MASKS, hazards_at
from rules.workplaces import DAY, air_of, codes, described, sample, samples, verdict_of

from progdoc.app.disk.description_files import load_path
from progdoc.core.diagnostics import Diagnostic
from progdoc.model.description.masks import Particulate
from progdoc.model.description.policies import Policy
from progdoc.model.description.program import Program
from progdoc.rules.in_force.strictest import filter_is_below
from progdoc.rules.judge import judge
from progdoc.rules.policy.policy_checks import parameters
from progdoc.rules.reading.catalogue import built_in_catalogue

PARAMETERS = parameters(built_in_catalogue().law_on(DAY))
HALF = {"facepiece": "half-mask", "mode": "air-purifying"}
LEAD = [{"agent": "lead", "irritates_eyes": "no", "exposure": samples(sample("200 ug/m3"))}]


def policy(**rules: Any) -> dict[str, Any]:
    return {"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", **rules}


OF_POLICIES = catalogue_of({r.code for r in built_in_catalogue().requirements if r.code.startswith("POL-")})


def with_policy(*policies: dict[str, Any], hazards: Any = LEAD, mask: Any = HALF, **more: Any) -> Any:
    return verdict_of(hazards, mask, policies=list(policies), **more)


def findings(tmp_path: Path, *policies: dict[str, Any], procedures: Any = None, **more: Any) -> list[Diagnostic]:
    """Through the public door: YAML in, findings out."""
    values: dict[str, Any] = {
        "format": 1,
        "policies": list(policies),
        "tasks": [{"id": "t", "name": "work", "industry": "construction", "use": "required", **more}],
        "hazards": [{"id": "h", "task": "t", **LEAD[0]}],
        "procedures": procedures or {},
    }
    file = tmp_path / "program.yaml"
    file.write_text(yaml.safe_dump(json.loads(json.dumps(values))), encoding="utf-8")
    loaded = load_path(file)
    assert loaded.program is not None, loaded.diagnostics
    return list(judge(loaded, OF_POLICIES, DAY).findings)


def found(code: str, diagnostics: list[Diagnostic]) -> list[Diagnostic]:
    return [d for d in diagnostics if d.code == code]


# ---- whom a policy binds --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("scope", "binds"),
    [
        ({}, True),
        ({"tasks": ["t"]}, True),
        ({"tasks": ["t", "other"]}, True),
        ({"tasks": ["other"]}, False),
        ({"sites": ["mill"]}, True),
        ({"sites": ["yard"]}, False),
        ({"sites": ["mill"], "tasks": ["other"]}, False),
        ({"sites": ["yard"], "tasks": ["t"]}, False),
        ({"agents": ["lead"]}, True),
        ({"agents": ["toluene"]}, False),
    ],
)
def test_a_policy_binds_the_tasks_places_and_agents_it_names_and_no_others(
    scope: dict[str, Any], binds: bool, tmp_path: Path
) -> None:
    """Through the public door: air-purifying masks are barred where the policy holds, and only there."""
    use = [{"mask": "m", "filters": ["p100"]}]
    task = {"name": "work", "industry": "construction", "use": "required", "masks": use}
    file = tmp_path / "program.yaml"
    values = {
        "format": 1,
        "organisation": {"sites": [{"id": "mill", "name": "Mill"}, {"id": "yard", "name": "Yard"}]},
        "policies": [policy(air_purifying=False, **scope)],
        "tasks": [{"id": "t", "sites": ["mill"], **task}, {"id": "other", "sites": ["yard"], **task, "masks": []}],
        "hazards": [{"id": "h", "task": "t", "form": "dust", **LEAD[0]}],
        "masks": [{"id": "m", **HALF}],
        "filters": [{"id": "p100", "particulate": "P100"}],
    }
    file.write_text(yaml.safe_dump(json.loads(json.dumps(values))), encoding="utf-8")
    loaded = load_path(file)
    assert loaded.program is not None and not loaded.diagnostics, loaded.diagnostics
    barred = found("POL-006", list(judge(loaded, built_in_catalogue(), DAY).findings))
    assert [d.subject for d in barred] == ([("tasks.t", "masks.m")] if binds else [])


def test_a_task_that_names_no_place_may_be_at_any() -> None:
    rules = policy(air_purifying="no", sites=["yard"])
    sites = {"organisation": {"sites": [{"id": "mill", "name": "Mill"}, {"id": "yard", "name": "Yard"}]}}
    assert "POL-006" in codes(with_policy(rules, **sites))
    assert "POL-006" not in codes(with_policy(rules, **sites, task={"sites": ["mill"]}))


# ---- in the selection -----------------------------------------------------------------------------------------


def test_a_stricter_limit_is_applied_and_named() -> None:
    plain = verdict_of(LEAD, HALF)
    assert plain.is_adequate
    verdict = with_policy(policy(agents=["lead"], exposure_limits=[{"value": "10 ug/m3"}]))
    assert codes(verdict) == ["SEL-003"]
    assert "Northbridge Diocese, Rules 2026 (policy `host`)" in verdict.reasons[0].words["needed"]
    worked = verdict.mucs[0].worked
    assert any("Northbridge Diocese" in given.origin for given in worked.inputs)


def test_a_looser_limit_has_no_effect() -> None:
    verdict = with_policy(policy(agents=["lead"], exposure_limits=[{"value": "1 mg/m3"}]))
    assert verdict == verdict_of(LEAD, HALF) or verdict.margin == verdict_of(LEAD, HALF).margin


def test_the_strictest_of_several_wins() -> None:
    one = policy(agents=["lead"], exposure_limits=[{"value": "40 ug/m3"}])
    other = {**policy(agents=["7439-92-1"], exposure_limits=[{"value": "20 ug/m3"}]), "id": "funder"}
    for order in ((one, other), (other, one)):
        air = air_of(LEAD, policies=list(order))
        assert air.needed.value == pytest.approx(10.0)
        assert air.agents[0].governing is not None
        assert "funder" in air.agents[0].governing.limit.citation


@pytest.mark.parametrize(
    ("rules", "code"),
    [
        ({"dust_masks": "no"}, "POL-004"),
        ({"air_purifying": "no"}, "POL-006"),
        ({"protection_credits": [{"facepiece": "filtering-facepiece", "most": "3"}]}, "SEL-003"),
        ({"agents": ["lead"], "immediately_dangerous_from": "200 ug/m3"}, "SEL-001"),
        ({"evidence_interval": "2 weeks"}, None),
    ],
)
def test_each_rule_of_selection_binds(rules: dict[str, Any], code: str | None) -> None:
    dust = {"facepiece": "filtering-facepiece", "mode": "air-purifying", "built_in_filter": "P100"}
    assert verdict_of(LEAD, dust).is_adequate
    verdict = with_policy(policy(**rules), mask=dust)
    assert codes(verdict) == ([code] if code else [])


def test_a_filter_class_binds_by_series_and_efficiency() -> None:
    silica = [{"agent": "crystalline silica", "exposure": samples(sample("100 ug/m3"))}]
    assert with_policy(policy(least_filter="N95"), hazards=silica, fitted=("n95",)).is_adequate
    assert codes(with_policy(policy(least_filter="R95"), hazards=silica, fitted=("n95",))) == ["POL-003"]
    assert codes(with_policy(policy(least_filter="N99"), hazards=silica, fitted=("n95",))) == ["POL-003"]
    both = [policy(least_filter="N100"), {**policy(least_filter="P95"), "id": "funder"}]
    n100 = [{"id": "n100", "particulate": "N100"}]
    assert codes(with_policy(*both, hazards=silica, fitted=("n100",), filters=n100)) == ["POL-003"]
    assert with_policy(*both, hazards=silica, fitted=("p100",)).is_adequate


@published("42 CFR 84.170: series N, R, P and efficiencies 95, 99 and 99.97 %, apart from each other")
def test_filter_classes_are_a_partial_order() -> None:
    assert filter_is_below(Particulate.N100, Particulate.P95)
    assert filter_is_below(Particulate.P95, Particulate.N100)
    for one in Particulate:
        assert not filter_is_below(one, one)
        assert not filter_is_below(Particulate.P100, one)


def test_oxygen_scba_time_and_mask_share_bind() -> None:
    thin = {"oxygen": {"lowest": "19.8 %", "basis": "x", "shown_by": "worked-out"}}
    assert air_of([], task=thin).oxygen == "enough"
    assert air_of([], task=thin, policies=[policy(least_oxygen="20 %")]).oxygen == "idlh"
    scba = {"facepiece": "full-facepiece", "mode": "scba-pressure-demand", "service_time": "30 min"}
    assert verdict_of([{"agent": "lead"}], scba).is_adequate
    assert not with_policy(policy(scba_service_time="60 min"), hazards=[{"agent": "lead"}], mask=scba).is_adequate
    low = [{"agent": "lead", "exposure": samples(sample("30 ug/m3"))}]
    assert not air_of(low).needs_mask
    assert air_of(low, policies=[policy(mask_from="50 %")]).needs_mask


def test_scope_by_site_task_and_agent() -> None:
    site = {"sites": [{"id": "a", "name": "a"}, {"id": "b", "name": "b"}]}
    more: dict[str, Any] = {"task": {"sites": ["a"]}, "organisation": site, "mask": HALF}
    assert not with_policy(policy(air_purifying="no", sites=["a"]), **more).is_adequate
    assert with_policy(policy(air_purifying="no", sites=["b"]), **more).is_adequate
    assert not with_policy(policy(air_purifying="no", tasks=["t"])).is_adequate
    assert with_policy(policy(air_purifying="no", agents=["asbestos"])).is_adequate
    assert not with_policy(policy(air_purifying="no", agents=["lead"])).is_adequate


def test_a_limit_by_policy_makes_no_unknown_agent_known() -> None:
    dust = [{"agent": "house dust", "exposure": LEAD[0]["exposure"]}]
    limit = policy(agents=["house dust"], exposure_limits=[{"value": "10 mg/m3"}])
    assert air_of(dust).is_immediately_dangerous
    assert air_of(dust, policies=[limit]).is_immediately_dangerous


# ---- against the law ------------------------------------------------------------------------------------------

LOOSER: dict[str, Any] = {
    "least_oxygen": "19 %",
    "scba_service_time": "15 min",
    "fit_test_interval": "2 years",
    "half_mask_pass": "50",
    "full_facepiece_pass": "499",
    "training_interval": "400 days",
    "emergency_inspection_interval": "5 weeks",
    "standby": "0",
    "carbon_monoxide": "20 ppm",
    "oil_in_air": "6 mg/m3",
    "recharge_at": "80 %",
}
EQUAL: dict[str, Any] = {
    "least_oxygen": "19.5 %",
    "scba_service_time": "30 min",
    "fit_test_interval": "1 year",
    "half_mask_pass": "100",
    "full_facepiece_pass": "500",
    "training_interval": "365 days",
    "emergency_inspection_interval": "30 days",
    "standby": "1",
    "carbon_monoxide": "10 ppm",
    "oil_in_air": "5000 ug/m3",
    "recharge_at": "90 %",
}


@published("29 CFR 1910.134: the values of paragraphs (b), (d)(2), (f)(2), (f)(7), (g)(3), (h)(3), (i)(1), (k)(5)")
@pytest.mark.parametrize("name", LOOSER)
def test_a_looser_policy_is_refused_with_both_values(name: str, tmp_path: Path) -> None:
    [finding] = found("POL-001", findings(tmp_path, policy(**{name: LOOSER[name]})))
    assert finding.severity == "required"
    assert LOOSER[name].replace("m3", "m³") in finding.what
    assert next(p.printed for p in PARAMETERS if p.policy == name) in finding.what
    assert "Northbridge Diocese" in finding.what
    assert not found("POL-001", findings(tmp_path, policy(**{name: EQUAL[name]})))


def test_every_parameter_with_a_legal_value_is_tried() -> None:
    assert set(LOOSER) == set(EQUAL) == {p.policy for p in PARAMETERS if p.value is not None}
    assert len(PARAMETERS) >= 12
    assert {p.policy for p in PARAMETERS} <= set(Policy.model_fields)


@published("29 CFR 1926.62(c)(1): lead, 50 µg/m³")
@pytest.mark.parametrize(("value", "adds"), [("100 ug/m3", []), ("50 ug/m3", [50.0]), ("10 ug/m3", [10.0])])
def test_a_looser_limit_of_a_policy_stands_nowhere_beside_the_laws(value: str, adds: list[float]) -> None:
    named = policy(agents=["lead"], exposure_limits=[{"value": value}])
    (lead,) = air_of([{"agent": "lead", "exposure": samples(sample("20 ug/m3"))}], policies=[named]).agents
    assert [limit.value for limit in lead.limits if limit.note.startswith("policy ")] == adds
    assert 50.0 in [limit.value for limit in lead.limits]


def test_looser_limits_and_credits_are_refused(tmp_path: Path) -> None:
    limit = policy(agents=["lead"], exposure_limits=[{"value": "0.1 mg/m3"}])
    [finding] = found("POL-001", findings(tmp_path, limit))
    assert "0.1 mg/m³" in finding.what
    assert "50 µg/m³" in finding.what
    for stricter_or_of_another_kind in (
        {"value": "10 ug/m3"}, {"value": "50 ug/m3"}, {"value": "60 ug/m3", "averaging": "STEL"}, {"value": "9 f/cc"},
    ):  # fmt: skip
        kept = policy(agents=["lead"], exposure_limits=[stricter_or_of_another_kind])
        assert not found("POL-001", findings(tmp_path, kept)), stricter_or_of_another_kind
    credit = policy(protection_credits=[{"facepiece": "half-mask", "mode": "air-purifying", "most": "20"}])
    assert found("POL-001", findings(tmp_path, credit))
    zero = policy(agents=["lead"], exposure_limits=[{"value": "0 ug/m3"}])
    assert found("POL-001", findings(tmp_path, zero))
    nameless = found("POL-007", findings(tmp_path, policy(exposure_limits=[{"value": "1 ug/m3"}])))
    assert nameless and all("1910.134" not in one.citation for one in nameless)


# ---- the program against the policies -------------------------------------------------------------------------

KEPT: list[tuple[dict[str, Any], dict[str, Any]]] = [
    ({"fit_test_interval": "6 months"}, {"fit_testing": {"interval": "12 months"}}),
    ({"half_mask_pass": "200"}, {"fit_testing": {"half_mask_pass": "100"}}),
    ({"full_facepiece_pass": "900"}, {"fit_testing": {"full_facepiece_pass": "500"}}),
    ({"quantitative_only": "yes"}, {"fit_testing": {"protocols": ["saccharin"]}}),
    ({"clean_shaven": "yes"}, {"use": {"hair": "clear-of-seal-and-valve"}}),
    ({"training_interval": "6 months"}, {"training": {"interval": "12 months"}}),
    ({"evaluation_interval": "6 months"}, {"evaluation": {"interval": "12 months"}}),
    ({"emergency_inspection_interval": "14 days"}, {"inspection": {"emergency_interval": "1 month"}}),
    ({"voluntary_use": "no"}, {"voluntary_use": {"allowed": "yes"}}),
    ({"standby": "2"}, {"emergencies": {"idlh": {"standby": "1"}}}),
    ({"carbon_monoxide": "5 ppm"}, {"air_supply": {"carbon_monoxide": "6 ppm"}}),
    ({"oil_in_air": "1 mg/m3"}, {"air_supply": {"oil": "2 mg/m3"}}),
    ({"recharge_at": "95 %"}, {"inspection": {"recharge_at": "90 %"}}),
    (
        {"cartridge_change": "4 h"},
        {"filter_changes": {"schedules": [{"id": "s", "filter": "f", "tasks": ["t"], "after": "8 h"}]}},
    ),
]


@pytest.mark.parametrize(("rule", "procedures"), KEPT, ids=lambda value: next(iter(value)))
def test_a_breach_of_a_policy_names_both_values_and_who_set_it(
    rule: dict[str, Any], procedures: dict[str, Any], tmp_path: Path
) -> None:
    base: dict[str, Any] = {"format": 1, "filters": [{"id": "f", "gases": ["organic-vapour"]}]}
    values = {
        **base,
        "policies": [policy(**rule)],
        "tasks": [{"id": "t", "name": "work"}],
        "procedures": procedures,
    }
    file = tmp_path / "program.yaml"
    file.write_text(yaml.safe_dump(values), encoding="utf-8")
    loaded = load_path(file)
    assert loaded.program is not None, loaded.diagnostics
    [finding] = found("POL-002", list(judge(loaded, built_in_catalogue(), DAY).findings))
    assert finding.severity == "required"
    assert "Northbridge Diocese" in finding.what
    if rule != {"cartridge_change": "4 h"}:
        assert str(next(iter(rule.values()))).replace("m3", "m³") in finding.what


def test_old_evidence_breaks_a_policy_on_its_age(tmp_path: Path) -> None:
    [finding] = found("POL-005", findings(tmp_path, policy(evidence_interval="3 weeks")))
    assert "Northbridge Diocese" in finding.what
    assert not found("POL-005", findings(tmp_path, policy(evidence_interval="1 month")))


def test_paths_of_parameters_exist() -> None:
    program = Program.model_validate({"format": 1})
    for parameter in PARAMETERS:
        part: Any = program
        for name in filter(None, parameter.program.split(".")):
            assert name in type(part).model_fields, parameter.program
            part = getattr(part, name)


def test_unknown_sites_and_tasks_of_a_policy_are_found(tmp_path: Path) -> None:
    file = tmp_path / "program.yaml"
    file.write_text(yaml.safe_dump({"format": 1, "policies": [policy(sites=["nowhere"], tasks=["none"])]}))
    assert [d.code for d in load_path(file).diagnostics] == ["MODEL-007", "MODEL-007"]


# ---- the property ---------------------------------------------------------------------------------------------

NAMES = st.lists(st.sampled_from(["lead", "toluene", "1,3-butadiene", "crystalline silica", "asbestos"]), max_size=2)
POLICIES = st.fixed_dictionaries(
    {"agents": NAMES, "id": st.just("p"), "by": st.just("A"), "source": st.just("B")},
    optional={
        "exposure_limits": st.lists(
            st.builds(
                lambda value, unit, kind: {"value": f"{value} {unit}", "averaging": kind},
                st.integers(0, 400),
                st.sampled_from(["ug/m3", "ppm", "mg/m3", "f/cc"]),
                st.sampled_from(["TWA", "STEL", "ceiling"]),
            ),
            max_size=2,
        ),
        "immediately_dangerous_from": st.sampled_from(["1 ug/m3", "100 ppm", "0 ppm", "90000 ppm", "5 mg/m3"]),
        "mask_from": st.sampled_from(["10 %", "100 %", "0 %"]),
        "protection_credits": st.lists(
            st.builds(
                lambda face, mode, most: {"facepiece": face, "mode": mode, "most": str(most)},
                st.sampled_from(["half-mask", "full-facepiece", "hood", "filtering-facepiece"]),
                st.sampled_from([None, "air-purifying", "powered", "scba-pressure-demand"]),
                st.sampled_from([0, 1, 5, 20, 5000]),
            ),
            max_size=2,
        ),
        "dust_masks": st.sampled_from(["yes", "no"]),
        "air_purifying": st.sampled_from(["yes", "no"]),
        "least_filter": st.sampled_from([p.value for p in Particulate]),
        "least_oxygen": st.sampled_from(["10 %", "20 %", "21 %"]),
        "scba_service_time": st.sampled_from(["5 min", "60 min"]),
        "evidence_interval": st.sampled_from(["1 day", "2 years"]),
    },
)


@examples(250)
@given(
    st.lists(AGENTS, min_size=1, max_size=3, unique=True), st.lists(LEVELS, min_size=3, max_size=3), MASKS, FITTED,
    st.lists(POLICIES, min_size=1, max_size=2), st.sampled_from([None, "19.6 %"]),
)  # fmt: skip
def test_no_policy_ever_makes_a_mask_adequate(
    agents: list[tuple[str, str, str]], levels: list[float], mask: dict[str, Any], fitted: tuple[str, ...],
    policies: list[dict[str, Any]], oxygen: str | None,
) -> None:  # fmt: skip
    task = {"oxygen": {"lowest": oxygen, "basis": "x", "shown_by": "worked-out"}} if oxygen else {}
    hazards = hazards_at(agents, levels, 1.0)
    hazards.append({"agent": "lead", "exposure": {"kind": "lead-task", "group": "iii", "task": "x"}, "id": "l"})
    named = [{**given_policy, "id": f"p{i}"} for i, given_policy in enumerate(policies)]
    before = verdict_of(hazards, mask, fitted, task=task)
    after = verdict_of(hazards, mask, fitted, task=task, policies=named)
    assert before.is_adequate or not after.is_adequate
    assert (after.credit.apf or 0) <= (before.credit.apf or 0)
    assert described(hazards, mask, fitted, task=task, policies=named).policies
