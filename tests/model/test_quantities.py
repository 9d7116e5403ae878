"""Quantities: what is read, what is refused with which cure, and conversions against NIST SP 811."""

from __future__ import annotations

from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st
from published_value import printed, published

from progdoc.model.description.quantities import (
    Dimension,
    Quantity,
    in_unit,
    is_comparable,
    is_same_amount,
    parse_quantity,
    unit_symbol,
)


@pytest.mark.parametrize(
    ("text", "dimension", "value", "unit"),
    [
        ("50 ug/m3", "concentration", 50.0, "ug/m3"),
        ("50 µg/m³", "concentration", 50.0, "ug/m3"),  # micro sign
        ("50 μg/m^3", "concentration", 50.0, "ug/m3"),  # Greek mu
        ("50mcg/m3", "concentration", 50.0, "ug/m3"),
        ("0.05 mg / m3", "concentration", 0.05, "mg/m3"),
        ("100 PPM", "concentration", 100.0, "ppm"),
        ("20 ppb", "concentration", 20.0, "ppb"),
        ("0.1 fibers/cc", "concentration", 0.1, "f/cc"),
        ("20 mppcf", "concentration", 20.0, "mppcf"),
        ("0 ppm", "concentration", 0.0, "ppm"),
        ("20 min", "duration", 20.0, "min"),
        ("1.5 hours", "duration", 1.5, "h"),
        ("12 months", "interval", 12.0, "month"),
        ("1 year", "interval", 1.0, "year"),
        ("30 days", "interval", 30.0, "day"),
        ("-50 F", "temperature", -50.0, "F"),
        ("−10 °C", "temperature", -10.0, "C"),
        ("10 F", "temperature difference", 10.0, "F-difference"),
        ("115 lpm", "air flow", 115.0, "L/min"),
        ("19.5%", "percentage", 19.5, "%"),
        ("60 % RH", "relative humidity", 60.0, "% RH"),
        ("35 g", "mass", 35.0, "g"),
        ("-282 ft", "altitude", -282.0, "ft"),
        ("43 cm²", "area", 43.0, "cm2"),
        ("0.454 cc/g", "volume per mass", 0.454, "cm3/g"),
        ("0.44 g/mL", "density", 0.44, "g/cm3"),
        ("2216 psig", "pressure", 2216.0, "psi"),
    ],
)
def test_spellings(text: str, dimension: str, value: float, unit: str) -> None:
    quantity = parse_quantity(text, Dimension(dimension))
    assert (quantity.value, quantity.unit, quantity.text) == (value, unit, text)


@pytest.mark.parametrize(
    ("text", "dimension", "told"),
    [
        ("50", "concentration", "`50 ug/m3`"),
        ("50 ug/m", "concentration", "Did you mean `50 ug/m3`?"),
        ("50 ppn", "concentration", "Did you mean `50 ppm`?"),
        ("12 mnths", "interval", "Did you mean `12 months`?"),
        ("0.5 %", "concentration", "`5000 ppm` if percent by volume"),
        ("50 kg", "concentration", "does not measure a concentration"),
        ("50 months", "duration", "does not measure a duration"),
        ("-5 ppm", "concentration", "below zero"),
        ("-1 min", "duration", "below zero"),
        ("nan ppm", "concentration", "does not begin with a number"),
        ("inf ppm", "concentration", "does not begin with a number"),
        ("1e308 ppm", "concentration", "power of ten"),
        ("9" * 400 + " ppm", "concentration", "too many digits"),
        ("1,000 ppm", "concentration", "`1000 ppm`, or `1.000 ppm`"),
        ("1,000,000 ppm", "concentration", "Write `1000000 ppm`"),
        ("0,05 mg/m3", "concentration", "Write `0.05 mg/m3`"),
        ("1 000 ppm", "concentration", "Write `1000 ppm`"),
        (".5 ppm", "concentration", "Write `0.5 ppm`"),
        ("+5 ppm", "concentration", "Write `5 ppm`"),
        ("<0.05 mg/m3", "concentration", "lowest amount it can detect"),
        ("20-30 ppm", "concentration", "is a range"),
        ("20 to 30 ppm", "concentration", "`20 to 30 ppm`"),
        ("５ ppm", "concentration", "does not begin with a number"),
        ("", "concentration", "empty"),
        ("1 h 30 min", "duration", "`90 min`"),
        ("1:30", "duration", "not a decimal number"),
        ("1/2 h", "duration", "not a decimal number"),
        ("1.5 years", "interval", "whole number"),
        ("0 months", "interval", "whole number"),
        ("99999 months", "interval", "longer than a hundred years"),
        ("101 years", "interval", "longer than a hundred years"),
        ("36526 days", "interval", "longer than a hundred years"),
        ("-500 F", "temperature", "colder than anything"),
        ("68", "temperature", "`68 F` or `68 C`"),
        ("120 %", "percentage", "over 100 %"),
    ],
)
def test_refusals_say_what_to_type(text: str, dimension: str, told: str) -> None:
    with pytest.raises(ValueError) as refused:
        parse_quantity(text, Dimension(dimension))
    assert told in str(refused.value)


@published("NIST Special Publication 811 (2008), appendix B.8: foot, pound, ounce, cubic foot per minute, psi")
@pytest.mark.parametrize(
    ("value", "unit", "other", "expected"),
    [
        (1.0, "ft", "m", "0.3048"),
        (1.0, "lb", "kg", "0.45359237"),
        (1.0, "oz", "g", "28.34952"),
        (1.0, "cfm", "L/min", "28.31685"),
        (1.0, "psi", "bar", "0.06894757"),
    ],
)
def test_factors(value: float, unit: str, other: str, expected: str) -> None:
    assert in_unit(Quantity(value, unit, ""), other) == printed(expected)


@published("NIST Special Publication 811 (2008), appendix B.8: degree Fahrenheit, t/°C = (t/°F − 32)/1.8")
def test_temperatures_and_their_differences() -> None:
    assert in_unit(Quantity(212.0, "F", ""), "C") == 100.0
    assert in_unit(Quantity(-40.0, "C", ""), "F") == -40.0
    assert in_unit(Quantity(-50.0, "F", ""), "C") == printed("-45.56")
    assert in_unit(Quantity(9.0, "F-difference", ""), "C-difference") == 5.0


def test_the_same_amount_in_two_units_is_exactly_the_same() -> None:
    assert is_same_amount(Quantity(0.05, "mg/m3", ""), Quantity(50.0, "ug/m3", ""))
    assert is_same_amount(Quantity(0.3, "mg/m3", ""), Quantity(300.0, "ug/m3", ""))
    assert not is_same_amount(Quantity(0.05, "mg/m3", ""), Quantity(50.000001, "ug/m3", ""))
    assert is_same_amount(Quantity(1.0, "year", ""), Quantity(12.0, "month", ""))


@pytest.mark.parametrize(
    ("one", "other"), [("ppm", "mg/m3"), ("month", "day"), ("F", "F-difference"), ("f/cc", "mppcf")]
)
def test_units_of_different_kinds_never_meet(one: str, other: str) -> None:
    here, there = Quantity(1.0, one, ""), Quantity(1.0, other, "")
    assert not is_comparable(here, there)
    assert not is_same_amount(here, there)
    with pytest.raises(ValueError, match="cannot be turned into"):
        in_unit(here, other)


def test_the_step_between_ppm_and_mass_names_the_agent() -> None:
    with pytest.raises(ValueError, match="molecular weight"):
        in_unit(Quantity(1.0, "ppb", ""), "ug/m3")


@given(
    st.text(max_size=60) | st.from_regex(r"-?[0-9]{0,4}[.,:/ ]?[0-9]{0,4} ?[a-zµ%°]{0,4}/?[a-z0-9³]{0,3}"),
    st.sampled_from(Dimension),
)
def test_any_text_is_read_or_refused_in_a_sentence(text: str, dimension: Dimension) -> None:
    try:
        quantity = parse_quantity(text, dimension)
    except ValueError as refused:
        assert str(refused).endswith((".", "?"))
        return
    assert isfinite(quantity.value)
    again = parse_quantity(quantity.text, dimension)
    assert again == quantity
    assert unit_symbol(quantity.unit)


@given(st.integers(0, 10**9), st.integers(0, 4))
def test_there_and_back_changes_nothing(digits: int, places: int) -> None:
    written = Quantity(float(f"{digits}e-{places}"), "mg/m3", "")
    moved = Quantity(in_unit(written, "ug/m3"), "ug/m3", "")
    assert in_unit(moved, "mg/m3") == written.value
    assert is_same_amount(written, moved)
