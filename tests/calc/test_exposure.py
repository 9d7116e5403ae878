"""Averages, units, mixtures and hazard ratios against the law's own worked examples and tables."""

import math

import pytest
from chemicals import MW
from hypothesis import given
from hypothesis import strategies as st
from published_value import printed, published

from progdoc.calc.exposure import (
    Unsampled,
    hazard_ratio,
    mg_m3_from_ppm,
    mixture_sum,
    ppm_from_mg_m3,
    shift_average,
    time_weighted_average,
)
from progdoc.calc.shift_length import brief_scala_factor, is_over_four_hours_of_table_1, lead_limit
from progdoc.core.errors import DomainError

NOT_NUMBERS = [math.nan, math.inf, -math.inf]
concentrations = st.floats(0.001, 1e4)
minutes = st.integers(1, 120).map(float)
samples = st.lists(st.tuples(concentrations, minutes), min_size=1, max_size=4)


@published("29 CFR 1910.1000(d)(1)(ii), worked example")
def test_twa_of_three_periods():
    periods = [(150.0, 120.0), (75.0, 120.0), (50.0, 240.0)]  # ppm, min
    assert time_weighted_average(periods, 480.0, None) == printed("81.25")


@published("29 CFR 1910.1000(d)(2)(ii), worked example")
def test_mixture_of_three_agents():
    assert mixture_sum([(500.0, 1000.0), (45.0, 200.0), (40.0, 200.0)]) == printed("0.925")


@published("29 CFR 1910.1000 Table Z-1: rows with ppm and approximate mg/m³ (note b); molar mass: chemicals")
@pytest.mark.parametrize(
    ("cas", "ppm", "mg_m3"),
    [
        ("75-07-0", 200.0, 360.0),  # acetaldehyde
        ("64-19-7", 10.0, 25.0),  # acetic acid
        ("67-64-1", 1000.0, 2400.0),  # acetone
        ("75-05-8", 40.0, 70.0),  # acetonitrile
        ("7664-41-7", 50.0, 35.0),  # ammonia
    ],
)
def test_ppm_to_mass_agrees_with_the_rounded_table(cas, ppm, mg_m3):
    assert mg_m3_from_ppm(ppm, MW(cas)) == pytest.approx(mg_m3, rel=0.05)


@published("29 CFR 1926.62(c)(2) and 1910.1025(c)(2): 400 divided by the hours worked")
@pytest.mark.parametrize("worked_h", [8.5, 9.0, 10.0, 12.0, 16.0, 24.0])
def test_lead_limit_of_long_shifts(worked_h):
    assert lead_limit(50.0, worked_h) == pytest.approx(400.0 / worked_h, rel=1e-15)


@published("29 CFR 1926.62(c)(1)")
@pytest.mark.parametrize("worked_h", [1.0, 7.5, 8.0])
def test_lead_limit_of_shifts_up_to_eight_hours(worked_h):
    assert lead_limit(50.0, worked_h) == 50.0


@published("Brief and Scala as quoted by two secondary pages read 2026: 0.7 for 10 h, half for 12 h; 1 for 8 h")
@pytest.mark.parametrize(("worked_h", "factor"), [(8.0, "1.0"), (10.0, "0.7"), (12.0, "0.5")])
def test_brief_scala(worked_h, factor):
    assert brief_scala_factor(worked_h) == pytest.approx(float(factor), abs=1e-12)


@pytest.mark.parametrize("worked_h", [7.99, 24.0, -1.0, *NOT_NUMBERS])
def test_brief_scala_refuses_other_shifts(worked_h):
    with pytest.raises(DomainError, match="worked_h"):
        brief_scala_factor(worked_h)


@published("29 CFR 1926.1153(c)(3) and the heads of Table 1's columns")
@pytest.mark.parametrize(
    ("durations_min", "over"),
    [
        ([60.0], False),
        ([240.0], False),
        ([241.0], True),
        ([200.0, 41.0], True),
        ([120.0, 120.0], False),
        ([5.0, 300.0], True),
    ],
)
def test_table_1_durations_add_up(durations_min, over):
    assert is_over_four_hours_of_table_1(durations_min) is over


def test_twelve_times_a_third_of_an_hour_is_four_hours():
    assert is_over_four_hours_of_table_1([1.0 / 3.0 * 60.0 + 1e-12] * 12) is False


@pytest.mark.parametrize("durations_min", [[], [0.0], [-1.0], [math.nan], [1e308, 1e308]])
def test_table_1_refuses(durations_min):
    with pytest.raises(DomainError):
        is_over_four_hours_of_table_1(durations_min)


def test_unsampled_time_is_never_assumed():
    with pytest.raises(DomainError, match="120 minutes were not sampled"):
        time_weighted_average([(50.0, 360.0)], 480.0, None)


def test_a_gap_that_only_arithmetic_made_is_no_unsampled_time():
    assert time_weighted_average([(50.0, 479.9999999)], 480.0, None) == pytest.approx(50.0)
    with pytest.raises(DomainError, match="not sampled"):
        time_weighted_average([(50.0, 479.999)], 480.0, None)
    with pytest.raises(DomainError, match="more than"):
        time_weighted_average([(50.0, 480.001)], 480.0, None)


def test_unsampled_time_as_stated():
    assert time_weighted_average([(40.0, 360.0)], 480.0, Unsampled.ZERO) == 30.0
    assert time_weighted_average([(40.0, 360.0)], 480.0, Unsampled.AS_SAMPLED) == 40.0
    assert shift_average([(40.0, 360.0)], 480.0, Unsampled.ZERO) == 30.0


def test_a_short_shift_is_spread_over_eight_hours_and_a_long_one_too():
    assert time_weighted_average([(80.0, 240.0)], 240.0, None) == 40.0
    assert time_weighted_average([(80.0, 600.0)], 600.0, None) == 100.0
    assert shift_average([(80.0, 600.0)], 600.0, None) == 80.0


@pytest.mark.parametrize("average", [time_weighted_average, shift_average])
@pytest.mark.parametrize(
    ("periods", "worked_min"),
    [
        ([], 480.0),
        ([(50.0, 500.0)], 480.0),
        ([(-1.0, 480.0)], 480.0),
        ([(50.0, 0.0)], 480.0),
        ([(50.0, -5.0)], 480.0),
        ([(50.0, 480.0)], 0.0),
        ([(50.0, 480.0)], 1441.0),
        ([(1e308, 480.0)], 480.0),
        ([(1e306, 60.0), (1e306, 60.0), (1e306, 60.0)], 480.0),
        ([(1e305, 1.0)], 1440.0),
        *[([(bad, 480.0)], 480.0) for bad in NOT_NUMBERS],
        *[([(50.0, bad)], 480.0) for bad in NOT_NUMBERS],
        *[([(50.0, 480.0)], bad) for bad in NOT_NUMBERS],
    ],
)
def test_averages_refuse(average, periods, worked_min):
    with pytest.raises(DomainError):
        average(periods, worked_min, Unsampled.AS_SAMPLED if periods != [(1e305, 1.0)] else None)


@pytest.mark.parametrize("convert", [mg_m3_from_ppm, ppm_from_mg_m3])
@pytest.mark.parametrize(
    ("concentration", "molar_mass"),
    [(-1.0, 50.0), (1.0, 0.0), (1.0, -5.0), (math.nan, 50.0), (1.0, math.inf), (1e308, 1e308), (1e308, 1e-3)],
)
def test_conversions_refuse(convert, concentration, molar_mass):
    if convert is ppm_from_mg_m3 and (concentration, molar_mass) == (1e308, 1e308):
        assert convert(concentration, molar_mass) == pytest.approx(24.45)
    elif convert is mg_m3_from_ppm and (concentration, molar_mass) == (1e308, 1e-3):
        assert convert(concentration, molar_mass) > 0.0
    else:
        with pytest.raises(DomainError):
            convert(concentration, molar_mass)


@pytest.mark.parametrize(
    ("concentration", "limit"),
    [(-1.0, 50.0), (1.0, 0.0), (1.0, -1.0), (1e308, 1e-3), *[(bad, 1.0) for bad in NOT_NUMBERS], (1.0, math.nan)],
)
def test_hazard_ratio_and_mixture_refuse(concentration, limit):
    with pytest.raises(DomainError):
        hazard_ratio(concentration, limit)
    with pytest.raises(DomainError):
        mixture_sum([(1.0, 2.0), (concentration, limit)])


def test_mixture_refuses_nothing_and_too_much():
    with pytest.raises(DomainError, match="empty"):
        mixture_sum([])
    with pytest.raises(DomainError, match="too large"):
        mixture_sum([(1.7e308, 1.0), (1.7e308, 1.0)])


@pytest.mark.parametrize(("limit_8h", "worked_h"), [(0.0, 9.0), (50.0, 0.0), (50.0, 24.1), (math.nan, 9.0)])
def test_lead_limit_refuses(limit_8h, worked_h):
    with pytest.raises(DomainError):
        lead_limit(limit_8h, worked_h)


@given(samples, st.floats(0.01, 100.0), st.sampled_from(Unsampled))
def test_scaling_every_concentration_scales_the_average(periods, factor, unsampled):
    scaled = [(concentration * factor, duration) for concentration, duration in periods]
    average = time_weighted_average(periods, 480.0, unsampled)
    assert time_weighted_average(scaled, 480.0, unsampled) == pytest.approx(factor * average, rel=1e-9)


@given(samples, st.floats(0.1, 0.9), st.sampled_from(Unsampled))
def test_splitting_a_period_changes_nothing(periods, share, unsampled):
    (concentration, duration), *rest = periods
    split = [(concentration, duration * share), (concentration, duration * (1.0 - share)), *rest]
    whole = time_weighted_average(periods, 480.0, unsampled)
    assert time_weighted_average(split, 480.0, unsampled) == pytest.approx(whole, rel=1e-9)


@given(samples.flatmap(lambda periods: st.tuples(st.just(periods), st.permutations(periods))))
def test_order_changes_nothing(both):
    periods, shuffled = both
    assert time_weighted_average(shuffled, 600.0, Unsampled.ZERO) == time_weighted_average(
        periods, 600.0, Unsampled.ZERO
    )
    assert mixture_sum(shuffled) == mixture_sum(periods)


@given(samples, st.floats(481.0, 1440.0))
def test_the_lead_rule_asks_the_same_of_the_days_total_as_the_eight_hour_limit(periods, worked_min):
    """Average over h hours against 400/h, or total over 8 against 50: one ratio. Mixing them corrects twice."""
    by_rule = hazard_ratio(shift_average(periods, worked_min, Unsampled.ZERO), lead_limit(50.0, worked_min / 60.0))
    by_total = hazard_ratio(time_weighted_average(periods, worked_min, Unsampled.ZERO), 50.0)
    assert by_rule == pytest.approx(by_total, rel=1e-9)


@given(samples, st.sampled_from(Unsampled))
def test_average_lies_within_its_samples(periods, unsampled):
    average = shift_average(periods, 480.0, unsampled)
    highest = max(concentration for concentration, _ in periods)
    assert average <= highest * (1 + 1e-9)
    if unsampled is Unsampled.AS_SAMPLED:
        assert average >= min(concentration for concentration, _ in periods) * (1 - 1e-9)


@given(concentrations, concentrations, st.floats(1.0, 100.0))
def test_raising_the_limit_never_raises_the_ratio(concentration, limit, factor):
    assert hazard_ratio(concentration, limit * factor) <= hazard_ratio(concentration, limit)


@given(st.lists(st.tuples(concentrations, concentrations), min_size=1, max_size=6))
def test_mixture_is_never_less_than_its_worst_agent(parts):
    assert mixture_sum(parts) >= max(hazard_ratio(*part) for part in parts)


@given(st.floats(0.0, 1e6), st.floats(2.0, 500.0))
def test_units_there_and_back(ppm, molar_mass):
    assert ppm_from_mg_m3(mg_m3_from_ppm(ppm, molar_mass), molar_mass) == pytest.approx(ppm, rel=1e-12)
