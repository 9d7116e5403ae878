"""Numbers with a unit, as people write them: `50 ug/m3`, `100 ppm`, `20 min`, `68 F`.

Value and unit stay as written. Conversion is exact (fractions, so 0.05 mg/m3 is 50 ug/m3 to the last
digit) and only between units of one kind. Refused: a number without a unit, commas, ranges, powers of
ten, fractions, and any step between ppm and mg/m3, which needs the agent.

Factors: NIST Special Publication 811 (2008), appendix B.8 (foot, pound, ounce, psi: exact by definition).
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache

from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said_measure

__all__ = [
    "Dimension",
    "Quantity",
    "alike",
    "in_unit",
    "is_comparable",
    "is_no_time",
    "is_same_amount",
    "parse_quantity",
    "unit_symbol",
]


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
class Quantity:
    """A number in a unit, and the text it was written as."""

    value: float
    unit: str  # the canonical spelling, always ASCII: "ug/m3"
    text: str

    def __str__(self) -> str:
        return self.text

    @property
    def printed(self) -> str:
        """The quantity as every page shows it: the number as written, the unit's own sign, `1 month` without an s.

        >>> parse_quantity("50 ug/m3", Dimension.CONCENTRATION).printed
        '50 µg/m³'
        >>> parse_quantity("1 months", Dimension.INTERVAL).printed
        '1 month'
        """
        number = _NUMBER.match(self.text.translate(_LOOKALIKES))
        shown = (number[0] if number else f"{self.value:g}").replace("-", "−")
        symbol = unit_symbol(self.unit)
        return said_measure(f"{shown} {self.unit if self.value == 1.0 and symbol == f'{self.unit}s' else symbol}")


@dataclass(frozen=True, slots=True)
class _Unit:
    name: str
    symbol: str  # as printed
    kind: str  # units of one kind convert into each other
    factor: Fraction  # amount in the kind's base unit = (value + shift) × factor
    spellings: tuple[str, ...] = ()
    shift: Fraction = Fraction(0)


def _unit(name: str, symbol: str, kind: str, factor: str, spellings: str = "", shift: str = "0") -> _Unit:
    return _Unit(name, symbol, kind, Fraction(factor), (name, *spellings.split("|")), Fraction(shift))


# Spellings are compared in lower case, without spaces, with µ as u and raised digits as plain ones.
_UNITS = [
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
_BY_NAME = {unit.name: unit for unit in _UNITS}

_NAMES: dict[Dimension, tuple[str, ...]] = {
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
_BELOW_ZERO = (Dimension.TEMPERATURE, Dimension.TEMPERATURE_DIFFERENCE, Dimension.ALTITUDE)
_LONGEST_INTERVAL = {"month": 1200, "year": 100, "week": 5217, "day": 36525}  # a hundred years: no calendar ends before
_LOOKALIKES = str.maketrans({"µ": "u", "μ": "u", "³": "3", "²": "2", "º": "°", "˚": "°", "−": "-", "\u00a0": " "})

_WRITTEN = re.compile(r"(?P<number>-?[0-9]+(?:\.[0-9]+)?) ?(?P<unit>(?!e[-+]?[0-9])[^0-9\s.,:/+–…-].*)", re.IGNORECASE)
_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")
_MOST_DIGITS = 12


def parse_quantity(text: str, dimension: Dimension) -> Quantity:
    """Return the quantity that a text names, or say in a sentence what to type instead.

    >>> parse_quantity("50 µg/m³", Dimension.CONCENTRATION)
    Quantity(value=50.0, unit='ug/m3', text='50 µg/m³')
    """
    written = " ".join(text.split())
    plain = written.translate(_LOOKALIKES)
    match = _WRITTEN.fullmatch(plain)
    if not match:
        raise ValueError(_shape_trouble(plain, written, dimension))
    number, unit_text = match["number"], match["unit"]
    unit = _unit_called(unit_text, dimension)
    if unit is None:
        raise ValueError(_unit_trouble(number, unit_text, written, dimension))
    if sum(character.isdigit() for character in number) > _MOST_DIGITS:
        raise ValueError(f"`{_short(written)}` has too many digits to be a measured {dimension}. Write fewer.")
    quantity = Quantity(float(number) + 0.0, unit.name, written)  # + 0.0: no minus zero
    trouble = _range_trouble(quantity, dimension)
    if trouble:
        raise ValueError(trouble)
    return quantity


def unit_symbol(unit: str) -> str:
    """Return a unit as it is printed.

    >>> unit_symbol("ug/m3"), unit_symbol("F")
    ('µg/m³', '°F')
    """
    return _BY_NAME[unit].symbol


def is_no_time(duration: Quantity) -> bool:
    """Whether a duration is less than a minute, which nobody times a walk or a stay to."""
    return in_unit(duration, "min") < 1


@lru_cache(maxsize=4096)  # the same few figures are held against one another again and again
def in_unit(quantity: Quantity, unit: str) -> float:
    """Return the number the same amount has in another unit of its kind.

    >>> in_unit(Quantity(0.05, "mg/m3", "0.05 mg/m3"), "ug/m3")
    50.0
    """
    here, there = _BY_NAME[quantity.unit], _BY_NAME[unit]
    if here.kind != there.kind:
        needs_agent = {here.kind, there.kind} == {"mass in air", "parts in air"}
        reason = "that step needs the agent's molecular weight" if needs_agent else "they measure different things"
        raise ValueError(f"{here.symbol} cannot be turned into {there.symbol}: {reason}.")
    return float(_amount(quantity) / there.factor - there.shift)


def alike(text: str, quantity: Quantity) -> Quantity:
    """Return the quantity a text names, read as the same thing as another quantity.

    >>> alike("1 month", Quantity(12.0, "month", "12 months")).value
    1.0
    """
    return parse_quantity(text, next(d for d, names in _NAMES.items() if quantity.unit in names))


def is_comparable(one: Quantity, other: Quantity) -> bool:
    """Say whether two quantities can be compared without knowing the agent."""
    return _BY_NAME[one.unit].kind == _BY_NAME[other.unit].kind


def is_same_amount(one: Quantity, other: Quantity) -> bool:
    """Say whether two quantities are exactly the same amount, whatever unit each is written in.

    >>> is_same_amount(Quantity(0.05, "mg/m3", ""), Quantity(50.0, "ug/m3", ""))
    True
    """
    return is_comparable(one, other) and _amount(one) == _amount(other)


@lru_cache(maxsize=4096)
def _amount(quantity: Quantity) -> Fraction:
    unit = _BY_NAME[quantity.unit]
    return (Fraction(repr(quantity.value)) + unit.shift) * unit.factor


def _called(text: str) -> str:
    return re.sub(r"\s|\.$", "", text.lower()).replace("per", "/").replace("/cent", "percent")


def _unit_called(text: str, dimension: Dimension) -> _Unit | None:
    called = _called(text)
    for name in _NAMES[dimension]:
        unit = _BY_NAME[name]
        if called in (spelling.lower().replace(" ", "") for spelling in unit.spellings):
            return unit
    return None


def _typed(name: str) -> str:
    """Return a unit as one types it after a number: `12 months`, `10 F`."""
    unit = _BY_NAME[name]
    return unit.symbol if unit.kind in ("clock time", "calendar months") else name.removesuffix("-difference")


def _examples(number: str, dimension: Dimension) -> str:
    """Return the number with the usual units: what to type."""
    return " or ".join(f"`{number} {_typed(name)}`" for name in _NAMES[dimension][:3])


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:37] + "…"


def _shape_trouble(plain: str, written: str, dimension: Dimension) -> str:
    """Say why a text is not one plain number with a unit."""
    shown = f"`{_short(written)}`"
    first = re.match(r"[-+<>≤≥~≈= ]*([0-9]+(?:\.[0-9]+)?)", plain)
    some = first[1] if first and len(first[1]) <= _MOST_DIGITS else "20"
    if not plain:
        return f"An empty text stands here. Write for example {_examples('20', dimension)}."
    if _NUMBER.fullmatch(plain):
        return f"{shown} has no unit. Write {_examples(some, dimension)}."
    if re.match(r"-?[0-9]+(?:,[0-9]+)+", plain):
        return _comma_trouble(shown, plain)
    if re.match(r"-?\.[0-9]", plain):
        return f"{shown} has no digit before the point. Write `{plain.replace('.', '0.', 1)}`."
    if not first:
        return f"{shown} does not begin with a number. Write for example {_examples('20', dimension)}."
    if plain.startswith("+"):
        return f"{shown} begins with a plus sign. Write `{plain[1:].strip()}`."
    if not plain[0].isdigit() and plain[0] != "-":
        return (
            f"{shown} begins with a sign that no calculation can carry. Write the number alone; for a result "
            "below what the method can detect, write the lowest amount it can detect."
        )
    if re.match(r"-?[0-9.]+e[-+]?[0-9]", plain, re.IGNORECASE):
        return f"{shown} is written with a power of ten. Write the number out, like {_examples('1000', dimension)}."
    if re.match(r"[0-9.]+ ?(?:-|–|to|…|\.\.)+ ?[0-9]", plain):
        return f"{shown} is a range. Write one number: the one that asks for more protection."
    if re.match(r"[0-9]+ ?[:/] ?[0-9]", plain):
        return f"{shown} is not a decimal number. Write for example {_examples('1.5', dimension)}."
    if re.match(r"[0-9]{1,3}(?: [0-9]{3})+(?![0-9])", plain):
        return f"{shown} has a space in its number. Write `{re.sub('(?<=[0-9]) (?=[0-9])', '', plain)}`."
    return f"{shown} is not one number with a unit. Write for example {_examples(some, dimension)}."


def _comma_trouble(shown: str, plain: str) -> str:
    number = plain.split(" ")[0].rstrip("%°abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ/") or plain
    rest = plain[len(number) :]
    without = f"`{number.replace(',', '')}{rest}`"
    point = f"`{number.replace(',', '.')}{rest}`" if number.count(",") == 1 and "." not in number else ""
    grouped = re.fullmatch(r"-?[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?", number)
    if grouped and point:
        return f"The comma in {shown} can be read in two ways. Write {without}, or {point} if it is a decimal point."
    if grouped:
        return f"{shown} has commas in its number. Write {without}."
    return f"{shown} has a comma in its number. Write {point or 'it with a decimal point'}."


def _unit_trouble(number: str, unit: str, written: str, dimension: Dimension) -> str:
    """Say which unit was meant, or which ones there are."""
    shown, called = _short(written), _called(unit)
    allowed = [_BY_NAME[name] for name in _NAMES[dimension]]
    listed = ", ".join(f"`{_typed(name)}`" for name in _NAMES[dimension])
    if dimension is Dimension.CONCENTRATION and called in ("%", "percent", "pct"):
        share = float(number) * 10_000
        parts = f": `{share:.12g} ppm`" if len(number) < 10 and share >= 0 else ""
        return f"`{shown}` gives a concentration in percent. Write it in ppm{parts} if percent by volume is meant."
    if re.match(r"[a-z%/]+ ?(?:and|,|\+)? ?[0-9]+ ?[a-z]", unit, re.IGNORECASE) and dimension is Dimension.DURATION:
        return f"`{shown}` has two parts. Write one number in one unit, for example `90 min` or `1.5 h`."
    elsewhere = next((u for u in _UNITS if u not in allowed and called in map(str.lower, u.spellings)), None)
    if elsewhere:
        return (
            f"`{shown}`: `{_short(unit)}` does not measure a {dimension}. "
            f"Write a number in one of these units: {listed}."
        )
    spellings = {s.lower(): u.name for u in allowed for s in u.spellings}
    near = get_close_matches(called[:30], sorted(spellings), n=1, cutoff=0.6)
    guess = f" Did you mean `{number} {_typed(spellings[near[0]])}`?" if near else ""
    return f"`{_short(unit)}` in `{shown}` is no unit of {dimension} known here.{guess} The units are {listed}."


def _range_trouble(quantity: Quantity, dimension: Dimension) -> str:
    shown = f"`{_short(quantity.text)}`"
    if quantity.value < 0 and dimension not in _BELOW_ZERO:
        return f"{shown} is below zero. A {dimension} is 0 or more: write it without the minus sign if that was a slip."
    if dimension is Dimension.TEMPERATURE and _amount(quantity) < 0:
        return f"{shown} is colder than anything can be. Check the number and the unit."
    if dimension in (Dimension.PERCENT, Dimension.HUMIDITY) and quantity.value > 100:
        return f"{shown} is over 100 %. Write a number from 0 to 100 with `%`."
    if dimension is Dimension.INTERVAL and (quantity.value != int(quantity.value) or quantity.value < 1):
        return f"{shown} is no whole number of {unit_symbol(quantity.unit)}. Write for example `6 months` or `14 days`."
    if dimension is Dimension.INTERVAL and quantity.value > _LONGEST_INTERVAL[quantity.unit]:
        return f"{shown} is longer than a hundred years. Check the number and the unit."
    return ""
