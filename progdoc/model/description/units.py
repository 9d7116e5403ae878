"""The units that quantities are written in: what each measures, how it may be spelt, how much it is.

Factors: NIST Special Publication 811 (2008), appendix B.8 (foot, pound, ounce, psi: exact by definition).
"""

from __future__ import annotations

import re
from enum import StrEnum
from fractions import Fraction

from progdoc.core.late_dataclass import dataclass

__all__ = ["BY_NAME", "NAMES", "UNITS", "Dimension", "Unit", "called", "typed_unit", "unit_called"]


class Dimension(StrEnum):
    """What a quantity measures, in the words of the messages."""

    CONCENTRATION = "concentration"
    DURATION = "duration"
    INTERVAL = "interval"  # calendar time between two dates: a month is not a number of days
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature difference"
    FLOW = "air flow"
    PERCENT = "percentage"
    HUMIDITY = "relative humidity"
    MASS = "mass"
    LENGTH = "length"
    ALTITUDE = "altitude"
    AREA = "area"
    VOLUME = "volume"
    VOLUME_PER_MASS = "volume per mass"
    DENSITY = "density"
    PRESSURE = "pressure"


@dataclass(frozen=True, slots=True)
class Unit:
    name: str
    symbol: str  # as printed
    kind: str  # units of one kind convert into each other
    factor: Fraction  # amount in the kind's base unit = (value + shift) × factor
    spellings: tuple[str, ...] = ()
    shift: Fraction = Fraction(0)


def _unit(name: str, symbol: str, kind: str, factor: str, spellings: str = "", shift: str = "0") -> Unit:
    return Unit(name, symbol, kind, Fraction(factor), (name, *spellings.split("|")), Fraction(shift))


# Spellings are compared in lower case, without spaces, with µ as u and raised digits as plain ones.
UNITS = [
    _unit("mg/m3", "mg/m³", "mass in air", "1", "mg/cum|mg/m^3|mgm3|mg/cubicmeter|mg/cubicmetre"),
    _unit("ug/m3", "µg/m³", "mass in air", "1/1000", "mcg/m3|ug/cum|ug/m^3|ugm3|ug/cubicmeter|ug/cubicmetre"),
    _unit("ppm", "ppm", "parts in air", "1", "ppmv|ppm(v)"),
    _unit("ppb", "ppb", "parts in air", "1/1000", "ppbv|ppb(v)"),
    _unit("f/cc", "f/cc", "fibres in air", "1", "f/cm3|fibers/cc|fibres/cc|f/ml|fiber/cc|fibre/cc|fibers/cm3"),
    _unit("mppcf", "mppcf", "particles in air", "1"),
    _unit("s", "s", "clock time", "1", "sec|secs|second|seconds"),
    _unit("min", "min", "clock time", "60", "mins|minute|minutes"),
    _unit("h", "h", "clock time", "3600", "hr|hrs|hour|hours"),
    _unit("day", "days", "clock time", "86400", "days|d"),
    _unit("week", "weeks", "clock time", "604800", "weeks|wk|wks"),
    _unit("month", "months", "calendar months", "1", "months|mo"),
    _unit("year", "years", "calendar months", "12", "years|yr|yrs"),
    _unit("C", "°C", "temperature", "1", "°c|degc|celsius|degreesc", shift="273.15"),
    _unit("F", "°F", "temperature", "5/9", "°f|degf|fahrenheit|degreesf", shift="459.67"),
    _unit("C-difference", "°C", "temperature difference", "1", "c|°c|degc|celsius|degreesc"),
    _unit("F-difference", "°F", "temperature difference", "5/9", "f|°f|degf|fahrenheit|degreesf"),
    _unit("L/min", "L/min", "flow", "1", "lpm|l/minute|liters/min|litres/min|liter/min|litre/min"),
    _unit("cfm", "cfm", "flow", "28.316846592", "ft3/min|cuft/min|scfm"),
    _unit("%", "%", "share", "1", "percent|pct"),
    _unit("% RH", "% RH", "humidity", "1", "%rh|%|percent|percentrh|pct"),
    _unit("mg", "mg", "mass", "1/1000"),
    _unit("g", "g", "mass", "1", "gram|grams"),
    _unit("kg", "kg", "mass", "1000", "kilogram|kilograms"),
    _unit("oz", "oz", "mass", "28.349523125", "ounce|ounces"),
    _unit("lb", "lb", "mass", "453.59237", "lbs|pound|pounds"),
    _unit("m", "m", "length", "1", "meter|meters|metre|metres"),
    _unit("ft", "ft", "length", "0.3048", "feet|foot"),
    _unit("ft3", "ft³", "volume", "0.028316846592", "ft^3|cuft|cubicfeet|cubicfoot"),
    _unit("m3", "m³", "volume", "1", "m^3|cum|cubicmeters|cubicmetres|cubicmeter|cubicmetre"),
    _unit("cm2", "cm²", "area", "1", "cm^2|sqcm"),
    _unit("cm3/g", "cm³/g", "volume per mass", "1", "cc/g|ml/g|cm^3/g"),
    _unit("g/cm3", "g/cm³", "density", "1", "g/cc|g/ml|g/cm^3"),
    _unit("bar", "bar", "pressure", "100000", "bars"),
    _unit("psi", "psi", "pressure", "6894.757293168361", "psig|lb/in2|lbf/in2"),
]
BY_NAME = {unit.name: unit for unit in UNITS}

NAMES: dict[Dimension, tuple[str, ...]] = {
    Dimension.CONCENTRATION: ("ug/m3", "mg/m3", "ppm", "ppb", "f/cc", "mppcf"),
    Dimension.DURATION: ("min", "h", "s", "day", "week"),
    Dimension.INTERVAL: ("month", "year", "week", "day"),
    Dimension.TEMPERATURE: ("F", "C"),
    Dimension.TEMPERATURE_DIFFERENCE: ("F-difference", "C-difference"),
    Dimension.FLOW: ("L/min", "cfm"),
    Dimension.PERCENT: ("%",),
    Dimension.HUMIDITY: ("% RH",),
    Dimension.MASS: ("g", "mg", "kg", "lb", "oz"),
    Dimension.LENGTH: ("ft", "m"),
    Dimension.ALTITUDE: ("ft", "m"),
    Dimension.AREA: ("cm2",),
    Dimension.VOLUME: ("ft3", "m3"),
    Dimension.VOLUME_PER_MASS: ("cm3/g",),
    Dimension.DENSITY: ("g/cm3",),
    Dimension.PRESSURE: ("psi", "bar"),
}


def called(text: str) -> str:
    """Return a unit as spellings are compared."""
    return re.sub(r"\s|\.$", "", text.lower()).replace("per", "/").replace("/cent", "percent")


def unit_called(text: str, dimension: Dimension) -> Unit | None:
    """Return the unit of a dimension that a text names, if any."""
    spelt = called(text)
    for name in NAMES[dimension]:
        unit = BY_NAME[name]
        if spelt in (spelling.lower().replace(" ", "") for spelling in unit.spellings):
            return unit
    return None


def typed_unit(name: str) -> str:
    """Return a unit as one types it after a number: `12 months`, `10 F`."""
    unit = BY_NAME[name]
    return unit.symbol if unit.kind in ("clock time", "calendar months") else name.removesuffix("-difference")
