"""Levels from evidence: the law's own averages, and that silence, order and units can't flatter."""

from __future__ import annotations

from math import exp, log
from statistics import stdev
from typing import Any

import pytest
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from published_value import printed, published
from rules.workplaces import assessment_of, codes, sample, samples

from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.published import LimitKind

TOLUENE = {"agent": "toluene", "form": "vapour"}
LEAD = {"agent": "lead"}


def level(exposure: dict[str, Any], hazard: dict[str, Any], **more: Any) -> float:
    governing = assessment_of({**hazard, "exposure": exposure}, **more).governing
    assert governing is not None
    return governing.level.value


@published("29 CFR 1910.1000(d)(1)(ii), worked example: 81.25 ppm")
def test_the_laws_own_average() -> None:
    shift = {"shift": "one"}
    evidence = samples(sample("150 ppm", 120, **shift), sample("75 ppm", 120, **shift), sample("50 ppm", 240, **shift))
    assert level(evidence, TOLUENE) == printed("81.25")


@published("29 CFR 1910.1000(d)(1)(ii), worked example: 81.25 ppm")
def test_the_average_is_worked_out_for_a_pocket_calculator() -> None:
    shift = {"shift": "one"}
    evidence = samples(sample("150 ppm", 120, **shift), sample("75 ppm", 120, **shift), sample("50 ppm", 240, **shift))
    found = assessment_of({**TOLUENE, "exposure": evidence}).governing
    assert found is not None
    sums = "(150 × 120 min + 75 × 120 min + 50 × 240 min) ÷ 480 min = 81.3 ppm, rounded up."
    assert f"Highest shift, one: {sums}" in found.worked.notes


@pytest.mark.parametrize(
    ("said", "sums"),
    [
        ("zero", "40 × 240 min ÷ 480 min = 20 ppm, rounded up; time not listed counts as zero."),
        ("same", "(40 × 240 min + 40 × 240 min) ÷ 480 min = 40 ppm, rounded up."),
    ],
)
def test_what_unsampled_time_counts_as_stands_in_the_sum(said: str, sums: str) -> None:
    evidence = samples(sample("40 ppm", 240, rest_of_shift=said, shift="one"))
    found = assessment_of({**TOLUENE, "exposure": evidence}).governing
    assert found is not None
    assert f"Highest shift, one: {sums}" in found.worked.notes


@published("29 CFR 1926.62(c)(2): 400 divided by the hours worked, 10 hours")
def test_lead_limit_of_a_long_day_is_set_against_the_average_over_those_hours() -> None:
    found = assessment_of({**LEAD, "exposure": samples(sample("48 ug/m3", 600))}, task={"shift": "10 h"}).governing
    assert found is not None
    assert found.level.limit_value == printed("40")
    assert found.level.value == printed("48")
    assert found.value == printed("1.2")


def test_long_days_lower_no_other_limit_but_advice_is_noted() -> None:
    hazard = {**TOLUENE, "exposure": samples(sample("100 ppm", 720))}
    found = assessment_of(hazard, task={"shift": "12 h"}).governing
    assert found is not None
    assert found.level.limit_value == 200.0
    assert found.level.value == pytest.approx(150.0)  # 100 ppm over 12 hours, divided by 8
    assert any("Brief and Scala" in note and "0.5" in note for note in found.worked.notes)


def test_an_estimate_for_lead_is_set_against_the_lowered_limit_too() -> None:
    estimate = {"kind": "estimate", "concentration": "45 ug/m3", "by": "A", "basis": "B", "date": "2026-05-01"}
    assert assessment_of({**LEAD, "exposure": estimate}, task={"shift": "10 h"}).hazard_ratio == pytest.approx(1.125)


@pytest.mark.parametrize("said", ["zero", "same"])
def test_unsampled_time_counts_as_said(said: str) -> None:
    found = level(samples(sample("40 ppm", 240, rest_of_shift=said)), TOLUENE)
    assert found == pytest.approx({"zero": 20.0, "same": 40.0}[said])


@published("29 CFR 1910.1000(d)(1)(i): the exposure is summed over the shift; Table 1 of 1910.134: half mask 10")
@pytest.mark.parametrize(("ppm", "is_lawful"), [("40", True), ("2000", True), ("2001", False)])
def test_unsampled_time_is_asked_for_and_unknown_only_where_the_worse_reading_is_not_lawful(
    ppm: str, is_lawful: bool
) -> None:
    """A half mask against toluene, 200 ppm: up to ten times the limit even the worse reading is lawful."""
    found = assessment_of({**TOLUENE, "exposure": samples(sample(f"{ppm} ppm", 240))})
    assert codes(found).count("EXP-005") == 1
    assert found.is_unknown is not is_lawful
    assert found.hazard_ratio == (pytest.approx(float(ppm) / 200.0) if is_lawful else None)
    said = assessment_of({**TOLUENE, "exposure": samples(sample(f"{ppm} ppm", 240, rest_of_shift="same"))})
    assert "EXP-005" not in codes(said)
    assert not said.is_unknown


def test_without_a_mask_the_worse_reading_is_lawful_up_to_the_limit() -> None:
    for ppm, is_unknown in (("200", False), ("201", True)):
        hazard = {**TOLUENE, "exposure": samples(sample(f"{ppm} ppm", 240))}
        found = assessment_of(hazard, task={"masks": [], "use": "none"})
        assert found.is_unknown is is_unknown


def test_the_worse_reading_is_told_beside_its_sum() -> None:
    found = assessment_of({**TOLUENE, "exposure": samples(sample("40 ppm", 240))}).governing
    assert found is not None
    assert any("counts as sampled, the worse reading" in note for note in found.worked.notes)


def test_samples_of_one_shift_that_disagree_take_the_stricter_word() -> None:
    one = sample("40 ppm", 120, shift="a", rest_of_shift="zero")
    other = sample("40 ppm", 120, shift="a", rest_of_shift="same")
    assert level(samples(one, other), TOLUENE) == level(samples(other, one), TOLUENE) == pytest.approx(40.0)


def test_samples_that_may_be_of_one_shift_are_asked_about() -> None:
    """Two people's half shifts, averaged together, would hide the higher."""
    found = assessment_of({**TOLUENE, "exposure": samples(sample("400 ppm", 240), sample("1 ppm", 240))})
    assert found.is_unknown
    assert "EXP-021" in codes(found)


def test_one_name_for_two_days_is_asked_about() -> None:
    evidence = samples(
        sample("400 ppm", 120, shift="Jo", rest_of_shift="same"),
        sample("1 ppm", 120, shift="Jo", rest_of_shift="same") | {"date": "2026-05-09"},
    )
    assert "EXP-021" in codes(assessment_of({**TOLUENE, "exposure": evidence}))


@pytest.mark.parametrize(("day", "is_one"), [("2026-05-01", True), ("2026-05-02", True), ("2026-05-03", False)])
def test_a_shift_may_end_on_the_next_day_and_no_later(day: str, is_one: bool) -> None:
    """Common practice, no source: a night shift has two dates."""
    evidence = samples(sample("40 ppm", 240, shift="night"), sample("20 ppm", 240, shift="night") | {"date": day})
    assert ("EXP-021" not in codes(assessment_of({**TOLUENE, "exposure": evidence}))) is is_one


@pytest.mark.parametrize(("task", "wanted"), [({}, 50.0), ({"shift": "10 h"}, 50.0), ({"duration": "12 h"}, 60.0)])
def test_a_day_is_as_long_as_its_longest_part(task: dict[str, str], wanted: float) -> None:
    """29 CFR 1910.1000(d)(1)(i): all of the day's exposure over 8 hours; a long sample shows a long day."""
    assert level(samples(sample("40 ppm", 600, rest_of_shift="same")), TOLUENE, task=task) == pytest.approx(wanted)


@pytest.mark.parametrize(("deviation", "is_wide"), [(2.9, False), (3.1, True)])
def test_shifts_that_differ_widely_are_told_to_be_perhaps_two_groups(deviation: float, is_wide: bool) -> None:
    """Common practice, no source: a geometric standard deviation over 3. Of three shifts at each of two levels."""
    apart = deviation ** (5 / 6) ** 0.5  # the sample deviation of three times ±ln(apart) is then ln(deviation)
    levels = [10.0 * apart, 10.0 / apart] * 3
    assert exp(stdev(map(log, levels))) == pytest.approx(deviation)
    evidence = samples(*(sample(f"{value:.6f} ppm", shift=str(n)) for n, value in enumerate(levels)))
    found = assessment_of({**TOLUENE, "exposure": evidence}).governing
    assert found is not None
    assert any("differ widely" in note for note in found.worked.notes) is is_wide


# ---- short-term limits ----------------------------------------------------------------------------------


def in_general(exposure: dict[str, Any]) -> Any:
    return assessment_of({**TOLUENE, "exposure": exposure}, task={"industry": "general"})


@published("29 CFR 1910.1000 Table Z-2, toluene: 200 ppm, ceiling 300 ppm, peak 500 ppm for 10 minutes")
def test_short_term_limits_need_samples_of_their_own() -> None:
    found = in_general(samples(sample("20 ppm")))
    assert not found.is_unknown
    assert len(found.undetermined) == 2
    assert codes(found).count("EXP-006") == 2
    assert [ratio.limit.kind for ratio in found.ratios] == [LimitKind.TWA]  # 20 ppm over a shift passes no ceiling
    fields = {r.words["limit"]: r.words["fields_to_write"] for r in found.reasons if r.code == "EXP-006"}
    assert "`duration: 10 min`, `averaging: ceiling`" in fields["peak"]
    full = in_general(samples(sample("20 ppm"), sample("330 ppm", 10, averaging="ceiling")))
    assert full.undetermined == ()
    assert full.hazard_ratio == pytest.approx(1.1)
    assert {ratio.limit.kind.value for ratio in full.ratios} == {"TWA", "ceiling", "peak"}


def test_a_long_sample_is_no_short_term_sample() -> None:
    found = in_general(samples(sample("20 ppm"), sample("90 ppm", 60, averaging="ceiling")))
    assert len(found.undetermined) == 2


def test_a_short_sample_alone_leaves_the_shift_unknown() -> None:
    assert in_general(samples(sample("90 ppm", 10, averaging="ceiling"))).is_unknown


@published("29 CFR 1910.1000 Table Z-2, toluene: ceiling 300 ppm, peak 500 ppm for 10 minutes; (a)(1): 15 minutes")
def test_a_ceiling_that_a_full_length_sample_cannot_have_passed_is_kept() -> None:
    # 9 × 480 ÷ 15 = 288, and 9 × 480 ÷ 10 = 432: even all of the day's toluene at once passes neither.
    found = in_general(samples(sample("9 ppm", shift="bench")))
    assert found.undetermined == ()
    assert "EXP-006" not in codes(found)
    short = {ratio.limit.kind.value: ratio for ratio in found.ratios}
    assert short["ceiling"].level.value == printed("288")
    assert short["peak"].level.value == printed("432")
    sums = "If all of bench had come within 15 min: 9 × 480 min ÷ 15 min = 288 ppm, rounded up; no more is possible."
    assert sums in short["ceiling"].worked.notes


@pytest.mark.parametrize(
    "results",
    [
        [sample("10 ppm")],  # 10 × 480 ÷ 15 = 320, over 300: a short sample is still asked for
        [sample("9 ppm"), sample("10 ppm", shift="another")],  # the worst of two days decides
        [sample("18 ppm", 240, rest_of_shift="same")],  # the other half of the day counts as well
        [sample("9 ppm", 240)],  # nobody says what the rest was like
    ],
)
def test_a_ceiling_that_may_have_been_passed_stays_open(results: list[dict[str, Any]]) -> None:
    assert "EXP-006" in codes(in_general(samples(*results)))


def test_a_ceiling_alone_is_no_danger_where_the_day_cannot_have_passed_it() -> None:
    iodine = {"agent": "iodine", "form": "vapour"}  # 29 CFR 1910.1000 Table Z-1: ceiling 0.1 ppm, no 8-hour limit
    kept = assessment_of({**iodine, "exposure": samples(sample("0.003 ppm"))}, task={"industry": "general"})
    assert not kept.is_unknown
    assert kept.hazard_ratio == pytest.approx(0.96)
    open_still = assessment_of({**iodine, "exposure": samples(sample("0.004 ppm"))}, task={"industry": "general"})
    assert open_still.is_unknown


@published("29 CFR 1910.1045(c)(1)(ii): acrylonitrile, ceiling 10 ppm averaged over 15 minutes")
def test_a_quarter_hour_ceiling_is_met_by_a_quarter_hour_sample() -> None:
    evidence = samples(sample("1 ppm"), sample("12 ppm", 15, averaging="STEL"))
    found = assessment_of({"agent": "acrylonitrile", "form": "vapour", "exposure": evidence})
    assert found.undetermined == ()
    assert found.hazard_ratio == pytest.approx(1.2)


# ---- below detection, statistics ------------------------------------------------------------------------


def test_a_detection_limit_over_the_limit_proves_nothing() -> None:
    found = assessment_of({**LEAD, "exposure": samples(sample("60 ug/m3", below_detection="yes"))})
    assert found.is_unknown
    assert "EXP-007" in codes(found)


def test_below_detection_counts_in_full_and_is_said() -> None:
    evidence = samples(sample("20 ug/m3", shift="a", below_detection="yes"), sample("10 ug/m3", shift="b"))
    governing = assessment_of({**LEAD, "exposure": evidence}).governing
    assert governing is not None
    assert governing.level.value == 20.0
    assert any("below detection" in note for note in governing.worked.notes)


@published("EN 689:2018, 70 % upper confidence limit with k = 2.187 for six samples (secondary sources)")
def test_six_shifts_are_decided_on_the_upper_confidence_limit() -> None:
    values = (10.0, 20.0, 40.0, 10.0, 20.0, 40.0)
    evidence = samples(*(sample(f"{value:g} ug/m3", shift=f"s{i}") for i, value in enumerate(values)))
    governing = assessment_of({**LEAD, "exposure": evidence}).governing
    assert governing is not None
    # geometric mean 20, geometric standard deviation exp(sqrt(4·ln²2/5)) = 1.859; 20 · 1.859^2.187 = 77.6
    assert governing.level.value == pytest.approx(20.0 * 1.8588**2.187, rel=2e-3)
    assert any("95th percentile" in note for note in governing.worked.notes)


@published("EN 689:2018 preliminary test, three samples: all at or under 0.10 of the limit (secondary sources)")
@pytest.mark.parametrize(
    ("highest", "words"), [("5 ug/m3", "passed"), ("6 ug/m3", "no decision"), ("51 ug/m3", "failed")]
)
def test_the_preliminary_test_is_noted(highest: str, words: str) -> None:
    evidence = samples(*(sample(level, shift=level) for level in ("1 ug/m3", "2 ug/m3", highest)))
    governing = assessment_of({**LEAD, "exposure": evidence}).governing
    assert governing is not None
    assert any("EN 689 preliminary test" in note and words in note for note in governing.worked.notes)


# ---- properties -----------------------------------------------------------------------------------------

numbers = st.integers(min_value=1, max_value=9999)


@examples(40)
@given(st.lists(numbers, min_size=1, max_size=8), st.randoms())
def test_order_of_samples_changes_nothing(values: list[int], random: Any) -> None:
    results = [sample(f"{value} ug/m3", shift=f"s{i}") for i, value in enumerate(values)]
    mixed = results[:]
    random.shuffle(mixed)
    one = assessment_of({**LEAD, "exposure": samples(*results)})
    other = assessment_of({**LEAD, "exposure": samples(*mixed)})
    assert one.hazard_ratio == other.hazard_ratio
    assert codes(one) == codes(other)


@examples(40)
@given(numbers)
def test_units_change_nothing(value: int) -> None:
    micro = assessment_of({**LEAD, "exposure": samples(sample(f"{value} ug/m3"))})
    milli = assessment_of({**LEAD, "exposure": samples(sample(f"{value / 1000:.6f} mg/m3"))})
    assert micro.hazard_ratio == pytest.approx(milli.hazard_ratio, rel=1e-12)


@published("29 CFR 1926.55 Table 1, toluene: 200 ppm, about 750 mg/m³")
def test_parts_and_mass_agree_through_the_molecular_weight() -> None:
    mass = assessment_of({**TOLUENE, "exposure": samples(sample("754 mg/m3"))})
    assert mass.hazard_ratio == pytest.approx(1.0, abs=0.002)


@examples(40)
@given(numbers, numbers)
def test_a_higher_sample_never_lowers_the_level(one: int, other: int) -> None:
    low, high = sorted((one, other))
    others = [sample(f"{i} ug/m3", shift=f"x{i}") for i in (10, 20, 30, 40, 50)]
    ratios = [
        assessment_of({**LEAD, "exposure": samples(*others, sample(f"{v} ug/m3", shift="s"))}).hazard_ratio or 0.0
        for v in (low, high)
    ]
    highest = [max(v, 50) / 50 for v in (low, high)]
    assert all(ratio >= least - 1e-12 for ratio, least in zip(ratios, highest, strict=True))


# ---- while the task is done -----------------------------------------------------------------------------


def test_a_shift_average_is_counted_into_the_hours_of_the_task() -> None:
    estimate = {"kind": "estimate", "concentration": "100 ppm", "by": "A", "basis": "B", "date": "2026-05-01"}
    found = assessment_of({**TOLUENE, "exposure": estimate}, task={"duration": "1 h"})
    assert found.during_task == pytest.approx(800.0)
    assert found.hazard_ratio == pytest.approx(0.5)


def test_without_the_agents_weight_units_are_not_compared() -> None:
    found = assessment_of({"agent": "asbestos", "form": "fibres", "exposure": samples(sample("1 mg/m3"))})
    assert found.is_unknown
    assert "EXP-013" in codes(found)


# ---- samples shorter than the task ----------------------------------------------------------------------


@published("29 CFR 1910.1000(d)(1)(i): all the hours of the shift count; 1500 µg/m³ for 3 of 8 hours are 562.5 µg/m³")
def test_a_short_sample_of_a_long_task_stands_for_all_of_it() -> None:
    """Zero outside the sample cannot mean the task itself: 15 minutes of it would hide the other 165."""
    evidence = samples(sample("1500 ug/m3", 15, rest_of_shift="zero"))
    found = assessment_of({**LEAD, "exposure": evidence}, task={"duration": "3 h"}).governing
    assert found is not None
    assert found.level.value == printed("562.5")
    assert any("3 h" in note for note in found.worked.notes)


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        ([sample("1500 ug/m3", 15, rest_of_shift="zero", shift="a")], "(a)"),
        ([sample("1500 ug/m3", 15, rest_of_shift="same", shift="a")], ""),  # counted for all of the shift
        ([sample("1500 ug/m3", minutes, rest_of_shift="zero", shift="a") for minutes in (60, 120)], ""),
        ([sample("1500 ug/m3", 180, rest_of_shift="zero", shift="b"),
          sample("1500 ug/m3", 15, rest_of_shift="zero", shift="a")], "(a)"),
    ],
)  # fmt: skip
def test_only_a_shift_whose_task_was_not_sampled_whole_is_told(parts: list[dict[str, Any]], told: str) -> None:
    found = assessment_of({**LEAD, "exposure": samples(*parts)}, task={"duration": "3 h"}).governing
    assert found is not None
    notes = [note for note in found.worked.notes if "had no sample" in note]
    assert len(notes) == bool(told) and all(note.endswith(f"{told}.") for note in notes)


def test_a_sample_longer_than_the_task_is_left_as_it_is() -> None:
    evidence = samples(sample("40 ppm", 240, rest_of_shift="zero"))
    assert level(evidence, TOLUENE, task={"duration": "3 h"}) == pytest.approx(20.0)


@published("29 CFR 1910.1000(d)(1)(i): 100 ppm for 10 hours, divided by 8; 1926.62(c)(2) for lead")
def test_a_task_longer_than_eight_hours_makes_a_longer_day() -> None:
    evidence = samples(sample("100 ppm", 480, rest_of_shift="same"))
    assert level(evidence, TOLUENE, task={"duration": "10 h"}) == pytest.approx(125.0)
    lead = assessment_of({**LEAD, "exposure": samples(sample("48 ug/m3", 600))}, task={"duration": "10 h"}).governing
    assert lead is not None
    assert lead.level.limit_value == printed("40")


# 29 CFR 1910.1052(c): methylene chloride 25 ppm, 125 ppm over 15 minutes. Table Z-2: toluene 200 ppm, ceiling 300 ppm.
DCM = {"agent": "methylene chloride", "form": "vapour"}


def of_kind(found: Assessment, kind: LimitKind) -> float:
    return next(each.level.value for each in found.ratios if each.limit.kind is kind)


@published("29 CFR 1910.1052(c)(2), Table Z-2; that a mean is no more than the highest is arithmetic")
@pytest.mark.parametrize("long", ["TWA", "STEL"])
@pytest.mark.parametrize(
    ("hazard", "kind", "average", "minutes", "short", "shown"),
    [
        (TOLUENE, LimitKind.CEILING, 450, 60, sample("250 ppm", 10, averaging="ceiling", shift="b"), 450.0),
        (TOLUENE, LimitKind.CEILING, 450, 5, sample("250 ppm", 10, averaging="ceiling", shift="b"), 450.0),
        (DCM, LimitKind.STEL, 60, 240, sample("20 ppm", 15, averaging="STEL"), 60.0),
        (DCM, LimitKind.STEL, 300, 240, sample("20 ppm", 15, averaging="STEL", below_detection="yes"), 300.0),
        (DCM, LimitKind.STEL, 60, 20, sample("20 ppm", 15, averaging="STEL"), 40.0),  # of two quarter hours one
        (
            DCM,
            LimitKind.STEL,
            300,
            5,
            sample("20 ppm", 15, averaging="STEL"),
            100.0,
        ),  # the rest of the quarter hour clean
    ],
)
def test_no_short_sample_overrules_what_a_longer_average_proves(
    hazard: dict[str, Any], kind: LimitKind, average: int, minutes: int, short: dict[str, Any], shown: float, long: str
) -> None:
    averaged = sample(f"{average} ppm", minutes, rest_of_shift="zero", shift="a", averaging=long)
    whole = sample("10 ppm", 480, shift="c")
    found = assessment_of({**hazard, "exposure": samples(averaged, short, whole)}, task={"industry": "general"})
    if long == "STEL" and minutes <= 15 and kind is LimitKind.STEL:
        shown = float(average)  # it is a sample of that time itself
    assert of_kind(found, kind) == pytest.approx(shown)
    assert ("EXP-006" in codes(found)) is (minutes > 15 or long == "TWA" or kind is LimitKind.CEILING)


@published("29 CFR 1910.1052(c)(2), Table Z-2")
@pytest.mark.parametrize(
    ("hazard", "averaged", "short"),
    [
        (TOLUENE, sample("200 ppm", 60, rest_of_shift="zero"), sample("250 ppm", 10, averaging="ceiling")),
        (
            TOLUENE,
            sample("450 ppm", 60, rest_of_shift="zero", below_detection="yes"),
            sample("250 ppm", 10, averaging="ceiling"),
        ),
        (DCM, sample("20 ppm", 240), sample("60 ppm", 15, averaging="STEL")),
        (DCM, sample("20 ppm", 240), sample("20 ppm", 15, averaging="STEL")),
        (DCM, sample("3 ppm", 480), sample("1 ppm", 15, averaging="STEL")),  # 3 × 480 in one quarter hour is 96
    ],
)
def test_a_short_sample_no_lower_than_the_averages_beside_it_stands(
    hazard: dict[str, Any], averaged: dict[str, Any], short: dict[str, Any]
) -> None:
    assert "EXP-006" not in codes(
        assessment_of({**hazard, "exposure": samples(averaged, short)}, task={"industry": "general"})
    )


def test_an_estimated_average_over_a_short_term_limit_passes_it_and_leaves_its_height_open() -> None:
    estimate = {"kind": "estimate", "concentration": "130 ppm", "by": "A", "basis": "B", "date": "2026-05-01"}
    found = assessment_of({**DCM, "exposure": estimate}, task={"industry": "general"})
    assert of_kind(found, LimitKind.STEL) == 130.0
    assert "EXP-006" in codes(found)
    lower = assessment_of({**DCM, "exposure": {**estimate, "concentration": "120 ppm"}}, task={"industry": "general"})
    assert LimitKind.STEL not in {ratio.limit.kind for ratio in lower.ratios}
