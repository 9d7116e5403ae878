"""What speaks against a mask or its air cites the policy where the policy's figure decided, and the law otherwise.

Every code of selection and exposure that a policy can bring about stands here twice: at a level, or with evidence, that
is in order by the law alone, and at one that is not. Who asks is invented.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from programs.patching import judged, patched
from published_value import published
from rules.workplaces import described as workplace
from rules.workplaces import sample, samples, selected

from progdoc.rules.judged.mask_results import Selection
from progdoc.rules.reading.catalogue import built_in_catalogue

BY = "Northbridge Diocese, Rules 2026 (policy `host`)"
HALF = {"facepiece": "half-mask", "mode": "air-purifying"}
DUST = {"facepiece": "filtering-facepiece", "mode": "air-purifying", "built_in_filter": "N95"}
FULL = {"facepiece": "full-facepiece", "mode": "air-purifying"}
PER = ("hazard", "mask-use")
MULTI = [{"id": "multi", "gases": ["multi-gas"]}]
HIGH_UP = {"organisation": {"sites": [{"id": "s", "name": "s", "altitude": "14001 ft"}]}}
LOW_DOWN = {"organisation": {"sites": [{"id": "s", "name": "s", "altitude": "100 ft"}]}}
AT_ONCE = sample("0.001 ppm", 10, averaging="ceiling")  # keeps the only limit of the law for iodine, a ceiling


def particles(**more: Any) -> dict[str, Any]:
    return {"form": "dust", "irritates_eyes": "no", **more}


def twa(value: str) -> dict[str, Any]:
    return {"exposure_limits": [{"value": value}]}


def air(agent: str, *results: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"agent": agent, "form": "vapour", **more, "exposure": samples(*results)}


@dataclass(frozen=True)
class Case:
    """Air, or work in it, that only the policy minds, and some that the law minds too."""

    asks: dict[str, Any]
    fine_by_law: dict[str, Any]
    not_by_law: dict[str, Any]
    mask: dict[str, Any] = field(default_factory=lambda: HALF)
    fitted: tuple[str, ...] = ("p100",)
    task_fine: dict[str, Any] = field(default_factory=dict)
    task_not: dict[str, Any] | None = None  # where that is what the law minds
    more: dict[str, Any] = field(default_factory=dict)


def levels(agent: str, low: str, high: str, **more: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    return air(agent, sample(low), **more), air(agent, sample(high), **more)


def of_the_day(level: str, **more: Any) -> dict[str, Any]:
    return sample(level, 60, **more)


CASES: dict[str, Case] = {
    "SEL-001": Case({"immediately_dangerous_from": "100 ppm"}, *levels("toluene", "120 ppm", "600 ppm")),
    "SEL-002": Case(
        {"least_oxygen": "20 %"},
        *levels("lead", "30 ug/m3", "30 ug/m3", **particles()),
        task_fine={"sites": ["s"], "oxygen": {"lowest": "19.8 %", "basis": "altitude", "shown_by": "worked-out"}},
        task_not={"sites": ["s"], "oxygen": {"lowest": "19.2 %", "basis": "altitude", "shown_by": "worked-out"}},
        more=LOW_DOWN,
    ),
    "SEL-003": Case(twa("10 ug/m3"), *levels("lead", "120 ug/m3", "600 ug/m3", **particles())),
    "SEL-006": Case(twa("10 ppm"), *levels("toluene", "20 ppm", "300 ppm")),
    "SEL-007": Case(twa("10 ug/m3"), *levels("lead", "30 ug/m3", "60 ug/m3", **particles()), fitted=("ov",)),
    "SEL-008": Case(
        twa("10 ug/m3"), *levels("lead", "30 ug/m3", "60 ug/m3", form="mist", oil="yes"), fitted=("n95",)
    ),
    "SEL-009": Case(twa("10 ppm"), *levels("toluene", "20 ppm", "300 ppm"), fitted=("acid",)),
    "SEL-011": Case(
        twa("10 ppm"), *levels("toluene", "20 ppm", "300 ppm"), FULL, ("multi",), more={"filters": MULTI}
    ),
    "SEL-012": Case(
        twa("0.0001 ppm"), *levels("1,2-dibromo-3-chloropropane", "0.0005 ppm", "0.005 ppm"), fitted=("ov",)
    ),
    "SEL-013": Case(
        twa("0.02 mg/m3"), *levels("cotton dust", "0.15 mg/m3", "1.2 mg/m3", **particles()), DUST, (),
        task_fine={"industry": "general"},
    ),
    "SEL-014": Case(
        twa("1 ug/m3"), *levels("cadmium", "2 ug/m3", "8 ug/m3", form="dust", irritates_eyes="yes")
    ),
    "SEL-015": Case(
        twa("5 ppm"), *levels("ammonia", "10 ppm", "60 ppm", form="gas", irritates_eyes="yes"), fitted=("ov",)
    ),
    "SEL-016": Case(twa("1 ug/m3"), *levels("cadmium", "2 ug/m3", "8 ug/m3", **particles()), fitted=("n95",)),
    "SEL-018": Case(twa("10 ug/m3"), *levels("lead", "30 ug/m3", "60 ug/m3", form="mist"), fitted=("n95",)),
    "SEL-021": Case(twa("1 ug/m3"), *levels("cadmium", "2 ug/m3", "8 ug/m3", form="dust")),
    "SEL-022": Case(
        twa("10 ug/m3"), *levels("lead", "30 ug/m3", "60 ug/m3", **particles()),
        task_fine={"sites": ["s"]},
        more=HIGH_UP,
    ),
    "EXP-005": Case(
        twa("0.01 ppm"), air("iodine", AT_ONCE, of_the_day("0.001 ppm")), air("toluene", of_the_day("20 ppm"))
    ),
    "EXP-006": Case(twa("0.01 ppm"), air("iodine", AT_ONCE), air("toluene", sample("20 ppm", 10, averaging="ceiling"))),
    "EXP-007": Case(
        twa("0.01 ppm"),
        air("iodine", AT_ONCE, sample("0.02 ppm", below_detection="yes")),
        air("toluene", sample("400 ppm", below_detection="yes")),
    ),
    "EXP-033": Case(
        {"exposure_limits": [{"value": "3 mg/m3", "fraction": "respirable"}]},
        air("gypsum", sample("5 mg/m3", fraction="total"), **particles()),
        air("gypsum", sample("5 mg/m3", fraction="respirable"), **particles()),
    ),
    "EXP-013": Case(twa("1 f/cc"), *levels("lead", "30 ug/m3", "1 f/cc", **particles())),
    "EXP-017": Case(twa("0.01 ppm"), *levels("toluene", "100 ppm", "300000 ppm")),
    "EXP-021": Case(
        twa("0.01 ppm"),
        air("iodine", AT_ONCE, of_the_day("0.001 ppm"), of_the_day("0.002 ppm")),
        air("toluene", of_the_day("20 ppm"), of_the_day("30 ppm")),
    ),
}  # fmt: skip

# Codes that no figure of a policy brings about, and what does.
OTHERS = {
    "SEL-004": "a mask to which Table 1 assigns no factor",
    "SEL-005": "the cartridge's own limit",
    "SEL-010": "an escape mask",
    "SEL-017": "gear under the seal",
    "SEL-029": "glasses under a full facepiece",
    "SEL-019": "the butadiene standard's own table, by level",
    "SEL-020": "the class of asbestos work",
    "SEL-023": "a filter of another mask",
    "SEL-024": "hot work",
    "SEL-025": "a mask that was withdrawn",
    "SEL-026": "what is done with a carcinogen",
    "SEL-027": "the kind of cartridge that a standard names",
    "EXP-053": "an oil that is said to be none",
    "EXP-047": "a field that belongs to another agent",
    "EXP-029": "what is done with a carcinogen",
    "EXP-031": "how soon a standard wants samples again; a policy's interval is POL-005",
    "EXP-054": "how soon a standard that nobody read wants samples again",
    "EXP-056": "a name that nobody looked up",
    "EXP-055": "a source that nobody analysed",
    "EXP-030": "a rule that nobody read",
    "EXP-032": "a name that no table knows",
    "EXP-037": "a ceiling of Table Z-2 without its peaks",
    "EXP-038": "what a judgment rests on",
    "EXP-035": "a peak beyond Table Z-2",
    "EXP-036": "a vapour above its saturation",
    "EXP-039": "a level of lead that is only assumed",
    "EXP-040": "the sum of several tasks: tried with a policy's limit in test_same_day.py",
    "EXP-041": "a task without a figure",
    "EXP-042": "how much of the time a sample covers",
    "EXP-043": "how much of the time a sample covers",
    "EXP-044": "a mixture over several tasks, a caution",
    "SEL-028": "which masks there are against carbon monoxide",
}
# Evidence that is no evidence, or none of this agent: whatever limit it is held against.
EVIDENCE = {
    f"EXP-{n:03}" for n in (1, 2, 3, 4, 8, 9, 11, 12, 14, 15, 16, 18, 19, 20, 22, 23, 24, 25, 26, 27, 28, 34, 53)
}


def judged_in(case: Case, hazard: dict[str, Any], task: dict[str, Any], *policies: dict[str, Any]) -> Selection:
    work = {"use": "voluntary", **task}
    return selected(workplace([hazard], case.mask, case.fitted, task=work, policies=list(policies), **case.more))


def citations(found: Selection, code: str) -> set[str]:
    return {r.words.get("citation", "") for held in found.reasons.values() for r in held if r.code == code}


def asked(case: Case) -> dict[str, Any]:
    agents = [case.fine_by_law["agent"], case.not_by_law["agent"]]
    return {"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "agents": agents, **case.asks}


def test_every_code_of_a_mask_or_its_air_is_tried_or_accounted_for() -> None:
    proofs = {r.code for r in built_in_catalogue().requirements if r.code.startswith(("SEL-", "EXP-")) and r.per in PER}
    assert set(CASES) | set(OTHERS) | EVIDENCE == proofs
    assert not set(CASES) & (set(OTHERS) | EVIDENCE)


@published("29 CFR 1910.134(d)(1)(iii), (d)(2), (d)(3); 1910.1000 and 1926.55, the limits of the agents named")
@pytest.mark.parametrize("code", CASES)
def test_the_policy_is_cited_where_its_figure_decided(code: str) -> None:
    case = CASES[code]
    assert citations(judged_in(case, case.fine_by_law, case.task_fine), code) == set()
    assert citations(judged_in(case, case.fine_by_law, case.task_fine, asked(case)), code) == {BY}


@pytest.mark.parametrize("code", CASES)
def test_the_law_is_cited_where_it_minds_too(code: str) -> None:
    case = CASES[code]
    task = case.task_fine if case.task_not is None else case.task_not
    assert citations(judged_in(case, case.not_by_law, task), code)
    with_policy = citations(judged_in(case, case.not_by_law, task, asked(case)), code)
    assert with_policy and BY not in with_policy


def test_of_several_policies_the_one_that_decided_is_cited() -> None:
    case = CASES["SEL-006"]
    lenient = {**asked(case), "id": "lenient", "by": "Funder", "exposure_limits": [{"value": "100 ppm"}]}
    for policies in ((lenient, asked(case)), (asked(case), lenient)):
        assert citations(judged_in(case, case.fine_by_law, {}, *policies), "SEL-006") == {BY}


@published("NIOSH pocket guide: IDLH of toluene 500 ppm")
def test_over_the_idlh_value_of_a_policy_no_concentration_is_one_to_wear_a_mask_in() -> None:
    """The air is immediately dangerous by the policy, which is cited; the cartridge's own limit is the maker's."""
    case = CASES["SEL-001"]
    found = judged_in(case, case.fine_by_law, {}, asked(case))
    assert found.masks["t", "m"].mucs == () and citations(found, "SEL-005") == set()
    under = judged_in(case, air("toluene", sample("90 ppm")), {}, asked(case)).masks["t", "m"]
    assert under.mucs == () or under.mucs[0].value == 100.0
    most = [{"id": "ov", "gases": ["organic-vapour"], "most": "50 ppm"}]
    cartridge = Case(case.asks, case.fine_by_law, case.not_by_law, fitted=("ov",), more={"filters": most})
    assert citations(judged_in(cartridge, air("toluene", sample("90 ppm")), {}, asked(case)), "SEL-005") == {""}


@published("29 CFR 1926.62(c)(1): 50 µg/m³ of lead over eight hours; 29 CFR 1910.134(b): 19.5 % of oxygen")
@pytest.mark.parametrize(
    "rule",
    [{"mask_from": "50 %"}, twa("20 ug/m3"), {"immediately_dangerous_from": "25 ug/m3"}, {"least_oxygen": "20 %"}],
)
def test_a_task_that_a_policy_alone_makes_one_with_masks_is_not_by_choice(rule: dict[str, Any], tmp_path: Path) -> None:
    lead, by_choice = "hazards[0].exposure.results[0].concentration", {"tasks[0].use": "voluntary"}
    host = {"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "agents": ["lead"], **rule}
    for level, cited in (("30 ug/m3", BY), ("90 ug/m3", "29 CFR 1910.134(a)(2)")):
        values = patched({"set": {**by_choice, lead: level, "tasks[0].oxygen.lowest": "19.7 %", "policies": [host]}})
        found = [d.citation for d in judged(values, tmp_path).findings if d.code == "TSK-005"]
        assert found == [cited]
