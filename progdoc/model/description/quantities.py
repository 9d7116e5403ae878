"""Numbers with a unit, as people write them: `50 ug/m3`, `100 ppm`, `20 min`, `68 F`.

Value and unit stay as written. Conversion is exact (fractions, so 0.05 mg/m3 is 50 ug/m3 to the last
digit) and only between units of one kind. Refused: a number without a unit, commas, ranges, powers of
ten, fractions, and any step between ppm and mg/m3, which needs the agent.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from fractions import Fraction
from functools import lru_cache

from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_choice, said_join, said_measure, said_plural
from progdoc.model.description.units import BY_NAME, NAMES, UNITS, Dimension, called, typed_unit, unit_called

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
    unit = unit_called(unit_text, dimension)
    if unit is None:
        raise ValueError(_unit_trouble(number, unit_text, written, dimension))
    if sum(character.isdigit() for character in number) > _MOST_DIGITS:
        raise ValueError(
            said(
                "%(shown)s has too many digits to be a measured %(dimension)s. Write fewer.",
                shown=f"`{_short(written)}`",
                dimension=said_choice(dimension),
            )
        )
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
    return BY_NAME[unit].symbol


def is_no_time(duration: Quantity) -> bool:
    """Whether a duration is less than a minute, which nobody times a walk or a stay to."""
    return in_unit(duration, "min") < 1


@lru_cache(maxsize=4096)  # the same few figures are held against one another again and again
def in_unit(quantity: Quantity, unit: str) -> float:
    """Return the number the same amount has in another unit of its kind.

    >>> in_unit(Quantity(0.05, "mg/m3", "0.05 mg/m3"), "ug/m3")
    50.0
    """
    here, there = BY_NAME[quantity.unit], BY_NAME[unit]
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
    return parse_quantity(text, next(d for d, names in NAMES.items() if quantity.unit in names))


def is_comparable(one: Quantity, other: Quantity) -> bool:
    """Say whether two quantities can be compared without knowing the agent."""
    return BY_NAME[one.unit].kind == BY_NAME[other.unit].kind


# Figures of a usual day; common practice, no source.
_LIKELY: dict[Dimension, tuple[str, ...]] = {
    Dimension.CONCENTRATION: ("0.05 mg/m3", "20 ppm"),
    Dimension.DURATION: ("4 h", "30 min"),
    Dimension.INTERVAL: ("12 months", "90 days"),
    Dimension.TEMPERATURE: ("70 F", "21 C"),
    Dimension.FLOW: ("115 L/min", "4 cfm"),
    Dimension.ALTITUDE: ("500 ft", "150 m"),
    Dimension.PRESSURE: ("3000 psi", "200 bar"),
}


def is_same_amount(one: Quantity, other: Quantity) -> bool:
    """Say whether two quantities are exactly the same amount, whatever unit each is written in.

    >>> is_same_amount(Quantity(0.05, "mg/m3", ""), Quantity(50.0, "ug/m3", ""))
    True
    """
    return is_comparable(one, other) and _amount(one) == _amount(other)


@lru_cache(maxsize=4096)
def _amount(quantity: Quantity) -> Fraction:
    unit = BY_NAME[quantity.unit]
    return (Fraction(repr(quantity.value)) + unit.shift) * unit.factor


def _examples(number: str, dimension: Dimension) -> str:
    """Return the number with the usual units: what to type."""
    return said_join([f"`{number} {typed_unit(name)}`" for name in NAMES[dimension][:3]], said(" or "))


def _likely(dimension: Dimension) -> str:
    """Return amounts that somebody may well mean, where no number was typed: what to type."""
    known = _LIKELY.get(dimension)
    if known is None:
        return _examples("20", dimension)
    return said_join([f"`{amount}`" for amount in known], said(" or "))


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:37] + "…"


def _shape_trouble(plain: str, written: str, dimension: Dimension) -> str:
    """Say why a text is not one plain number with a unit."""
    shown = f"`{_short(written)}`"
    first = re.match(r"[-+<>≤≥~≈= ]*([0-9]+(?:\.[0-9]+)?)", plain)
    some = first[1] if first and len(first[1]) <= _MOST_DIGITS else "20"
    if not plain:
        return said("An empty text stands here. Write for example %(examples)s.", examples=_likely(dimension))
    if _NUMBER.fullmatch(plain):
        return said("%(shown)s has no unit. Write %(examples)s.", shown=shown, examples=_examples(some, dimension))
    if re.match(r"-?[0-9]+(?:,[0-9]+)+", plain):
        return _comma_trouble(shown, plain)
    if re.match(r"-?\.[0-9]", plain):
        better = f"`{plain.replace('.', '0.', 1)}`"
        return said("%(shown)s has no digit before the point. Write %(better)s.", shown=shown, better=better)
    if not first:
        return said(
            "%(shown)s does not begin with a number. Write for example %(examples)s.",
            shown=shown,
            examples=_likely(dimension),
        )
    if plain.startswith("+"):
        better = f"`{plain[1:].strip()}`"
        return said("%(shown)s begins with a plus sign. Write %(better)s.", shown=shown, better=better)
    if not plain[0].isdigit() and plain[0] != "-":
        return said(
            "%(shown)s begins with a sign that no calculation can carry. Write the number alone; for a result "
            "below what the method can detect, write the lowest amount it can detect.",
            shown=shown,
        )
    if re.match(r"-?[0-9.]+e[-+]?[0-9]", plain, re.IGNORECASE):
        return said(
            "%(shown)s is written with a power of ten. Write the number out, like %(examples)s.",
            shown=shown,
            examples=_examples("1000", dimension),
        )
    if re.match(r"[0-9.]+ ?(?:-|–|to|…|\.\.)+ ?[0-9]", plain):
        return said("%(shown)s is a range. Write one number: the one that asks for more protection.", shown=shown)
    if re.match(r"[0-9]+ ?[:/] ?[0-9]", plain):
        return said(
            "%(shown)s is not a decimal number. Write for example %(examples)s.",
            shown=shown,
            examples=_examples("1.5", dimension),
        )
    if re.match(r"[0-9]{1,3}(?: [0-9]{3})+(?![0-9])", plain):
        better = f"`{re.sub('(?<=[0-9]) (?=[0-9])', '', plain)}`"
        return said("%(shown)s has a space in its number. Write %(better)s.", shown=shown, better=better)
    return said(
        "%(shown)s is not one number with a unit. Write for example %(examples)s.",
        shown=shown,
        examples=_examples(some, dimension),
    )


def _comma_trouble(shown: str, plain: str) -> str:
    number = plain.split(" ")[0].rstrip("%°abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ/") or plain
    rest = plain[len(number) :]
    without = f"`{number.replace(',', '')}{rest}`"
    point = f"`{number.replace(',', '.')}{rest}`" if number.count(",") == 1 and "." not in number else ""
    grouped = re.fullmatch(r"-?[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?", number)
    if grouped and point:
        return said(
            "The comma in %(shown)s can be read in two ways. Write %(without)s, or %(point)s if it is a decimal point.",
            shown=shown,
            without=without,
            point=point,
        )
    if grouped:
        return said("%(shown)s has commas in its number. Write %(without)s.", shown=shown, without=without)
    return said(
        "%(shown)s has a comma in its number. Write %(cure)s.",
        shown=shown,
        cure=point or said("it with a decimal point"),
    )


def _unit_trouble(number: str, unit: str, written: str, dimension: Dimension) -> str:
    """Say which unit was meant, or which ones there are."""
    shown, spelt = _short(written), called(unit)
    allowed = [BY_NAME[name] for name in NAMES[dimension]]
    listed = ", ".join(f"`{typed_unit(name)}`" for name in NAMES[dimension])
    if dimension is Dimension.CONCENTRATION and spelt in ("%", "percent", "pct"):
        share = float(number) * 10_000
        parts = f": `{share:.12g} ppm`" if len(number) < 10 and share >= 0 else ""
        return said(
            "%(shown)s gives a concentration in percent. Write it in ppm%(parts)s if percent by volume is meant.",
            shown=f"`{shown}`",
            parts=parts,
        )
    if re.match(r"[a-z%/]+ ?(?:and|,|\+)? ?[0-9]+ ?[a-z]", unit, re.IGNORECASE) and dimension is Dimension.DURATION:
        return said(
            "%(shown)s has two parts. Write one number in one unit, for example `90 min` or `1.5 h`.",
            shown=f"`{shown}`",
        )
    elsewhere = next((u for u in UNITS if u not in allowed and spelt in map(str.lower, u.spellings)), None)
    if elsewhere:
        return said(
            "%(shown)s: %(unit)s does not measure a %(dimension)s. Write a number in one of these units: %(listed)s.",
            shown=f"`{shown}`",
            unit=f"`{_short(unit)}`",
            dimension=said_choice(dimension),
            listed=listed,
        )
    spellings = {s.lower(): u.name for u in allowed for s in u.spellings}
    near = get_close_matches(spelt[:30], sorted(spellings), n=1, cutoff=0.6)
    guess = said(" Did you mean `%(near)s`?", near=f"{number} {typed_unit(spellings[near[0]])}") if near else ""
    return said(
        "%(unit)s in %(shown)s is no unit of %(dimension)s known here.%(guess)s The units are %(listed)s.",
        unit=f"`{_short(unit)}`",
        shown=f"`{shown}`",
        dimension=said_choice(dimension),
        guess=guess,
        listed=listed,
    )


def _range_trouble(quantity: Quantity, dimension: Dimension) -> str:
    shown = f"`{_short(quantity.text)}`"
    if quantity.value < 0 and dimension not in _BELOW_ZERO:
        return said(
            "%(shown)s is below zero. A %(dimension)s is 0 or more: write it without the minus sign if that was a"
            " slip.",
            shown=shown,
            dimension=said_choice(dimension),
        )
    if dimension is Dimension.TEMPERATURE and _amount(quantity) < 0:
        return said("%(shown)s is colder than anything can be. Check the number and the unit.", shown=shown)
    if dimension in (Dimension.PERCENT, Dimension.HUMIDITY) and quantity.value > 100:
        return said("%(shown)s is over 100 %%. Write a number from 0 to 100 with `%%`.", shown=shown)
    if dimension is Dimension.INTERVAL and (quantity.value != int(quantity.value) or quantity.value < 1):
        return said(
            "%(shown)s is no whole number of %(unit)s. Write for example `6 months` or `14 days`.",
            shown=shown,
            unit=said_plural(quantity.unit, f"{quantity.unit}s", 2),
        )
    if dimension is Dimension.INTERVAL and quantity.value > _LONGEST_INTERVAL[quantity.unit]:
        return said("%(shown)s is longer than a hundred years. Check the number and the unit.", shown=shown)
    return ""
