"""Needed protection, maximum use concentrations and oxygen against 29 CFR 1910.134 and 1926.62."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from published_value import published

from progdoc.calc.oxygen import (
    AltitudeRow,
    OxygenCase,
    is_oxygen_deficient,
    needs_oxygen_enriched_air,
    oxygen_case,
)
from progdoc.calc.protection import (
    MucCap,
    NeededFactor,
    is_protective_enough,
    maximum_use_concentration,
    needed_protection_factor,
    protection_margin,
)
from progdoc.core.errors import DomainError

# 29 CFR 1910.134 Table II as printed: upper altitude of the row in ft, lowest percentage
TABLE_II = [
    AltitudeRow(3000.0, 16.0),
    AltitudeRow(4000.0, 16.4),
    AltitudeRow(5000.0, 17.1),
    AltitudeRow(6000.0, 17.8),
    AltitudeRow(7000.0, 18.5),
    AltitudeRow(8000.0, 19.3),
]
NOT_NUMBERS = [math.nan, math.inf, -math.inf]
factors = st.sampled_from([5.0, 10.0, 25.0, 50.0, 1000.0, 10_000.0])
levels = st.floats(0.001, 1e5)
ratios = st.lists(st.floats(0.0, 1e4), min_size=1, max_size=5)


@published("29 CFR 1926.62(d)(2)(iii): over 500 µg/m³; APF 10 has to be refused, 25 will do")
def test_lead_trigger_group_iii_needs_more_than_ten():
    needed = needed_protection_factor([], lower_bounds=[500.0 / 50.0])
    assert [apf for apf in (5.0, 10.0, 25.0, 50.0) if is_protective_enough(apf, needed)] == [25.0, 50.0]


@published("29 CFR 1926.62(d)(2)(iv): over 2,500 µg/m³; APF 50 has to be refused, 1,000 will do")
def test_lead_trigger_group_iv_needs_more_than_fifty():
    needed = needed_protection_factor([], lower_bounds=[2500.0 / 50.0])
    assert [apf for apf in (25.0, 50.0, 1000.0) if is_protective_enough(apf, needed)] == [1000.0]


@published("29 CFR 1926.62(d)(2)(i): not over 10 times the limit; APF 10 will do")
def test_lead_trigger_group_i_needs_ten():
    assert is_protective_enough(10.0, needed_protection_factor([10.0], lower_bounds=[1.0]))


def test_a_measured_ratio_over_the_bound_may_be_equalled():
    assert needed_protection_factor([12.0], lower_bounds=[10.0]) == NeededFactor(12.0, strictly_above=False)


def test_a_bound_stays_strict_beside_an_equal_ratio():
    assert needed_protection_factor([10.0], lower_bounds=[10.0]).strictly_above
    assert needed_protection_factor([10.000000000000002], lower_bounds=[10.0]).strictly_above


def test_binary_arithmetic_neither_passes_nor_fails_a_mask():
    assert 0.7 / 0.07 < 10.0  # the reason for this test
    assert not is_protective_enough(10.0, needed_protection_factor([], lower_bounds=[0.7 / 0.07]))
    assert is_protective_enough(10.0, needed_protection_factor([10.000000000000002]))
    assert not is_protective_enough(10.0, needed_protection_factor([10.004]))


def test_no_mask_is_a_factor_of_one():
    assert is_protective_enough(1.0, needed_protection_factor([1.0]))
    assert not is_protective_enough(1.0, needed_protection_factor([1.01]))


@pytest.mark.parametrize(
    ("hazard_ratios", "lower_bounds"), [([], []), ([-1.0], []), ([], [-1.0]), *[([bad], []) for bad in NOT_NUMBERS]]
)
def test_needed_factor_refuses(hazard_ratios, lower_bounds):
    with pytest.raises(DomainError):
        needed_protection_factor(hazard_ratios, lower_bounds)


@pytest.mark.parametrize("apf", [0.0, 0.99, -10.0, *NOT_NUMBERS])
def test_a_blank_protection_factor_is_refused(apf):
    with pytest.raises(DomainError, match="assigned_protection_factor"):
        is_protective_enough(apf, NeededFactor(1.0, strictly_above=False))
    with pytest.raises(DomainError, match="assigned_protection_factor"):
        maximum_use_concentration(apf, 50.0, None, None)


@published("29 CFR 1910.134(b) and (d)(3)(i)(B)(3); limit of lead 50 µg/m³ (1926.62(c)(1)), invented caps")
@pytest.mark.parametrize(
    ("idlh", "cartridge_limit", "concentration", "governed_by"),
    [
        (None, None, 500.0, MucCap.PROTECTION_FACTOR),
        (1000.0, None, 500.0, MucCap.PROTECTION_FACTOR),
        (500.0, 500.0, 500.0, MucCap.PROTECTION_FACTOR),
        (400.0, None, 400.0, MucCap.IDLH),
        (None, 300.0, 300.0, MucCap.CARTRIDGE),
        (400.0, 300.0, 300.0, MucCap.CARTRIDGE),
        (300.0, 400.0, 300.0, MucCap.IDLH),
    ],
)
def test_maximum_use_and_what_governs(idlh, cartridge_limit, concentration, governed_by):
    assert maximum_use_concentration(10.0, 50.0, idlh, cartridge_limit) == (concentration, governed_by)


@pytest.mark.parametrize(
    ("limit", "idlh", "cartridge_limit"),
    [(0.0, None, None), (50.0, 0.0, None), (50.0, None, -1.0), (1e308, None, None), (50.0, math.nan, None)],
)
def test_maximum_use_refuses(limit, idlh, cartridge_limit):
    with pytest.raises(DomainError):
        maximum_use_concentration(50.0, limit, idlh, cartridge_limit)


@pytest.mark.parametrize(
    ("muc", "concentration"), [(0.0, 1.0), (1.0, 0.0), (1e308, 1e-3), (math.nan, 1.0), (1.0, -1.0)]
)
def test_margin_refuses(muc, concentration):
    with pytest.raises(DomainError):
        protection_margin(muc, concentration)


@published("29 CFR 1910.134(b): below 19.5 % by volume")
@pytest.mark.parametrize(
    ("percent", "deficient"), [(19.5, False), (19.499, True), (20.9, False), (0.0, True), (100.0, False)]
)
def test_oxygen_deficiency(percent, deficient):
    assert is_oxygen_deficient(percent, 19.5) is deficient


@published("29 CFR 1910.134 Table II, row by row")
@pytest.mark.parametrize(
    ("from_ft", "to_ft", "lowest_percent"),
    [
        (-282.0, 3000.0, 16.0),
        (3001.0, 4000.0, 16.4),
        (4001.0, 5000.0, 17.1),
        (5001.0, 6000.0, 17.8),
        (6001.0, 7000.0, 18.5),
        (7001.0, 8000.0, 19.3),
    ],
)
def test_altitude_table(from_ft, to_ft, lowest_percent):
    for altitude_ft in (from_ft, to_ft):
        assert oxygen_case(lowest_percent, altitude_ft, 19.5, TABLE_II) is OxygenCase.EXCEPTION
        assert oxygen_case(lowest_percent - 0.01, altitude_ft, 19.5, TABLE_II) is OxygenCase.IDLH
        assert oxygen_case(19.49, altitude_ft, 19.5, TABLE_II) is OxygenCase.EXCEPTION
        assert oxygen_case(19.5, altitude_ft, 19.5, TABLE_II) is OxygenCase.ENOUGH


@published("29 CFR 1910.134 Table II, note: no exception above 8,000 ft; enriched air above 14,000 ft")
def test_above_the_table():
    assert oxygen_case(19.4, 8000.0, 19.5, TABLE_II) is OxygenCase.EXCEPTION
    assert oxygen_case(19.4, 8001.0, 19.5, TABLE_II) is OxygenCase.IDLH
    assert oxygen_case(20.9, 8001.0, 19.5, TABLE_II) is OxygenCase.ENOUGH
    assert needs_oxygen_enriched_air(14_001.0, 14_000.0)
    assert not needs_oxygen_enriched_air(14_000.0, 14_000.0)


def test_a_stricter_policy_raises_the_minimum():
    assert oxygen_case(19.7, 0.0, 20.0, TABLE_II) is OxygenCase.EXCEPTION
    assert oxygen_case(19.7, 9000.0, 20.0, TABLE_II) is OxygenCase.IDLH


@pytest.mark.parametrize(
    ("percent", "altitude_ft", "rows"),
    [
        (-0.1, 0.0, TABLE_II),
        (100.1, 0.0, TABLE_II),
        (math.nan, 0.0, TABLE_II),
        (19.0, math.nan, TABLE_II),
        (19.0, math.inf, TABLE_II),
        (19.0, 0.0, []),
        (19.0, 0.0, TABLE_II[::-1]),
        (19.0, 0.0, [TABLE_II[0], TABLE_II[0]]),
        (19.0, 0.0, [AltitudeRow(3000.0, 160.0)]),
    ],
)
def test_oxygen_case_refuses(percent, altitude_ft, rows):
    with pytest.raises(DomainError):
        oxygen_case(percent, altitude_ft, 19.5, rows)


@given(st.floats(0.0, 100.0), st.floats(-500.0, 20_000.0), st.floats(0.0, 5000.0))
def test_going_higher_never_eases_the_oxygen_rule(percent, altitude_ft, climb_ft):
    order = [OxygenCase.ENOUGH, OxygenCase.EXCEPTION, OxygenCase.IDLH]
    low = oxygen_case(percent, altitude_ft, 19.5, TABLE_II)
    assert order.index(oxygen_case(percent, altitude_ft + climb_ft, 19.5, TABLE_II)) >= order.index(low)


@given(factors, factors, levels, st.none() | levels, st.none() | levels)
def test_a_higher_factor_never_lowers_the_maximum(first, second, limit, idlh, cartridge_limit):
    low, high = sorted((first, second))
    reach = maximum_use_concentration(low, limit, idlh, cartridge_limit).concentration
    assert maximum_use_concentration(high, limit, idlh, cartridge_limit).concentration >= reach


@given(factors, levels, levels, levels)
def test_a_cap_never_raises_the_maximum(apf, limit, idlh, cartridge_limit):
    free = maximum_use_concentration(apf, limit, None, None).concentration
    capped = maximum_use_concentration(apf, limit, idlh, cartridge_limit).concentration
    assert capped == min(free, idlh, cartridge_limit)


@given(factors, levels, levels)
def test_protective_enough_and_a_margin_of_one_agree(apf, concentration, limit):
    needed = needed_protection_factor([concentration / limit])
    margin = protection_margin(maximum_use_concentration(apf, limit, None, None).concentration, concentration)
    if abs(margin - 1.0) > 1e-8:
        assert is_protective_enough(apf, needed) is (margin > 1.0)


@given(ratios, ratios, st.floats(0.0, 1e4))
def test_another_hazard_never_lowers_what_is_needed(hazard_ratios, lower_bounds, more):
    before = needed_protection_factor(hazard_ratios, lower_bounds)
    for after in (
        needed_protection_factor([*hazard_ratios, more], lower_bounds),
        needed_protection_factor(hazard_ratios, [*lower_bounds, more]),
    ):
        assert after.value >= before.value
        for apf in (1.0, 10.0, 25.0, 50.0, 1000.0):
            assert is_protective_enough(apf, before) or not is_protective_enough(apf, after)
