"""Fit factors against Appendix A of 29 CFR 1910.134, and the protocol table against the same text."""

from fractions import Fraction
from importlib.resources import files
from statistics import harmonic_mean

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from published_value import published

from progdoc.calc.fit import (
    counted_readings,
    credited_protection_factor,
    fit_test_is_passed,
    overall_fit_factor,
)
from progdoc.core.errors import DomainError

fit_factors = st.lists(st.floats(0.5, 200_000), min_size=1, max_size=9)
PROTOCOLS = yaml.safe_load((files("progdoc") / "catalogue/tables/fit_protocols.yaml").read_text(encoding="utf-8"))
BY_ID = {protocol["id"]: protocol for protocol in PROTOCOLS["protocols"]}


@published("29 CFR 1910.134 Appendix A, Part I.C.2(b)(8)(iii)(D): to penetrations, their average, and back")
@given(fit_factors)
def test_overall_factor_is_the_inverse_of_the_average_penetration(factors):
    penetrations = [1 / Fraction(factor) for factor in factors]
    average = sum(penetrations) / len(penetrations)
    assert overall_fit_factor(factors) == pytest.approx(float(1 / average), rel=1e-12)


@published("29 CFR 1910.134 Appendix A, Part I.C.7(d), harmonic mean; Python's statistics module as the reference")
@given(fit_factors)
def test_overall_factor_is_the_harmonic_mean_of_a_reference_library(factors):
    assert overall_fit_factor(factors) == pytest.approx(harmonic_mean(factors), rel=1e-12)


@given(fit_factors)
def test_overall_factor_lies_within_the_readings_and_under_their_mean(factors):
    overall = overall_fit_factor(factors)
    assert min(factors) * (1 - 1e-12) <= overall <= sum(factors) / len(factors) * (1 + 1e-12)


@given(fit_factors, st.floats(0.01, 100))
def test_scaling_every_reading_scales_the_overall_factor(factors, scale):
    scaled = overall_fit_factor([factor * scale for factor in factors])
    assert scaled == pytest.approx(overall_fit_factor(factors) * scale, rel=1e-9)


@pytest.mark.parametrize("level", [100.0, 500.0, 101.0, 333.3])
@pytest.mark.parametrize("count", [1, 4, 5, 7, 9])
def test_equal_readings_at_the_level_pass_without_a_rounding_loss(level, count):
    assert fit_test_is_passed(overall_fit_factor([level] * count), level)


@published("29 CFR 1910.134(f)(7): equal to or greater than 100 (half) and 500 (full facepiece)")
def test_the_pass_level_itself_passes_and_nothing_below():
    assert fit_test_is_passed(100.0, 100.0)
    assert not fit_test_is_passed(99.999, 100.0)
    assert fit_test_is_passed(500.0, 500.0)
    assert not fit_test_is_passed(499.999, 500.0)


def test_one_bad_exercise_fails_a_test_that_its_arithmetic_mean_would_pass():
    readings = [2000.0] * 6 + [20.0]
    assert sum(readings) / 7 > 500
    assert not fit_test_is_passed(overall_fit_factor(readings), 500.0)


@published("29 CFR 1910.134 Appendix A, Part I.C.2(b)(8)(i): each exercise except the grimace")
def test_a_bad_grimace_is_left_out():
    marks = [exercise["counted"] > 0 for exercise in BY_ID["generated-aerosol"]["exercises"]]
    readings = [150.0] * 5 + [2.0] + [150.0] * 2
    assert overall_fit_factor(counted_readings(readings, marks)) == pytest.approx(150.0)


@pytest.mark.parametrize("bad", [[], [0.0], [-5.0], [float("nan")], [float("inf"), 100.0]])
def test_readings_without_a_meaning_are_refused(bad):
    with pytest.raises(DomainError):
        overall_fit_factor(bad)


def test_a_missing_reading_is_refused_not_filled_up():
    with pytest.raises(DomainError, match="7 readings for 8"):
        counted_readings([100.0] * 7, [True] * 8)


@pytest.mark.parametrize(("overall", "level"), [(0.0, 100.0), (100.0, 0.0), (float("nan"), 100.0)])
def test_a_result_needs_numbers(overall, level):
    with pytest.raises(DomainError):
        fit_test_is_passed(overall, level)


@published("29 CFR 1910.134(f)(6) and (f)(8); the agency's letter of 15 January 1999 (read in an extract)")
def test_a_qualitative_test_supports_ten_on_negative_pressure_only():
    def credit(assigned, qualitative, negative):
        return credited_protection_factor(assigned, 10.0, is_qualitative=qualitative, is_negative_pressure=negative)

    assert credit(50.0, True, True) == 10.0
    assert credit(10.0, True, True) == 10.0
    assert credit(5.0, True, True) == 5.0
    assert credit(50.0, False, True) == 50.0
    assert credit(1000.0, True, False) == 1000.0
    with pytest.raises(DomainError):
        credit(0.0, True, True)


@published("29 CFR 1910.134 Appendix A, Part I: A.14(a)-(b), Tables A-1, A-2, A-3, C.6(b)")
@pytest.mark.parametrize(
    ("protocol", "seconds", "counted"),
    [
        ("isoamyl-acetate", [60] * 7, 7),
        ("saccharin", [60] * 7, 7),
        ("denatonium", [60] * 7, 7),
        ("irritant-smoke", [60] * 7, 7),
        ("generated-aerosol", [60] * 5 + [15] + [60] * 2, 7),
        ("ambient-cnc", [60] * 5 + [15] + [60] * 2, 7),
        ("ambient-cnc-short-elastomeric", [50, 30, 30, 39], 4),
        ("ambient-cnc-short-filtering", [50, 30, 30, 39], 4),
        ("controlled-negative-pressure", [60] * 5 + [15] + [60] * 2, 9),
        ("controlled-negative-pressure-redon", [30, 30, None, None, None], 5),
    ],
)
def test_protocols_follow_the_appendix(protocol, seconds, counted):
    entry = BY_ID[protocol]
    assert [exercise.get("seconds") for exercise in entry["exercises"]] == seconds
    assert entry["counted_readings"] == counted == sum(e["counted"] for e in entry["exercises"])
    assert "grimace" not in [e["name"] for e in entry["exercises"] if e["counted"]]


@published("29 CFR 1910.134 Appendix A, titles of Part I.C.4 and C.5, note to B.2, C.6(a)(4)")
def test_each_protocol_names_the_masks_it_may_not_test():
    assert BY_ID["ambient-cnc-short-elastomeric"]["masks"] == ["half-mask", "full-facepiece"]
    assert BY_ID["ambient-cnc-short-filtering"]["masks"] == ["filtering-facepiece"]
    barred = {name for name, entry in BY_ID.items() if "filtering-facepiece" in entry["never"]}
    assert barred == {
        "isoamyl-acetate",
        "ambient-cnc-short-elastomeric",
        "controlled-negative-pressure",
        "controlled-negative-pressure-redon",
    }


def test_the_protocol_table_has_one_shape():
    assert len(BY_ID) == len(PROTOCOLS["protocols"]) == 10
    wanted = [
        "id",
        "name",
        "kind",
        "citation",
        "masks",
        "never",
        "fitted_with",
        "exercises",
        "counted_readings",
    ]
    for entry in BY_ID.values():
        assert {*wanted, "averaging", "averaging_basis", "screening", "stop_when", "notes"} <= set(entry)
        assert (entry["kind"], entry["averaging"]) in {
            ("qualitative", "none"),
            ("quantitative", "harmonic-mean"),
        }
        assert entry["citation"]["locator"].startswith("Appendix A, Part I.")
        assert not set(entry["masks"]) & set(entry["never"])
