"""Hazards assessed: every kind of evidence, every reason why the air is not known, tables row by row."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from examples import TIMES, examples
from hypothesis import given
from hypothesis import strategies as st
from published_value import published
from pydantic import ValidationError
from rules.workplaces import DAY, air_of, assessment_of, codes, described, judged, sample, samples

from progdoc.calc.oxygen import OxygenCase
from progdoc.rules.air.assessment import assess
from progdoc.rules.in_force.rule_set import rule_set
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.lookup.law_tables import OxygenRange, lead_tasks, oxygen_ranges, silica_rows
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import built_in_catalogue

ESTIMATE = {"kind": "estimate", "concentration": "20 ug/m3", "by": "A", "basis": "B", "date": "2026-05-01"}
JUDGMENT = {"kind": "judgment", "by": "A", "guidance": "NIOSH 2005-109", "needed_apf": "10", "date": "2026-05-01"}


def unknown_with(code: str, hazard: dict[str, Any], **more: Any) -> None:
    found = assessment_of(hazard, **more)
    assert code in codes(found)
    assert found.is_unknown
    assert air_of([hazard], **more).is_immediately_dangerous


# ---- silence is never harmless ----------------------------------------------------------------------------


@published("29 CFR 1910.134(d)(1)(iii): what can't be identified or estimated counts as immediately dangerous")
@pytest.mark.parametrize("hazard", [{"agent": "lead"}, {"agent": "lead", "exposure": {"kind": "unknown"}}])
def test_unknown_air_is_immediately_dangerous(hazard: dict[str, Any]) -> None:
    unknown_with("EXP-001", hazard)


def test_an_agent_without_a_limit_is_asked_about_with_near_names() -> None:
    unknown_with("EXP-003", {"agent": "tolune", "exposure": ESTIMATE})
    words = next(r for r in assessment_of({"agent": "tolune", "exposure": ESTIMATE}).reasons if r.code == "EXP-003")
    assert "Toluene" in words.words["near"]


def test_a_judgment_for_a_misspelt_agent_does_not_pass_for_one_without_limit() -> None:
    unknown_with("EXP-003", {"agent": "tolune", "form": "vapour", "exposure": JUDGMENT})


def test_a_judgment_says_nothing_against_a_limit() -> None:
    unknown_with("EXP-024", {"agent": "lead", "exposure": JUDGMENT})
    unknown_with("EXP-024", {"agent": "asbestos", "form": "fibres", "limit": "none published", "exposure": JUDGMENT})
    own = {"value": "1 mg/m3", "source": "maker"}
    unknown_with("EXP-024", {"agent": "house dust", "limit": own, "exposure": JUDGMENT})


@published("29 CFR 1910.134(b), maximum use concentration: informed judgment where no limit is set")
def test_a_judgment_stands_where_no_limit_is_published() -> None:
    looked_up = {"law_looked_up": "yes", "looked_up_as": "Histoplasma capsulatum, no CAS number"}
    droppings = {"agent": "bird droppings", "limit": "none published", "exposure": JUDGMENT}
    unknown_with("EXP-056", droppings)
    found = assessment_of(droppings | looked_up)
    assert not found.is_unknown
    assert found.floor == 10.0
    unknown_with("EXP-004", {"agent": "bird droppings", "limit": "none published", "exposure": ESTIMATE})


def test_evidence_from_the_future_shows_nothing() -> None:
    unknown_with("EXP-026", {"agent": "lead", "exposure": {**ESTIMATE, "date": "2026-06-02"}})
    evidence = samples(sample("900 ug/m3", date="2026-07-01"), sample("10 ug/m3"))
    assert assessment_of({"agent": "lead", "exposure": evidence}).hazard_ratio == pytest.approx(0.2)


# ---- figures that cannot be -------------------------------------------------------------------------------


@pytest.mark.parametrize("level", ["-1 ug/m3", "NaN ug/m3", "1e308 ug/m3", "inf ppm", "50", "0.1 %", "5 %"])
def test_impossible_levels_are_refused_at_reading(level: str) -> None:
    with pytest.raises(ValidationError, match="concentration"):
        described([{"agent": "lead", "exposure": {**ESTIMATE, "concentration": level}}])


@pytest.mark.parametrize(
    ("hazard", "task"),
    [
        ({"exposure": samples(sample("9 ug/m3", 0))}, {}),
        ({"exposure": samples(sample("9 ug/m3", 1500))}, {}),
        ({"exposure": samples(sample("9 ug/m3", 900, shift="a"), sample("9 ug/m3", 900, shift="a"))}, {}),
        ({"exposure": ESTIMATE}, {"shift": "30 h"}),
        ({"exposure": ESTIMATE}, {"duration": "0 min"}),
        ({"exposure": ESTIMATE, "limit": {"value": "0 ug/m3", "source": "us"}}, {}),
        ({"agent": "toluene", "form": "vapour", "exposure": {**ESTIMATE, "concentration": "2000000 ppm"}}, {}),
        ({"exposure": {**ESTIMATE, "concentration": "30 ppm"}}, {}),  # of a dust
    ],
)
def test_impossible_figures_are_asked_about_and_never_computed(hazard: dict[str, Any], task: dict[str, Any]) -> None:
    unknown_with("EXP-022", {"agent": "lead", **hazard}, task=task)


@pytest.mark.parametrize(
    ("exposure", "code"),
    [(samples(sample("0 ug/m3")), "EXP-018"), ({**ESTIMATE, "concentration": "0 ug/m3"}, "EXP-022")],
)
def test_nobody_measures_zero(exposure: dict[str, Any], code: str) -> None:
    unknown_with(code, {"agent": "lead", "exposure": exposure})


@pytest.mark.parametrize("level", ["60 mg/m3", "0.04 ug/m3"])
def test_a_level_a_thousand_times_off_is_questioned(level: str) -> None:
    assert "EXP-017" in codes(assessment_of({"agent": "lead", "exposure": {**ESTIMATE, "concentration": level}}))


# ---- limits -----------------------------------------------------------------------------------------------


@published("29 CFR 1910.1000 Tables Z-1 and Z-2, 1926.55 Table 1: pentane 1,000 and 500 ppm, styrene 100 ppm TWA both")
@pytest.mark.parametrize(("industry", "limit"), [("general", 1000.0), ("construction", 500.0)])
def test_limits_follow_the_industry(industry: str, limit: float) -> None:
    exposure = {**ESTIMATE, "concentration": "10 ppm"}
    found = assessment_of({"agent": "pentane", "form": "vapour", "exposure": exposure}, task={"industry": industry})
    assert found.governing is not None
    assert found.governing.level.limit_value == limit


def test_an_industry_that_nobody_named_binds_by_all_three() -> None:
    exposure = {**ESTIMATE, "concentration": "600 ppm"}
    hazard = {"agent": "pentane", "form": "vapour", "exposure": exposure}
    found = air_of([hazard], task={"industry": None})
    assert found.agents[0].hazard_ratio == pytest.approx(1.2)


def test_the_stricter_own_limit_wins_and_the_looser_one_is_refused() -> None:
    strict = assessment_of({"agent": "lead", "exposure": ESTIMATE, "limit": {"value": "10 ug/m3", "source": "us"}})
    assert strict.hazard_ratio == pytest.approx(2.0)
    loose = assessment_of({"agent": "lead", "exposure": ESTIMATE, "limit": {"value": "0.1 mg/m3", "source": "us"}})
    assert loose.hazard_ratio == pytest.approx(0.4)
    assert "EXP-011" in codes(loose)


@published("29 CFR 1915.1000, mineral dusts: limits given as formulas")
def test_a_worked_out_figure_stands_in_for_a_formula() -> None:
    rows = [r for r in table_rows("limits") if "%" in r["value"] and not r["condition"]]
    row = rows[0]
    hazard = {"agent": row["agent"], "form": "dust", "exposure": {**ESTIMATE, "concentration": "1 mg/m3"}}
    task = {"industry": row["industry"]}
    assert "EXP-014" in codes(assessment_of(hazard, task=task))
    own = assessment_of({**hazard, "limit": {"value": "2 mg/m3", "source": "worked out"}}, task=task)
    assert "EXP-014" not in codes(own)
    assert own.hazard_ratio == pytest.approx(0.5)


@published("29 CFR 1910.1000 Table Z-1: 15 mg/m³ of total and 5 mg/m³ of respirable nuisance dust")
def test_two_fractions_are_both_judged_and_questioned() -> None:
    exposure = {**ESTIMATE, "concentration": "6 mg/m3"}
    found = assessment_of({"agent": "gypsum", "exposure": exposure}, task={"industry": "general"})
    assert found.hazard_ratio == pytest.approx(1.2)
    assert "EXP-025" in codes(found)


def _of_dust(*results: dict[str, Any], agent: str = "gypsum", industry: str = "general", **more: Any) -> Assessment:
    return assessment_of({"agent": agent, "exposure": samples(*results), **more}, task={"industry": industry})


@published("29 CFR 1910.1000 Table Z-1: 15 mg/m³ of total and 5 mg/m³ of respirable nuisance dust")
def test_a_sample_of_one_fraction_is_set_against_the_limit_for_it_alone() -> None:
    both = _of_dust(sample("12 mg/m3", fraction="total"), sample("2 mg/m3", fraction="respirable"))
    assert {ratio.limit.fraction: ratio.value for ratio in both.ratios} == pytest.approx(
        {"total": 12 / 15, "respirable": 2 / 5}
    )
    assert codes(both) == []
    fine = _of_dust(sample("2 mg/m3", fraction="respirable"))
    assert [ratio.limit.fraction for ratio in fine.ratios] == ["respirable"]
    assert codes(fine) == ["EXP-033"] and not fine.is_unknown
    coarse = _of_dust(sample("12 mg/m3", fraction="total"))
    assert [ratio.limit.fraction for ratio in coarse.ratios] == ["total"]
    assert codes(coarse) == ["EXP-033"]


@published("29 CFR 1910.1000 Table Z-1: 15 mg/m³ of total and 5 mg/m³ of respirable nuisance dust")
def test_a_coarse_dust_under_the_limit_for_the_fine_one_keeps_that_too() -> None:
    found = _of_dust(sample("4 mg/m3", fraction="total"))
    assert codes(found) == [] and {ratio.limit.fraction for ratio in found.ratios} == {"total", "respirable"}
    (fine,) = (ratio for ratio in found.ratios if ratio.limit.fraction == "respirable")
    assert fine.value == pytest.approx(4 / 5)
    assert "even if all of it were respirable dust" in " ".join(fine.worked.notes)


@published("29 CFR 1926.62(c)(1): 50 µg/m³ of lead; 1926.1153(d)(1): 50 µg/m³ of respirable crystalline silica")
def test_a_sample_of_another_fraction_alone_leaves_the_air_unknown() -> None:
    lead = _of_dust(sample("20 ug/m3", fraction="respirable"), agent="lead", industry="construction")
    assert lead.ratios == () and lead.is_unknown and "EXP-033" in codes(lead)
    silica = _of_dust(sample("80 ug/m3", fraction="total"), agent="silica", industry="construction")
    assert silica.ratios == () and silica.is_unknown
    for agent, fraction in (("lead", "total"), ("silica", "respirable")):
        found = _of_dust(sample("20 ug/m3", fraction=fraction), agent=agent, industry="construction")
        assert found.hazard_ratio == pytest.approx(0.4) and "EXP-033" not in codes(found)


def test_an_own_limit_for_inhalable_dust_adds_to_the_laws_and_is_judged_by_its_own_samples() -> None:
    own = {"value": "6 mg/m3", "source": "our own rule", "fraction": "inhalable"}
    found = _of_dust(sample("5 mg/m3", fraction="total"), industry="construction", limit=own)
    assert "EXP-011" not in codes(found) and "EXP-033" in codes(found)
    both = (sample("5 mg/m3", fraction="total"), sample("3 mg/m3", fraction="inhalable"))
    found = _of_dust(*both, industry="construction", limit=own)
    assert {r.limit.fraction: r.value for r in found.ratios} == pytest.approx({"total": 5 / 15, "inhalable": 0.5})
    assert codes(found) == []
    # A limit that names no fraction is looser than the law's for total dust; one for respirable dust is another limit.
    for fraction, is_looser in ((None, True), ("total", True), ("respirable", False)):
        loose = {"value": "20 mg/m3", "source": "us", **({"fraction": fraction} if fraction else {})}
        found = _of_dust(sample("5 mg/m3", fraction="total"), industry="construction", limit=loose)
        assert ("EXP-011" in codes(found)) is is_looser


@published(
    "29 CFR 1910.1000(d)(2)(i): each level over its own limit, added; Table Z-1: 15 and 5 mg/m³ of nuisance dust"
)
def test_the_sum_the_reach_of_masks_and_the_picture_keep_fractions_apart() -> None:
    dust = {"agent": "gypsum", "form": "dust", "irritates_eyes": "no", "oil": "no"}
    samples_of = samples(sample("12 mg/m3", fraction="total"), sample("6 mg/m3", fraction="respirable"))
    other = {"agent": "calcium carbonate", "exposure": samples(sample("3 mg/m3", fraction="total"))}
    found = judged([{**dust, "exposure": samples_of}, {**dust, **other}], task={"industry": "general"})
    mixture = found.air["t"].mixture
    assert mixture is not None and mixture.value == pytest.approx(6 / 5 + 3 / 5)
    (muc, _) = found.masks["t", "m"].mucs
    assert muc.value == pytest.approx(10 * 5)  # by the limit that governs, of respirable dust
    chart = found.charts["t"]
    assert chart is not None and [mark.value for mark in chart.lines] == [5.0] and chart.samples == (6.0,)
    assert [mark.value for mark in chart.levels] == [6.0]


def test_one_dust_estimated_in_two_fractions_is_no_agent_told_twice_and_draws_its_own_reach() -> None:
    dust = {"agent": "gypsum", "form": "dust", "irritates_eyes": "no", "oil": "no"}
    coarse = {**dust, "exposure": {**ESTIMATE, "concentration": "20 mg/m3", "fraction": "total"}}
    fine = {**dust, "exposure": {**ESTIMATE, "concentration": "6 mg/m3", "fraction": "respirable"}}
    found = judged([coarse, fine], task={"industry": "general"})
    assert all("EXP-028" not in codes(agent) for agent in found.air["t"].agents)
    chart = found.charts["t"]
    assert chart is not None and [bar.value for bar in chart.bars] == [150.0]  # 20 of 15 is more times than 6 of 5
    twice = judged([fine, fine], task={"industry": "general"})
    assert all("EXP-028" in codes(agent) for agent in twice.air["t"].agents)


# ---- form and age -----------------------------------------------------------------------------------------


def test_a_gas_described_as_dust_is_still_a_gas() -> None:
    exposure = {**ESTIMATE, "concentration": "2 ppm"}
    chlorine = assessment_of({"agent": "chlorine", "form": "dust", "exposure": exposure})
    assert chlorine.is_gas
    assert "EXP-023" in codes(chlorine)
    mercury = assessment_of(
        {"agent": "mercury", "form": "dust", "exposure": {**ESTIMATE, "concentration": "0.2 mg/m3"}}
    )
    assert mercury.is_gas
    mist = assessment_of({"agent": "toluene", "form": "mist", "exposure": exposure})
    assert mist.is_gas
    assert mist.is_particle


@published("29 CFR 1910.1000, Table Z-1, footnote (a): a limit in ppm counts parts of vapour or gas")
def test_what_the_law_counts_in_ppm_is_no_mist_or_dust_alone() -> None:
    """Every agent of the table: a disc against particles lets its vapour through, whatever somebody called it."""
    named = {row["id"]: row["name"] for row in table_rows("substances")}
    ids = sorted({row["agent"] for row in table_rows("limits") if row["unit"] == "ppm"})
    counted = [named[one] for one in (ids if TIMES > 1 else ids[::7])]
    assert len(ids) > 250
    for form in ("dust", "fume", "mist"):
        exposure = {**ESTIMATE, "concentration": "2 ppm"}
        quiet = [
            name
            for name in counted
            if "EXP-023" not in codes(assessment_of({"agent": name, "form": form, "exposure": exposure}))
        ]
        assert quiet == []


@pytest.mark.parametrize("agent", ["tetraethyl lead", "dichlorvos", "osmium tetroxide", "nicotine"])
def test_what_boils_early_is_no_mist_or_dust_alone(agent: str) -> None:
    """Common practice, no source for the line at 250 °C but European law on volatile organics, from memory."""
    exposure = {**ESTIMATE, "concentration": "0.01 mg/m3"}
    assert "EXP-023" in codes(assessment_of({"agent": agent, "form": "mist", "exposure": exposure}))


@pytest.mark.parametrize(
    "agent", ["sulfuric acid", "sodium hydroxide", "lead", "crystalline silica", "oil mist, mineral"]
)
def test_what_does_not_evaporate_may_be_particles_alone(agent: str) -> None:
    exposure = {**ESTIMATE, "concentration": "0.01 mg/m3"}
    assert "EXP-023" not in codes(assessment_of({"agent": agent, "form": "mist", "exposure": exposure}))


@pytest.mark.parametrize(
    ("day", "code"), [("2025-06-01", None), ("2025-05-31", "EXP-012"), (None, "EXP-020"), ("2026-05-31", None)]
)
def test_old_and_undated_evidence_is_questioned(day: str | None, code: str | None) -> None:
    found = codes(assessment_of({"agent": "lead", "exposure": {**ESTIMATE, "date": day}}))
    assert [c for c in found if c in ("EXP-012", "EXP-020")] == ([code] if code else [])


@pytest.mark.parametrize(
    ("day", "is_asked"), [("2026-02-09", False), ("2026-02-10", True), ("2026-02-11", True), ("2099-01-01", False)]
)
def test_evidence_older_than_a_change_of_the_work_is_questioned(day: str, is_asked: bool) -> None:
    changes = [{"date": day, "what": "Larger grinder"}]
    exposure = {**ESTIMATE, "date": "2026-02-10"}
    found = codes(assessment_of({"agent": "lead", "exposure": exposure, "changes": changes}))
    assert ("EXP-027" in found) is is_asked


# ---- silica Table 1 ---------------------------------------------------------------------------------------


def table_1(row: Any, minutes: int = 60, **more: Any) -> dict[str, Any]:
    exposure = {
        "kind": "silica-table-1",
        "row": row.row,
        "option": str(row.option),
        "place": row.place,
        "controls_in_place": [*row.controls, *row.general_controls],
        "date": "2026-05-01",
        **more,
    }
    return {"agent": "crystalline silica", "exposure": exposure}


@published("29 CFR 1926.1153(c)(1), Table 1, all rows: none, APF 10 or APF 25 by place and hours")
@pytest.mark.parametrize("row", silica_rows(), ids=lambda r: f"{r.row}-{r.option}-{r.place}")
@pytest.mark.parametrize("hours", [4, 5])
def test_silica_table_1_row_by_row(row: Any, hours: int) -> None:
    found = assessment_of(table_1(row), task={"duration": f"{hours} h"})
    assert not found.is_unknown
    assert found.floor == float(row.apf_up_to_4_h if hours == 4 else row.apf_over_4_h)


@pytest.mark.parametrize("row", silica_rows(), ids=lambda r: f"{r.row}-{r.option}-{r.place}")
def test_a_row_counts_only_with_every_control(row: Any) -> None:
    for missing in (*row.controls, *row.general_controls):
        kept = [c for c in (*row.controls, *row.general_controls) if c != missing]
        unknown_with("EXP-009", table_1(row, controls_in_place=kept), task={"duration": "1 h"})


@published("29 CFR 1926.1153(c)(1), Table 1: rows (iii), (v), (viii) and wet grinding in (xii) exist outdoors only")
@pytest.mark.parametrize("row", ["iii", "v", "viii", "xix", "0"])
def test_a_row_that_does_not_exist_is_refused(row: str) -> None:
    exposure = {"kind": "silica-table-1", "row": row, "place": "indoors", "date": "2026-05-01"}
    unknown_with("EXP-008", {"agent": "crystalline silica", "exposure": exposure}, task={"duration": "1 h"})


def test_table_1_is_for_silica_in_construction_alone() -> None:
    row = silica_rows()[0]
    unknown_with("EXP-016", {**table_1(row), "agent": "lead"})
    unknown_with("EXP-016", table_1(row), task={"industry": "general"})


def two_grinding_tasks(hours: tuple[str | None, str | None], people: tuple[list[str], list[str]]) -> list[float | None]:
    row = next(r for r in silica_rows() if (r.row, r.place) == ("xi", "indoors"))
    program = described(
        [table_1(row), {**table_1(row), "id": "second", "task": "u"}],
        task={"duration": hours[0], "people": people[0]},
    )
    other = program.tasks[0].model_copy(update={"id": "u", "duration": _duration(hours[1]), "people": tuple(people[1])})
    both = program.model_copy(update={"tasks": (program.tasks[0], other)})
    found = assess(rule_set(built_in_catalogue().law_on(DAY), both), DAY)
    return [found["h0"].floor, found["second"].floor]


def _duration(text: str | None) -> Any:
    return described([], task={"duration": text}).tasks[0].duration


@published("29 CFR 1926.1153(c)(3): durations of all Table 1 tasks of a shift add up, and bind every one of them")
@pytest.mark.parametrize(
    ("hours", "people", "floors"),
    [
        (("3 h", "2 h"), (["jo"], ["jo"]), [25.0, 25.0]),
        (("2 h", "2 h"), (["jo"], ["jo"]), [10.0, 10.0]),
        (("3 h", "2 h"), (["jo"], ["sam"]), [10.0, 10.0]),
        (("3 h", "2 h"), (["jo"], []), [25.0, 25.0]),  # a task that names nobody may be anybody's
        (("1 h", None), (["jo"], ["jo"]), [25.0, 25.0]),  # an unknown duration may be long
        (("1 h", None), (["jo"], ["sam"]), [10.0, 25.0]),
    ],
)
def test_durations_add_up_over_tasks_that_share_a_person(
    hours: tuple[str | None, str | None], people: tuple[list[str], list[str]], floors: list[float]
) -> None:
    assert two_grinding_tasks(hours, people) == floors


# ---- lead tasks -------------------------------------------------------------------------------------------


@published("29 CFR 1926.62(d)(2)(i)-(iv): over the limit up to 10 times; over 500 µg/m³; over 2,500 µg/m³")
@pytest.mark.parametrize("row", lead_tasks(), ids=lambda r: r.id)
def test_lead_tasks_row_by_row(row: Any) -> None:
    found = air_of([{"agent": "lead", "exposure": {"kind": "lead-task", "group": row.group, "task": row.task}}])
    expected = {"i": (10.0, False), "ii": (10.0, False), "iii": (10.0, True), "iv": (50.0, True)}
    assert tuple(found.needed) == expected[row.group]
    assert ("EXP-019" in codes(found.agents[0])) == (row.group == "ii")


@published("29 CFR 1926.62(d)(2)(iv)(A): abrasive blasting is taken for over 2,500 µg/m³, so an APF over 50")
@pytest.mark.parametrize("group", ["i", "ii", "iii"])
def test_a_listed_lead_task_keeps_its_group_whatever_group_was_written(group: str) -> None:
    for name in ("Abrasive blasting", "abrasive-blasting"):
        found = air_of([{"agent": "lead", "exposure": {"kind": "lead-task", "group": group, "task": name}}])
        assert tuple(found.needed) == (50.0, True)


def test_lead_bounds_rise_against_a_stricter_limit_and_a_long_day() -> None:
    hazard = {"agent": "lead", "exposure": {"kind": "lead-task", "group": "iii", "task": "lead burning"}}
    assert air_of([hazard], task={"shift": "24 h"}).needed.value == pytest.approx(30.0)  # 500 against 400 ÷ 24
    own = {**hazard, "limit": {"value": "25 ug/m3", "source": "us"}}
    assert air_of([own]).needed.value == pytest.approx(20.0)
    group_i = {**own, "exposure": {**hazard["exposure"], "group": "i"}}
    assert air_of([group_i]).needed.value == pytest.approx(20.0)


def test_lead_tasks_are_for_lead_in_construction_alone() -> None:
    exposure = {"kind": "lead-task", "group": "i", "task": "manual scraping"}
    unknown_with("EXP-015", {"agent": "lead", "exposure": exposure}, task={"industry": "general"})
    unknown_with("EXP-015", {"agent": "silica", "exposure": exposure})


# ---- several agents, danger -------------------------------------------------------------------------------


@published("29 CFR 1910.1000(d)(2)(ii), worked example: 500/1000 + 45/200 + 40/200 = 0.925")
def test_the_laws_own_mixture() -> None:
    parts = (("acetone", "500 ppm"), ("2-butanone", "45 ppm"), ("toluene", "40 ppm"))
    hazards = [
        {"agent": agent, "form": "vapour", "exposure": {**ESTIMATE, "concentration": level, "averaging": "ceiling"}}
        for agent, level in parts
    ]
    found = air_of(hazards, task={"industry": "general"})
    assert found.mixture is not None
    assert found.mixture.value == pytest.approx(0.925)
    assert not found.needs_mask
    alone = {**hazards[0], "acts_elsewhere": "Acts on the eyes alone"}
    rest = air_of([alone, *hazards[1:]], task={"industry": "general"}).mixture
    assert rest is not None
    assert rest.value == pytest.approx(0.425)


@published("NIOSH IDLH value of toluene, 500 ppm")
@pytest.mark.parametrize(("level", "danger"), [("499 ppm", False), ("500 ppm", True), ("1900 mg/m3", True)])
def test_a_level_at_its_idlh_value_is_immediately_dangerous(level: str, danger: bool) -> None:
    hazard = {"agent": "toluene", "form": "vapour", "exposure": samples(sample(level))}
    found = air_of([hazard])
    assert found.is_immediately_dangerous is danger
    if danger:
        assert "NIOSH value" in found.danger[0]


def test_danger_derived_from_a_shift_average_shows_its_sum() -> None:
    estimate = {**ESTIMATE, "concentration": "150 ppm"}
    found = air_of([{"agent": "toluene", "form": "vapour", "exposure": estimate}], task={"duration": "2 h"})
    assert "150 ppm over 8 h, all of it in 2 h of work, means 600 ppm" in found.danger[0]
    highest = {**estimate, "averaging": "ceiling"}
    assert not air_of([{"agent": "toluene", "form": "vapour", "exposure": highest}], task={"duration": "2 h"}).danger


def test_air_that_is_not_known_names_the_finding_that_leaves_it_so() -> None:
    part = {"agent": "lead", "exposure": samples(sample("501 ug/m3", 60))}
    assert "(because of EXP-005)" in air_of([part]).danger[0]
    assert "(because of EXP-001)" in air_of([{"agent": "lead"}]).danger[0]


def test_only_in_construction_is_the_mixture_good_practice() -> None:
    estimate = {**ESTIMATE, "concentration": "20 ppm"}
    hazards = [{"agent": agent, "form": "vapour", "exposure": estimate} for agent in ("toluene", "xylene")]
    by_industry = {name: air_of(hazards, task={"industry": name}).mixture for name in ("general", "construction")}
    assert by_industry["general"] is not None
    assert by_industry["general"].notes == ()
    assert by_industry["construction"] is not None
    assert "good practice" in by_industry["construction"].notes[0]


def oxygen(
    lowest: str, altitude: str | None, basis: str | None = "vented", shown_by: str | None = "measured-at-worst"
) -> Any:
    return air_of(
        [],
        task={"sites": ["s"], "oxygen": {"lowest": lowest, "basis": basis, "shown_by": shown_by}},
        organisation={"sites": [{"id": "s", "name": "site", "altitude": altitude}]},
    )


@published("29 CFR 1910.134(d)(2)(iii), Table II with its note")
@pytest.mark.parametrize("row", oxygen_ranges(), ids=lambda r: str(r.up_to_ft))
def test_table_ii_row_by_row(row: OxygenRange) -> None:
    top, least = f"{row.up_to_ft:g}", row.oxygen_min_percent
    assert oxygen(f"{least} %", f"{top} ft").oxygen == "exception"
    assert oxygen(f"{least - 0.1:.1f} %", f"{top} ft").oxygen == "idlh"
    assert oxygen("19.5 %", f"{top} ft").oxygen == "enough"


@pytest.mark.parametrize(
    ("lowest", "altitude", "basis", "case"),
    [
        ("19.4 %", "8001 ft", "vented", "idlh"),
        ("19.4 %", None, "vented", "idlh"),  # sea level is never assumed
        ("19.4 %", "600 ft", None, "idlh"),  # nobody showed that it stays so
        ("19.4 %", "600 ft", "vented", "exception"),
    ],
)
def test_the_exception_has_to_be_shown(lowest: str, altitude: str | None, basis: str | None, case: str) -> None:
    assert oxygen(lowest, altitude, basis).oxygen == case


def test_a_text_alone_demonstrates_nothing() -> None:
    assert oxygen("18 %", "100 ft", "we think so", None).oxygen == OxygenCase.IDLH
    assert oxygen("18 %", "100 ft", "we think so").oxygen != OxygenCase.IDLH
    assert "stays within Table II" in " ".join(oxygen("18 %", "100 ft", "we think so", None).danger)


def test_a_place_below_the_sea_has_the_first_row_of_table_ii() -> None:
    assert oxygen("16 %", "-282 ft").oxygen == oxygen("16 %", "0 ft").oxygen != OxygenCase.IDLH
    assert oxygen("15.9 %", "-282 ft").oxygen == OxygenCase.IDLH


def test_oxygen_measured_after_the_day_is_not_measured() -> None:
    measured = {"lowest": "20.9 %", "basis": "vented", "date": "2026-06-02"}
    lead = {"agent": "lead", "exposure": samples(sample("60 ug/m3"))}
    assert air_of([lead], task={"confined_space": "yes", "oxygen": measured}).is_immediately_dangerous
    before = {**measured, "date": "2026-06-01"}
    assert not air_of([lead], task={"confined_space": "yes", "oxygen": before}).is_immediately_dangerous


def test_unmeasured_oxygen_counts_in_confined_spaces_and_beside_gases_that_displace_it() -> None:
    assert air_of([], task={"confined_space": "yes"}).is_immediately_dangerous
    propane = {"agent": "nitrogen", "form": "gas", "limit": "none published", "exposure": JUDGMENT}
    assert any("displaces oxygen" in danger for danger in air_of([propane]).danger)
    assert air_of([], task={"structural_fire": "yes"}).is_immediately_dangerous


@examples(50)
@given(st.integers(1, 99999), st.integers(1, 99999), st.dates(date(2020, 1, 1), date(2026, 6, 1)))
def test_a_higher_level_never_needs_less(one: int, other: int, day: date) -> None:
    low, high = sorted((one, other))
    needed = [
        air_of([{"agent": "lead", "exposure": samples(sample(f"{v} ug/m3", date=day.isoformat()))}]).needed.value
        for v in (low, high)
    ]
    assert needed[0] <= needed[1]


@published("29 CFR 1910.1000(d)(2)(i) and 1915.1000(d)(2)(i): the sum of a mixture; 29 CFR 1926.55 has none")
@pytest.mark.parametrize(
    ("industry", "paragraph"),
    [
        ("general", "29 CFR 1910.1000(d)(2)(i)"),
        ("shipyard", "29 CFR 1915.1000(d)(2)(i)"),
        ("construction", "29 CFR 1910.1000(d)(2)(i)"),
        (None, "29 CFR 1910.1000(d)(2)(i); 29 CFR 1915.1000(d)(2)(i)"),
    ],
)
def test_a_mixture_cites_the_rule_of_its_industry(industry: str | None, paragraph: str) -> None:
    estimate = {**ESTIMATE, "concentration": "20 ppm"}
    hazards = [{"agent": agent, "form": "vapour", "exposure": estimate} for agent in ("toluene", "xylene")]
    mixture = air_of(hazards, task={"industry": industry}).mixture
    assert mixture is not None and mixture.citation == paragraph
    assert ("1926.55 has no such sum" in " ".join(mixture.notes)) is (industry == "construction")


@published("29 CFR 1926.55(a)(2), 1915.1000(d)(1)(i), 1910.1000(d)(1)(i), 1926.62(c): whose average is asked for")
@pytest.mark.parametrize(
    ("agent", "industry", "paragraph"),
    [
        ("toluene", "construction", "29 CFR 1926.55(a)(2)"),
        ("toluene", "shipyard", "29 CFR 1915.1000(d)(1)(i)"),
        ("toluene", "general", "29 CFR 1910.1000(d)(1)(i)"),
        ("lead", "construction", "29 CFR 1926.62(c)(1)"),
    ],
)
def test_the_rest_of_a_shift_is_asked_for_by_its_industry(agent: str, industry: str, paragraph: str) -> None:
    form, level = ("dust", "40 ug/m3") if agent == "lead" else ("vapour", "40 ppm")
    hazard = {"agent": agent, "form": form, "exposure": samples(sample(level, 240))}
    found = air_of([hazard], task={"industry": industry}).agents[0]
    assert [r.words.get("citation") for r in found.reasons if r.code == "EXP-005"] == [paragraph]


@published("29 CFR 1926.55, Table 1: toluene 200 ppm; 1915.1000, Table Z: 200 ppm; 1910.1000, Table Z-2: 200 ppm")
@pytest.mark.parametrize(
    ("industry", "paragraph"),
    [("construction", "29 CFR 1926.55(a)"), ("shipyard", "29 CFR 1915.1000(a)"), ("general", "29 CFR 1910.1000(a)")],
)
def test_a_limit_of_ones_own_is_held_against_the_table_of_the_industry(industry: str, paragraph: str) -> None:
    own = {"value": "250 ppm", "averaging": "TWA", "source": "our own"}
    hazard = {"agent": "toluene", "form": "vapour", "limit": own, "exposure": samples(sample("40 ppm"))}
    found = air_of([hazard], task={"industry": industry}).agents[0]
    assert [r.words["citation"] for r in found.reasons if r.code == "EXP-011"] == [paragraph]
    stricter = {**hazard, "limit": {**own, "value": "200 ppm"}}
    assert "EXP-011" not in codes(air_of([stricter], task={"industry": industry}).agents[0])


BUT_OLD = {"date": "2019-03-01"}
OLD_STEL = sample("20 ppm", 15, averaging="STEL", **BUT_OLD)
DCM = {"agent": "methylene chloride", "form": "vapour"}  # 25 ppm, 125 ppm over a quarter hour


@pytest.mark.parametrize(
    ("results", "asked"),
    [
        ([sample("10 ppm"), OLD_STEL], " for STEL is of 1 March 2019"),
        ([sample("10 ppm", **BUT_OLD), sample("20 ppm", 15, averaging="STEL")], " for TWA is of 1 March 2019"),
        ([sample("10 ppm"), sample("20 ppm", 15, averaging="STEL")], ""),
        # What is newer and tells as much, or more, takes the place of what is older.
        ([sample("10 ppm"), OLD_STEL, sample("20 ppm", 1, averaging="ceiling")], ""),
        ([sample("10 ppm", **BUT_OLD), sample("10 ppm"), sample("20 ppm", 15, averaging="STEL")], ""),
    ],
)  # fmt: skip
def test_each_kind_of_sample_grows_old_by_itself(results: list[dict[str, Any]], asked: str) -> None:
    found = assessment_of({**DCM, "exposure": samples(*results)}, task={"industry": "general"})
    old = [f"{one.words['of']} is of {one.words['last_date']}" for one in found.reasons if one.code == "EXP-012"]
    assert old == ([asked] if asked else [])


def test_a_kind_of_which_no_limit_speaks_is_not_asked_for_again() -> None:
    results = samples(sample("10 ug/m3"), sample("20 ug/m3", 15, averaging="STEL", **BUT_OLD))
    assert "EXP-012" not in codes(assessment_of({"agent": "lead", "exposure": results}))


@pytest.mark.parametrize(("total", "asked"), [("2019-03-01", True), ("2026-05-01", False)])
def test_each_fraction_of_a_dust_grows_old_by_itself(total: str, asked: bool) -> None:
    """General industry limits nuisance dust twice, as total and as respirable dust."""
    results = samples(sample("1 mg/m3", fraction="total", date=total), sample("0.5 mg/m3", fraction="respirable"))
    hazard = {"agent": "particulates not otherwise regulated", "exposure": results}
    assert ("EXP-012" in codes(assessment_of(hazard, task={"industry": "general"}))) is asked


@pytest.mark.parametrize(
    "said",
    [
        "Our adviser says this use is banned since 2025; we go on",
        "It is illegal now",
        "Prohibited since May",
        "The rule forbids it",
        "This use is no longer allowed",
        "Not permitted, says the agency",
    ],
)
def test_an_environmental_rule_that_forbids_the_work_by_ones_own_words_settles_nothing(said: str) -> None:
    hazard = {**DCM, "exposure": samples(sample("10 ppm")), "environmental_rule": said}
    (asked,) = (one for one in assessment_of(hazard).reasons if one.code == "EXP-030")
    assert said in asked.words["trouble"]


@pytest.mark.parametrize(
    "said",
    [
        "Read on 2 March 2026; our use is not banned",
        "Banned for homes; we work on pieces of artistic value, which are exempt",
        "It forbids consumer use and does not apply to us",
        "Read by the officer; limits kept, nobody is over 2 ppm",
    ],
)
def test_an_environmental_rule_that_lets_the_work_pass_is_an_answer(said: str) -> None:
    hazard = {**DCM, "exposure": samples(sample("10 ppm")), "environmental_rule": said}
    assert "EXP-030" not in codes(assessment_of(hazard))
