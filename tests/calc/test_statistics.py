"""Group statistics against a printed example, tolerance factors against scipy and printed tables."""

import math
from statistics import NormalDist

import pytest
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from published_value import printed, published

from progdoc.calc.statistics import (
    Basis,
    PreliminaryResult,
    Sample,
    decision_concentration,
    group_statistics,
    preliminary_test,
)
from progdoc.calc.tolerance import tolerance_factor
from progdoc.core.errors import DomainError

WELDING_FUME_MG_M3 = [0.84, 0.98, 0.42, 1.16, 1.36, 2.66]
NOT_NUMBERS = [math.nan, math.inf, -math.inf]
levels = st.floats(0.001, 1e4)


def _scipy_factor(count, coverage, confidence):
    from scipy.stats import nct, norm  # takes seconds to import, and only the runner that does these tests needs it

    return nct.ppf(confidence, count - 1, norm.ppf(coverage) * math.sqrt(count)) / math.sqrt(count)


@published("EN 689:2018 factors as secondary sources quote them (standard not read)")
@pytest.mark.parametrize(("count", "factor"), [(6, "2.187"), (10, "2.005")])
def test_printed_factors(count, factor):
    assert tolerance_factor(count, 0.95, 0.70) == printed(factor)


@published("NBS Handbook 91, one-sided tolerance factors for 95 % of a normal population, 95 % sure (from memory)")
@pytest.mark.parametrize(("count", "factor"), [(10, "2.911"), (20, "2.396"), (50, "2.065")])
def test_printed_factors_at_another_confidence(count, factor):
    assert tolerance_factor(count, 0.95, 0.95) == printed(factor)


@published("scipy.stats.nct, the noncentral t of an independent library")
@pytest.mark.parametrize(("coverage", "confidence"), [(0.95, 0.70), (0.95, 0.95), (0.90, 0.99)])
def test_factors_against_the_noncentral_t(coverage, confidence):
    for count in [*range(6, 61), 100, 365, 1000]:
        expected = _scipy_factor(count, coverage, confidence)
        assert tolerance_factor(count, coverage, confidence) == pytest.approx(expected, abs=1e-7), count


def test_the_largest_fraction_is_taken():
    assert tolerance_factor(6, 0.999, 0.7) == pytest.approx(_scipy_factor(6, 0.999, 0.7), abs=1e-7)


def test_factor_falls_towards_the_normal_quantile():
    found = [tolerance_factor(count, 0.95, 0.70) for count in (6, 7, 10, 30, 100, 1000, 1_000_000)]
    assert found == sorted(found, reverse=True)
    quantile = NormalDist().inv_cdf(0.95)
    assert quantile < found[-1] < quantile + 0.001


@pytest.mark.parametrize(
    ("count", "coverage", "confidence"),
    [
        (5, 0.95, 0.7),
        (0, 0.95, 0.7),
        (6, 0.5, 0.7),
        (6, 0.9991, 0.7),
        (6, 0.95, 1.0),
        (6, math.nan, 0.7),
        (6, 0.95, math.inf),
    ],
)
def test_factor_refuses(count, coverage, confidence):
    with pytest.raises(DomainError):
        tolerance_factor(count, coverage, confidence)


@published("Teaching slides 'Analyzing small data sets' (2007), six welding-fume samples: GM 1.06 mg/m³, GSD 1.83")
def test_geometric_mean_and_deviation():
    found = group_statistics(WELDING_FUME_MG_M3)
    assert found.geometric_mean == printed("1.06")
    assert found.geometric_standard_deviation == printed("1.83")


@published("The same six samples: mean of logs 0.0620, their squared deviations 1.833976; factors from scipy")
def test_percentile_and_its_upper_limit():
    mean, deviation = 0.0620, math.sqrt(1.833976 / 5)
    found = group_statistics(WELDING_FUME_MG_M3)
    assert found.percentile_95 == pytest.approx(math.exp(mean + NormalDist().inv_cdf(0.95) * deviation), rel=1e-4)
    expected = math.exp(mean + _scipy_factor(6, 0.95, 0.70) * deviation)
    assert found.upper_limit == pytest.approx(expected, rel=1e-4)
    assert found.samples == 6


@pytest.mark.parametrize(
    "concentrations",
    [[1.0] * 5, [], [1.0] * 5 + [0.0], [1.0] * 5 + [-1.0], *[[1.0] * 5 + [bad] for bad in NOT_NUMBERS]],
)
def test_group_statistics_refuse(concentrations):
    with pytest.raises(DomainError):
        group_statistics(concentrations)


def test_group_statistics_refuse_an_upper_limit_too_large_for_a_number():
    with pytest.raises(DomainError, match="too large"):
        group_statistics([1e-300, 1e300] * 3)


@published("EN 689:2018 preliminary test, shares from secondary sources (standard not read)")
@pytest.mark.parametrize(
    ("concentrations", "result"),
    [
        ([10.0, 9.0, 8.0], PreliminaryResult.PASS),
        ([10.1, 1.0, 1.0], PreliminaryResult.NO_DECISION),
        ([15.0, 14.0, 1.0, 1.0], PreliminaryResult.PASS),
        ([15.1, 1.0, 1.0, 1.0], PreliminaryResult.NO_DECISION),
        ([20.0, 1.0, 1.0, 1.0, 1.0], PreliminaryResult.PASS),
        ([20.1, 1.0, 1.0, 1.0, 1.0], PreliminaryResult.NO_DECISION),
        ([100.0, 1.0, 1.0], PreliminaryResult.NO_DECISION),
        ([100.1, 1.0, 1.0], PreliminaryResult.FAIL),
        ([1.0, 1.0, 1.0, 1.0, 101.0], PreliminaryResult.FAIL),
    ],
)
def test_preliminary(concentrations, result):
    assert preliminary_test(concentrations, 100.0) is result


@pytest.mark.parametrize(
    ("concentrations", "limit"),
    [
        ([1.0, 1.0], 100.0),
        ([1.0] * 6, 100.0),
        ([], 100.0),
        ([1.0, 1.0, 0.0], 100.0),
        ([1.0, 1.0, math.nan], 100.0),
        ([1.0, 1.0, 1.0], 0.0),
        ([1.0, 1.0, 1.0], math.inf),
    ],
)
def test_preliminary_refuses(concentrations, limit):
    with pytest.raises(DomainError):
        preliminary_test(concentrations, limit)


def _detected(*concentrations):
    return [Sample(concentration) for concentration in concentrations]


def _below(*limits_of_detection):
    return [Sample(limit, is_below_detection=True) for limit in limits_of_detection]


def test_under_six_samples_the_highest_decides():
    assert decision_concentration(_detected(10.0, 30.0, 20.0), 50.0) == (30.0, Basis.HIGHEST, None, 0)


def test_from_six_samples_the_upper_limit_decides():
    decided = decision_concentration(_detected(*WELDING_FUME_MG_M3), 5.0)
    assert decided.basis is Basis.UPPER_LIMIT
    assert decided.concentration == group_statistics(WELDING_FUME_MG_M3).upper_limit > 2.66


def test_one_shift_over_the_upper_limit_of_many_still_decides():
    decided = decision_concentration(_detected(*[1.0, 1.1] * 20, 3.0), 2.0)
    assert (decided.concentration, decided.basis) == (3.0, Basis.HIGHEST)
    assert decided.statistics is not None
    assert decided.statistics.upper_limit < 3.0


def test_equal_samples_are_not_pushed_over_the_limit_by_rounding():
    assert decision_concentration(_detected(*[0.05] * 7), 0.05).concentration == 0.05


def test_below_detection_counts_as_lod_over_root_two_in_the_statistics():
    decided = decision_concentration(_detected(10.0, 20.0, 30.0, 15.0) + _below(4.0, 4.0), 50.0)
    assert decided.statistics == group_statistics([10.0, 20.0, 30.0, 15.0, 4.0 / math.sqrt(2.0), 4.0 / math.sqrt(2.0)])
    assert decided.below_detection == 2


@pytest.mark.parametrize(("detected", "below"), [([10.0, 5.0, 6.0], [4.0] * 3), ([], [4.0] * 6 + [10.0])])
def test_half_or_more_below_detection_gives_no_statistics(detected, below):
    decided = decision_concentration(_detected(*detected) + _below(*below), 50.0)
    assert decided == (10.0, Basis.HIGHEST_MOSTLY_UNDETECTED, None, len(below))


def test_below_detection_counts_in_full_as_a_highest():
    assert decision_concentration(_detected(2.0) + _below(4.0), 50.0).concentration == 4.0


@pytest.mark.parametrize("more", [[], [10.0], [10.0] * 12])
def test_a_limit_of_detection_over_the_limit_proves_nothing(more):
    decided = decision_concentration(_below(60.0) + _detected(*more), 50.0)
    assert decided == (None, Basis.UNDETERMINED, None, 1)


def test_a_limit_of_detection_at_the_limit_shows_that_it_is_met():
    assert decision_concentration(_below(50.0), 50.0)[:2] == (50.0, Basis.HIGHEST)


def test_a_detected_sample_over_that_limit_of_detection_decides():
    assert decision_concentration(_below(60.0) + _detected(80.0), 50.0)[:2] == (80.0, Basis.HIGHEST)


@pytest.mark.parametrize(
    ("samples", "limit"),
    [
        ([], 50.0),
        (_detected(0.0), 50.0),
        (_below(0.0), 50.0),
        (_detected(-1.0), 50.0),
        (_detected(1.0), 0.0),
        *[(_detected(bad), 50.0) for bad in NOT_NUMBERS],
        (_detected(1.0), math.nan),
    ],
)
def test_decision_refuses(samples, limit):
    with pytest.raises(DomainError):
        decision_concentration(samples, limit)


group = st.lists(st.builds(Sample, levels, st.booleans()), min_size=1, max_size=12)


@examples(60)
@given(group.flatmap(lambda samples: st.tuples(st.just(samples), st.permutations(samples))), levels)
def test_order_changes_nothing(both, limit):
    samples, shuffled = both
    assert decision_concentration(shuffled, limit) == decision_concentration(samples, limit)


@examples(60)
@given(group, levels)
def test_a_decision_is_never_under_a_sample(samples, limit):
    decided = decision_concentration(samples, limit)
    highest = max(sample.concentration for sample in samples)
    assert (decided.concentration is None) == (decided.basis is Basis.UNDETERMINED)
    assert decided.concentration is None or decided.concentration >= highest


@examples(60)
@given(st.lists(levels, min_size=6, max_size=10), st.floats(0.01, 100.0))
def test_scaling_the_samples_scales_the_concentrations_and_not_the_spread(concentrations, factor):
    found = group_statistics(concentrations)
    scaled = group_statistics([concentration * factor for concentration in concentrations])
    assert scaled.geometric_mean == pytest.approx(found.geometric_mean * factor, rel=1e-9)
    assert scaled.upper_limit == pytest.approx(found.upper_limit * factor, rel=1e-9)
    assert scaled.geometric_standard_deviation == pytest.approx(found.geometric_standard_deviation, rel=1e-9)
    assert found.geometric_mean <= found.percentile_95 <= found.upper_limit
