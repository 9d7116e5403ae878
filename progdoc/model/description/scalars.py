"""The types of single values: text as typed in YAML to what the field means, or a sentence saying why not.

YAML's own guesses are never used; a value that has its type already passes. Each type also says how an
editor may see it: YAML 1.2 tells an editor that `yes` is text or a truth value and `8` a number, so the
schema lets both stand.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import Annotated, Any, cast

from pydantic import AfterValidator, GetCoreSchemaHandler, PlainSerializer, PlainValidator, WithJsonSchema
from pydantic_core import CoreSchema
from pydantic_core.core_schema import no_info_plain_validator_function

from progdoc.core.numbers import long_date
from progdoc.core.paper_language import known_languages
from progdoc.core.said import said_agent
from progdoc.model.description.quantities import Dimension, Quantity, parse_quantity
from progdoc.model.description.typed_text import ID, LONGEST_ID, as_id, as_text, one_text, short_text

__all__ = [
    "PROTOCOLS",
    "AgentName",
    "Altitude",
    "Area",
    "Concentration",
    "Count",
    "Density",
    "Duration",
    "Flow",
    "Humidity",
    "Id",
    "Interval",
    "IsoDate",
    "LanguageCode",
    "Length",
    "Mass",
    "Number",
    "Percent",
    "Pressure",
    "ProtocolName",
    "Temperature",
    "TemperatureDifference",
    "Text",
    "Volume",
    "VolumePerMass",
    "YesNo",
    "as_count",
    "as_date",
    "as_number",
    "as_yes_no",
]

_EARLIEST, _LATEST = 1950, 2100
_AFFIRMED = {"yes": True, "true": True, "no": False, "false": False}
_SOUNDS_LIKE_YES = {"y", "yes", "true", "on", "1", "t"}
_SOUNDS_LIKE_NO = {"n", "no", "false", "off", "0", "f"}


def as_yes_no(value: object) -> bool:
    """Return what a field that asks yes or no was answered."""
    if isinstance(value, bool):
        return value
    text = one_text(value, "`yes` or `no`")
    if text in _AFFIRMED:
        return _AFFIRMED[text]
    low = text.lower()
    meant = "yes" if low in _SOUNDS_LIKE_YES else "no" if low in _SOUNDS_LIKE_NO else ""
    cure = f"Write `{meant}`, in small letters." if meant else "Write `yes` or `no`, in small letters."
    raise ValueError(f"`{short_text(text)}` stands where yes or no is asked. {cure}")


def as_language(value: object) -> str:
    """Return the code of a language that papers can be written in."""
    text = one_text(value, "the code of a language such as `es`").lower()
    if text in known_languages():
        return text
    listed = ", ".join(f"`{code}`" for code in known_languages())
    raise ValueError(f"`{short_text(text)}` is no language that papers can be written in. Write one of {listed}.")


def as_count(value: object) -> int:
    """Return a whole number that was written as plain digits."""
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)
    text = one_text(value, "a whole number such as `8`")
    if re.fullmatch(r"0|[1-9][0-9]{0,8}", text):
        return int(text)
    raise ValueError(f"{_number_trouble(text, whole=True)}")


def as_number(value: object) -> float:
    """Return a number, 0 or more, that was written as plain digits with at most one decimal point."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        value = str(value)
    text = one_text(value, "a number such as `0.5`")
    if re.fullmatch(r"(?:0|[1-9][0-9]{0,11})(?:\.[0-9]{1,12})?", text):
        return float(text)
    raise ValueError(f"{_number_trouble(text, whole=False)}")


def _number_trouble(text: str, whole: bool) -> str:
    """Say why a text is no plain number, and what to type."""
    shown, example = f"`{short_text(text)}`", "`8`" if whole else "`8` or `0.5`"
    kind = "whole number" if whole else "number"
    if not text:
        return f"An empty text stands here. Write a {kind} such as {example}."
    if re.fullmatch(r"0[0-9]+(?:\.[0-9]+)?", text):
        better = re.sub("^0+(?=[0-9])", "", text)
        return f"{shown} begins with a 0, which some programs read as another number. Write `{better}`."
    if re.fullmatch(r"[0-9]+(?::[0-9]+)+", text):
        return f"{shown} looks like a time of day or a ratio. Write one {kind} such as {example}."
    if re.fullmatch(r"[0-9]+(?:[_' ][0-9]+)+", text):
        return f"{shown} has a sign between its digits. Write `{re.sub(r'[^0-9]', '', text)}`."
    if "," in text and re.fullmatch(r"[0-9,.]+", text):
        cure = "digits alone" if whole else "digits with a decimal point"
        return f"{shown} has a comma, which can be read in two ways. Write {cure}."
    if re.fullmatch(r"[-+]?[0-9.]+[eE][-+]?[0-9]+", text):
        return f"{shown} is written with a power of ten. Write the number out in digits."
    if re.fullmatch(r"[0-9]+\.0+", text) and whole:
        return f"{shown} has a decimal point where a whole number is asked. Write `{text.partition('.')[0]}`."
    if re.fullmatch(r"\.[0-9]+", text) and not whole:
        return f"{shown} has no digit before the point. Write `0{text}`."
    if re.fullmatch(r"-[0-9.]+", text):
        return f"{shown} is below zero. Write a {kind}, 0 or more."
    if re.fullmatch(r"\+[0-9.]+", text):
        return f"{shown} begins with a plus sign. Write `{text[1:]}`."
    if re.fullmatch(r"0[xob][0-9a-fA-F]+", text):
        return f"{shown} is a number of computers. Write it in ordinary digits, such as {example}."
    if re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", text):
        if whole and "." in text:
            return f"{shown} is no whole number. Write a whole number such as {example}."
        return f"{shown} has more digits than such a number can have. Check it."
    return f"{shown} is no {kind}. Write digits alone, such as {example}."


def as_date(value: object) -> date:
    """Return a day written as year, month and day.

    >>> as_date("2026-03-04")
    datetime.date(2026, 3, 4)
    """
    if isinstance(value, date):
        value = value.isoformat()
    text = one_text(value, "a date such as `2026-03-04`")
    match = re.fullmatch(r"([0-9]{4})-([0-9]{2})-([0-9]{2})", text)
    if not match:
        raise ValueError(_date_trouble(text))
    year, month, day = (int(part) for part in match.groups())
    written = _day(year, month, day)
    if written is None:
        raise ValueError(f"`{text}` is not a day of the calendar. Check month and day: year-month-day, `2026-03-04`.")
    if not _EARLIEST <= year <= _LATEST:
        raise ValueError(f"The year of `{text}` is not between {_EARLIEST} and {_LATEST}. Check it for a slip.")
    return written


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _date_trouble(text: str) -> str:
    """Say what to type for a date in another form; offer both readings where there are two."""
    shown = f"`{short_text(text)}`"
    slashed = re.fullmatch(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-]([0-9]{4}|[0-9]{2})", text)
    if slashed:
        one, two, year = (int(part) for part in slashed.groups())
        year += 2000 if year < 100 else 0
        readings = sorted({day for day in (_day(year, one, two), _day(year, two, one)) if day})
        if len(readings) == 2:
            offers = " or ".join(f"`{day.isoformat()}` for {long_date(day)}" for day in readings)
            return f"{shown} can be read as two different days. Write {offers}."
        if readings:
            return f"{shown} is not written year first. Write `{readings[0].isoformat()}` for {long_date(readings[0])}."
        return f"{shown} is not a day of the calendar. Write year-month-day, for example `2026-03-04`."
    year_first = re.fullmatch(r"([0-9]{4})[-/. ]?([0-9]{1,2})[-/. ]?([0-9]{1,2})(?:[T ].*)?", text)
    day_read = _day(*(int(part) for part in year_first.groups())) if year_first else None
    if day_read:
        return f"{shown} is not written year-month-day with hyphens. Write `{day_read.isoformat()}`."
    if re.fullmatch(r"[0-9]{4}(?:-[0-9]{1,2})?", text):
        return f"{shown} names no day. Write year, month and day, for example `2026-03-04`."
    return f"{shown} is no date. Write year-month-day, for example `2026-03-04` for {long_date(date(2026, 3, 4))}."


def _quantity_reader(dimension: Dimension, example: str) -> Callable[[object], Quantity]:
    def read(value: object) -> Quantity:
        if isinstance(value, Quantity):
            return value
        return parse_quantity(one_text(value, f"a {dimension} such as `{example}`"), dimension)

    return read


class Reader(PlainValidator):
    """Reads a value of a field; pydantic would work out, three times a field, how else its type could be read."""

    def __get_pydantic_core_schema__(self, source_type: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return no_info_plain_validator_function(cast(Callable[[Any], Any], self.func))


def _schema(kind: str | list[str], examples: list[Any], **more: Any) -> WithJsonSchema:
    return WithJsonSchema({"type": kind, "examples": examples, **more})


def _quantity_schema(*examples: str) -> WithJsonSchema:
    return _schema("string", list(examples), pattern=r"^\s*-?[0-9]+(\.[0-9]+)?\s*[^0-9\s.,].*$")


_as_written = PlainSerializer(lambda quantity: quantity.text, return_type=str, when_used="json")

Id = Annotated[
    str,
    Reader(as_id),
    _schema(["string", "integer"], ["half-p100"], pattern=f"^{ID.pattern}$", maxLength=LONGEST_ID, minimum=0),
]
Text = Annotated[
    str,
    Reader(as_text),
    _schema(["string", "number", "boolean"], ["Scraping window sashes"], minLength=1, pattern=r"\S"),
]
AgentName = Annotated[Text, AfterValidator(said_agent)]  # its name or CAS number; said in the language of a paper
LanguageCode = Annotated[str, Reader(as_language), _schema(["string"], ["es"], pattern="^[A-Za-z]{2}$")]
# The names of Appendix A's protocols, for editors to offer; whether a name is one of them is left to the rules.
PROTOCOLS = (
    "isoamyl-acetate",
    "saccharin",
    "denatonium",
    "irritant-smoke",
    "generated-aerosol",
    "ambient-cnc",
    "ambient-cnc-short-elastomeric",
    "ambient-cnc-short-filtering",
    "controlled-negative-pressure",
    "controlled-negative-pressure-redon",
)
ProtocolName = Annotated[
    str,
    Reader(as_text),
    _schema(
        ["string", "number", "boolean"],
        list(PROTOCOLS),
        minLength=1,
        anyOf=[{"enum": list(PROTOCOLS)}, {"pattern": r"\S"}],
    ),
]
YesNo = Annotated[
    bool,
    Reader(as_yes_no),
    WithJsonSchema({"enum": [True, False, "yes", "no", "true", "false"], "examples": ["yes", "no"]}),
]
Count = Annotated[
    int,
    Reader(as_count),
    _schema(["integer", "string"], [8], minimum=0, maximum=999_999_999, pattern="^(0|[1-9][0-9]{0,8})$"),
]
Number = Annotated[
    float,
    Reader(as_number),
    _schema(["number", "string"], [0.5, 8], minimum=0, pattern=r"^(0|[1-9][0-9]{0,11})(\.[0-9]{1,12})?$"),
]
IsoDate = Annotated[
    date,
    Reader(as_date),
    PlainSerializer(date.isoformat, return_type=str, when_used="json"),
    _schema("string", ["2026-03-04"], format="date", pattern="^[0-9]{4}-[0-9]{2}-[0-9]{2}$"),
]

Concentration = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.CONCENTRATION, "50 ug/m3")),
    _as_written,
    _quantity_schema("50 ug/m3", "0.05 mg/m3", "100 ppm", "0.1 f/cc"),
]
Duration = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.DURATION, "20 min")),
    _as_written,
    _quantity_schema("20 min", "8 h"),
]
Interval = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.INTERVAL, "12 months")),
    _as_written,
    _quantity_schema("12 months", "1 year", "30 days"),
]
Temperature = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.TEMPERATURE, "68 F")),
    _as_written,
    _quantity_schema("68 F", "20 C"),
]
TemperatureDifference = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.TEMPERATURE_DIFFERENCE, "10 F")),
    _as_written,
    _quantity_schema("10 F", "5.6 C"),
]
Flow = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.FLOW, "115 L/min")),
    _as_written,
    _quantity_schema("115 L/min", "6 cfm"),
]
Percent = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.PERCENT, "19.5 %")),
    _as_written,
    _quantity_schema("19.5 %"),
]
Humidity = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.HUMIDITY, "60 %")),
    _as_written,
    _quantity_schema("60 %"),
]
Mass = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.MASS, "35 g")),
    _as_written,
    _quantity_schema("35 g", "1.5 lb"),
]
Length = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.LENGTH, "6 ft")),
    _as_written,
    _quantity_schema("6 ft", "2 m"),
]
Altitude = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.ALTITUDE, "5280 ft")),
    _as_written,
    _quantity_schema("5280 ft", "1600 m"),
]
Volume = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.VOLUME, "12000 ft3")),
    _as_written,
    _quantity_schema("12000 ft3", "340 m3"),
]
Area = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.AREA, "43 cm2")),
    _as_written,
    _quantity_schema("43 cm2"),
]
VolumePerMass = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.VOLUME_PER_MASS, "0.45 cm3/g")),
    _as_written,
    _quantity_schema("0.45 cm3/g"),
]
Density = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.DENSITY, "0.44 g/cm3")),
    _as_written,
    _quantity_schema("0.44 g/cm3"),
]
Pressure = Annotated[
    Quantity,
    Reader(_quantity_reader(Dimension.PRESSURE, "2216 psi")),
    _as_written,
    _quantity_schema("2216 psi", "300 bar"),
]
