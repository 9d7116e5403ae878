"""Paragraphs of 29 CFR 1910.134 that a firm can adopt in one line, because it does exactly what stands there.

Which of their duties need no fact of the site, and so are stated by adopting, the catalogue says; who, where, when
and how stay to be said.
"""

from __future__ import annotations

from typing import Annotated, Any, TypeVar

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema
from pydantic_core.core_schema import no_info_before_validator_function

from progdoc.model.description.base import Choice, said

__all__ = [
    "AirParagraph",
    "Emergency",
    "EvaluationParagraph",
    "FitParagraph",
    "Inspection",
    "Label",
    "MedicalParagraph",
    "OneOrMore",
    "RecordParagraph",
    "RepairParagraph",
    "StorageParagraph",
    "TrainingParagraph",
    "UseParagraph",
    "VoluntaryParagraph",
    "adopting",
]


class MedicalParagraph(Choice):
    WHOLE = "(e)"
    FIRST = "(e)(1)"
    CONTENT = "(e)(2)"
    FOLLOW_UP = "(e)(3)"
    PRIVACY = "(e)(4)"
    INFORMATION = "(e)(5)"
    RECOMMENDATION = "(e)(6)"
    AGAIN = "(e)(7)"


class FitParagraph(Choice):
    WHOLE = "(f)"
    EVERYBODY = "(f)(1)"
    WHEN = "(f)(2)"
    CHANGES = "(f)(3)"
    CHOICE = "(f)(4)"
    PROTOCOL = "(f)(5)"
    QUALITATIVE = "(f)(6)"
    PASS = "(f)(7)"
    POWERED = "(f)(8)"


class UseParagraph(Choice):
    WHOLE = "(g)"
    SEAL = "(g)(1)"
    SEAL_KEPT = "(g)(1)(i)"
    OTHER_GEAR = "(g)(1)(ii)"
    SEAL_CHECK = "(g)(1)(iii)"
    WORKING = "(g)(2)"
    WATCH = "(g)(2)(i)"
    LEAVING = "(g)(2)(ii)"
    MENDING = "(g)(2)(iii)"


class Emergency(Choice):
    DANGEROUS_AIR = "(g)(3)"
    FIRE = "(g)(4)"


class StorageParagraph(Choice):
    WHOLE = "(h)(2)"
    ALL_MASKS = "(h)(2)(i)"
    EMERGENCY = "(h)(2)(ii)"


class Inspection(Choice):
    WHOLE = "(h)(3)"
    WHEN = "(h)(3)(i)"
    WHAT = "(h)(3)(ii)"
    CARRIED_AIR = "(h)(3)(iii)"
    RECORD = "(h)(3)(iv)"


class RepairParagraph(Choice):
    WHOLE = "(h)(4)"
    WHO = "(h)(4)(i)"
    EXTENT = "(h)(4)(ii)"


class AirParagraph(Choice):
    WHOLE = "(i)"
    NO_OXYGEN_AFTER_AIR = "(i)(2)"
    RICH_AIR = "(i)(3)"
    COMPRESSOR = "(i)(5)"
    OIL_LUBRICATED = "(i)(7)"
    LINES = "(i)(8)"


class Label(Choice):
    WHOLE = "(j)"


class TrainingParagraph(Choice):
    WHOLE = "(k)"
    TOPICS = "(k)(1)"
    UNDERSTOOD = "(k)(2)"
    BEFORE_USE = "(k)(3)"
    EARLIER = "(k)(4)"
    AGAIN = "(k)(5)"


class VoluntaryParagraph(Choice):
    INFORMATION = "(k)(6)"


class EvaluationParagraph(Choice):
    WHOLE = "(l)"
    WORKPLACE = "(l)(1)"
    WEARERS = "(l)(2)"


class RecordParagraph(Choice):
    WHOLE = "(m)"
    MEDICAL = "(m)(1)"
    FIT_TESTS = "(m)(2)"
    ACCESS = "(m)(4)"


def _several(value: object) -> object:
    return [value] if isinstance(value, str) else value


class _OneOrMore:
    """Lets a single text stand for a list of one."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return no_info_before_validator_function(_several, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        several = handler(schema)
        return {"anyOf": [several["items"], several]}


_One = TypeVar("_One")
OneOrMore = Annotated[tuple[_One, ...], _OneOrMore()]


def adopting(example: str) -> Any:
    """Return the field that adopts paragraphs for its group."""
    return said("Adopt", "A paragraph, or several, that the firm does exactly as it stands.", example, ())
