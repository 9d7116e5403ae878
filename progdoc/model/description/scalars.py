"""The types of single values: text as typed in YAML to what the field means, or a sentence saying why not.

YAML's own guesses are never used; a value that has its type already passes. Each type also says how an
editor may see it: YAML 1.2 tells an editor that `yes` is text or a truth value and `8` a number, so the
schema lets both stand.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Annotated, Any, cast

from pydantic import AfterValidator, GetCoreSchemaHandler, PlainSerializer, PlainValidator, WithJsonSchema
from pydantic_core import CoreSchema
from pydantic_core.core_schema import no_info_plain_validator_function

from progdoc.core.paper_language import known_languages
from progdoc.core.said import said, said_agent, said_choice
from progdoc.model.description.quantities import Dimension, Quantity, parse_quantity
from progdoc.model.description.typed_days import as_date
from progdoc.model.description.typed_numbers import as_count, as_number
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

_AFFIRMED = {"yes": True, "true": True, "no": False, "false": False}
_SOUNDS_LIKE_YES = {"y", "yes", "true", "on", "1", "t"}
_SOUNDS_LIKE_NO = {"n", "no", "false", "off", "0", "f"}
_YES_OR_NO, _A_LANGUAGE = said("`yes` or `no`"), said("the code of a language such as `es`")


def as_yes_no(value: object) -> bool:
    """Return what a field that asks yes or no was answered."""
    if isinstance(value, bool):
        return value
    text = one_text(value, _YES_OR_NO)
    if text in _AFFIRMED:
        return _AFFIRMED[text]
    low = text.lower()
    meant = "yes" if low in _SOUNDS_LIKE_YES else "no" if low in _SOUNDS_LIKE_NO else ""
    raise ValueError(
        said(
            "%(shown)s stands where yes or no is asked. Write %(meant)s, in small letters.",
            shown=f"`{short_text(text)}`",
            meant=f"`{meant}`" if meant else _YES_OR_NO,
        )
    )


def as_language(value: object) -> str:
    """Return the code of a language that papers can be written in."""
    text = one_text(value, _A_LANGUAGE).lower()
    if text in known_languages():
        return text
    listed = ", ".join(f"`{code}`" for code in known_languages())
    raise ValueError(
        said(
            "%(shown)s is no language that papers can be written in. Write one of %(listed)s.",
            shown=f"`{short_text(text)}`",
            listed=listed,
        )
    )


def _quantity_reader(dimension: Dimension, example: str) -> Callable[[object], Quantity]:
    kind = said("a %(dimension)s such as %(example)s", dimension=said_choice(dimension), example=f"`{example}`")
    return partial(_quantity, dimension, kind)


def _quantity(dimension: Dimension, kind: str, value: object) -> Quantity:
    return value if isinstance(value, Quantity) else parse_quantity(one_text(value, kind), dimension)


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
