"""Values on the edge of a rule, where one digit more or less decides: found by seeding small faults."""

from dataclasses import replace
from datetime import MAXYEAR, date
from itertools import product
from math import exp, inf

import pytest
from examples import some
from published_value import published

from progdoc.calc.bed import rate_coefficient_per_min, turning_log_ratio
from progdoc.calc.cartridge import (
    ASSUMED_BED_AREA_CM2,
    ASSUMED_BED_DENSITY_G_CM3,
    ASSUMED_CARBON_MASS_G,
    ASSUMED_MICROPORE_VOLUME_CM3_G,
    Bed,
    Case,
    Criterion,
    Reason,
    Vapour,
    breakthrough_fraction,
    reasons_against,
    side_by_side,
)
from progdoc.calc.change_schedule import (
    keepable_interval_min,
    mixture_service_life,
    scaled_service_life_min,
    sensitivities,
)
from progdoc.calc.due_dates import Record, due_date, ended_on, months_after, standing_record
from progdoc.calc.exposure import Unsampled, time_weighted_average
from progdoc.calc.fit import credited_protection_factor
from progdoc.calc.oxygen import AltitudeRow, oxygen_case
from progdoc.calc.service_life import Estimate, humidity_factor, service_life
from progdoc.calc.statistics import Basis, PreliminaryResult, Sample, decision_concentration, preliminary_test
from progdoc.calc.tolerance import tolerance_factor
from progdoc.core.errors import DomainError

TOLUENE = Vapour("toluene", 92.1384, 110.6, 0.86391, 31.054, 28.459, 4603.7)
PAIR = Bed(70.0, 86.0, 0.44, 0.454)
CASE = Case(TOLUENE, PAIR, 400.0, 200.0, 40.0, 22.0, 50.0)
RELATIVE = 0.01


def against(case: Case, relative: float = RELATIVE) -> set[Reason]:
    return {refusal.reason for refusal in reasons_against(case, relative)}


@published("carbon of a cartridge, 25 to 40 g: Nelson and Correia (1976); area, density and pore volume from memory")
def test_what_is_assumed_of_a_cartridge_nobody_described():
    assert ASSUMED_CARBON_MASS_G == 25.0
    assert (ASSUMED_BED_AREA_CM2, ASSUMED_BED_DENSITY_G_CM3, ASSUMED_MICROPORE_VOLUME_CM3_G) == (43.0, 0.44, 0.454)


def test_without_another_factor_an_estimate_is_two_thirds_of_what_was_worked_out():
    bare = service_life(replace(CASE, safety_factor=1.0))
    assert service_life(CASE).service_life_min == pytest.approx(bare.service_life_min / 1.5)
    assert bare.breakthrough_min == pytest.approx(bare.capacity_term_min - bare.kinetic_term_min)


def test_one_cartridge_is_its_own_bed():
    assert side_by_side(PAIR, 1) == PAIR


def test_breakthrough_is_under_a_half_and_a_limit_governs_only_where_it_is_stricter():
    assert breakthrough_fraction(100.0, None, 0.499) == (0.499, Criterion.FRACTION)
    for fraction in (0.5, 1.0):
        with pytest.raises(DomainError):
            breakthrough_fraction(100.0, None, fraction)
    assert breakthrough_fraction(128.0, 16.0, 0.125) == (0.125, Criterion.FRACTION)


@pytest.mark.parametrize(
    ("inside", "outside", "reason"),
    [
        ((replace(CASE, vapour=replace(TOLUENE, boiling_point_c=65.0)), RELATIVE),
         (replace(CASE, vapour=replace(TOLUENE, boiling_point_c=64.9)), RELATIVE), Reason.LOW_BOILING_POINT),
        ((CASE, 1e-5), (CASE, 0.99e-5), Reason.VAPOUR_PRESSURE),
        ((CASE, 0.5), (CASE, 0.501), Reason.VAPOUR_PRESSURE),
        ((replace(CASE, relative_humidity_percent=66.0, challenge_ppm=200.0), RELATIVE),
         (replace(CASE, relative_humidity_percent=66.0, challenge_ppm=199.9), RELATIVE), Reason.HUMID_AND_DILUTE),
        ((replace(CASE, fraction=0.2, limit_ppm=None), RELATIVE),
         (replace(CASE, fraction=0.201, limit_ppm=None), RELATIVE), Reason.LOOSE_CRITERION),
    ],
)  # fmt: skip
def test_the_last_value_of_a_range_belongs_to_it(inside, outside, reason):
    assert reason not in against(*inside)
    assert reason in against(*outside)


def test_a_criterion_is_too_strict_from_where_the_rate_equation_turns_round():
    turning = 1.0 / (1.0 + exp(turning_log_ratio(TOLUENE.molar_polarisation_cm3_mol)))
    for share, is_refused in ((1.0001, False), (0.9999, True)):
        case = replace(CASE, limit_ppm=None, fraction=turning * share)
        assert (Reason.STRICT_CRITERION in against(case)) is is_refused


@pytest.mark.parametrize("polarisation", [0.0, -1.0, inf])
def test_a_rate_needs_a_polarisation(polarisation):
    with pytest.raises(DomainError, match="polarisation"):
        rate_coefficient_per_min(10.0, 2.0, polarisation)


# ---- change schedules ---------------------------------------------------------------------------------


def test_a_long_life_is_kept_in_half_hours_from_four_hours_on():
    assert [keepable_interval_min(life) for life in (239.0, 240.0, 255.0)] == [225.0, 240.0, 240.0]


def test_a_mixture_of_one_is_that_vapour_alone():
    assert mixture_service_life([CASE]).estimate == service_life(CASE)


def test_a_trace_that_cannot_be_estimated_alone_does_not_bar_a_mixture():
    trace = replace(CASE, challenge_ppm=0.2, limit_ppm=None)
    assert not isinstance(service_life(trace), Estimate)
    assert mixture_service_life([replace(CASE, limit_ppm=None), trace]).summed_ppm == pytest.approx(400.2)


@pytest.mark.parametrize(
    ("ppm", "flow", "minutes"),
    [
        (1000.0, 40.0, 60.0), (100.0, 40.0, 60.0), (1000.0, 20.0, 60.0), (100.0, 20.0, 60.0),
        (2000.0, 40.0, 30.0), (1000.0, 80.0, 30.0), (2000.0, 80.0, 15.0), (100.0, 80.0, 30.0), (2000.0, 20.0, 30.0),
    ],
)  # fmt: skip
def test_a_known_life_is_shortened_and_never_stretched_beyond_what_was_tested(ppm, flow, minutes):
    assert scaled_service_life_min(60.0, 1000.0, 40.0, ppm, flow) == pytest.approx(minutes)


def test_each_input_is_tried_as_much_under_as_over():
    tried = {item.name: (item.low_input, item.high_input) for item in sensitivities(CASE)}
    assert tried == {
        "carbon mass": (pytest.approx(63.0), pytest.approx(77.0)),
        "concentration": (pytest.approx(360.0), pytest.approx(440.0)),
        "flow": (pytest.approx(36.0), pytest.approx(44.0)),
        "temperature": (17.0, 27.0),
        "relative humidity": (40.0, 60.0),
    }
    for humidity, ends in ((4.0, (0.0, 14.0)), (95.0, (85.0, 100.0))):
        humid = sensitivities(replace(CASE, relative_humidity_percent=humidity))[-1]
        assert (humid.low_input, humid.high_input) == ends


@pytest.mark.parametrize("humidity", [-0.1, 100.1, inf, float("nan")])
def test_humidity_is_a_percentage(humidity):
    with pytest.raises(DomainError):
        humidity_factor(humidity)


# ---- dates --------------------------------------------------------------------------------------------


def test_the_last_year_a_calendar_can_write_is_still_one():
    assert months_after(date(MAXYEAR - 1, 5, 4), 12) == date(MAXYEAR, 5, 4)
    with pytest.raises(DomainError, match="past the year"):
        months_after(date(MAXYEAR, 5, 4), 12)


def test_an_interval_may_be_of_as_many_months_as_days():
    assert due_date(date(2026, 1, 31), months=1, days=1) == date(2026, 3, 1)


def test_the_first_event_after_a_record_ends_it():
    changed = [date(2026, 4, 2), date(2026, 3, 1)]
    assert ended_on(date(2026, 1, 5), changed, date(2026, 6, 1)) == date(2026, 3, 1)


def test_a_record_counts_on_its_own_day_and_may_be_due_on_it():
    today = Record(date(2026, 6, 1), date(2026, 6, 1))
    assert standing_record([today], [], date(2026, 6, 1)) == today
    assert standing_record([today], [], date(2026, 5, 31)) is None


# ---- air ----------------------------------------------------------------------------------------------


def test_a_day_of_24_hours_can_be_worked_and_no_longer():
    assert time_weighted_average([(10.0, 1440.0)], 1440.0, None) == pytest.approx(30.0)
    with pytest.raises(DomainError):
        time_weighted_average([(10.0, 1440.0)], 1441.0, Unsampled.ZERO)


@pytest.mark.parametrize(("assigned", "credit"), [(inf, 10.0), (50.0, inf), (0.99, 10.0), (50.0, 0.99)])
def test_a_protection_factor_is_finite_and_at_least_one(assigned, credit):
    with pytest.raises(DomainError):
        credited_protection_factor(assigned, credit, is_qualitative=True, is_negative_pressure=True)


def test_a_mask_that_protects_by_nothing_has_the_factor_one():
    assert credited_protection_factor(1.0, 1.0, is_qualitative=True, is_negative_pressure=True) == 1.0


def test_rows_of_altitude_that_fall_anywhere_are_refused():
    rows = [AltitudeRow(3000.0, 16.0), AltitudeRow(5000.0, 17.1), AltitudeRow(4000.0, 16.4)]
    with pytest.raises(DomainError, match="lowest altitude first"):
        oxygen_case(18.0, 1000.0, 19.5, rows)


def test_samples_far_under_one_unit_are_judged_as_any_others():
    assert preliminary_test([0.02, 0.03, 0.01], 0.05) is PreliminaryResult.NO_DECISION
    undetected = decision_concentration([Sample(0.3, is_below_detection=True), Sample(0.1)], 0.2)
    assert undetected.basis is Basis.UNDETERMINED


@published("noncentral t quantile, computed by scipy.stats.nct")
@pytest.mark.parametrize(
    ("count", "coverage", "confidence"),
    some(product([6, 7, 12, 30, 200], [0.55, 0.95], [0.501, 0.7, 0.95, 0.999]), 3),
)
def test_tolerance_factors_to_seven_digits(count, coverage, confidence):
    from scipy.stats import nct, norm  # takes seconds to import, and only the runner that does these tests needs it

    exact = nct.ppf(confidence, count - 1, norm.ppf(coverage) * count**0.5) / count**0.5
    assert tolerance_factor(count, coverage, confidence) == pytest.approx(exact, rel=1e-7)
