"""Fields that only exist to bound a danger, or to show that it is bounded: dropped or loosened, they protect less.

Whatever else of fact is taken out is to be read (`natures`): a field is not harmless because nobody listed it here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import replace

from progdoc.comparison.changes import Change, Danger, Direction, Nature, towards
from progdoc.model.description.calendar_entries import Month
from progdoc.model.description.quantities import Dimension, Quantity, in_unit, is_comparable, parse_quantity

__all__ = ["bounds_loosened"]

_NOT_LAW = "house rule"
_MOST = re.compile(  # more of it is less protection
    r"tasks\[\]\.steps\[\]\.over|filters\[\]\.most|filters\[\]\.most_for\[\]\.most|tasks\[\]\.turn|masks\[\]\.service_time"
    r"|procedures\.air_supply\.(hose_most|test_interval|compressor\.co_every|cylinders\.dew_point)"
    r"|calendar\[\]\.every|procedures\.filter_changes\.schedules\[\]\.sources\[\]\.most|procedures\.emergencies\.(idlh|fire)\.inside"
)
# A later day is less protection: what was to end is used on. A test or a new cartridge moves the other days on.
_LATER = re.compile(
    r"masks\[\]\.units\[\]\.(?:cylinder\.)?end_of_life|cylinders\[\]\.end_of_life|filters\[\]\.stock\[\]\.use_by"
)
_NO = re.compile(
    r"posts\[\]\.cleaned_between|procedures\.voluntary_use\.(?:fit_tested|medical_for_dust_masks)"
)  # a no is less
_LEAST = re.compile(  # less of it is less protection
    r"tasks\[\]\.way_out|procedures\.emergencies\.(idlh\.standby|fire\.outside)"
    r"|procedures\.air_supply\.compressor\.dew_point_below_ambient|posts\[\]\.at_once|masks\[\]\.blower_flow"
)
_SHOWN = re.compile(  # without it nobody knows that the danger is bounded
    r"filters\[\]\.most_for\[\](\..+)?|tasks\[\]\.(escape_masks|never_same_day|oxygen(\..+)?)"
    r"|masks\[\]\.(low_air_alarm|service_time_shown_by|hood_report(\..+)?)"
    r"|masks\[\]\.units\[\]\.((inspections|flow_tests|repairs)\[\](\..+)?|(cylinder|withdrawn)(\..+)?|end_of_life|use_by)"
    r"|cylinders\[\]\.(inspections\[\](\..+)?|withdrawn(\..+)?|requalified|requalify_by|end_of_life)"
    r"|filters\[\]\.stock\[\]\.use_by"
    r"|hazards\[\]\.(limit(\..+)?|peaks\[\](\..+)?|exposure\.(?!results\[\]$).+)"
    r"|procedures\.emergencies\.(idlh|fire)(\..+)?|procedures\.emergencies\.foreseeable\[\]\.(going_in|masks)"
)


def bounds_loosened(edits: Iterable[Change]) -> Iterator[Change]:
    """Yield the bounds that were dropped or loosened, and the evidence of one that was dropped."""
    for edit in edits:
        is_most, is_least = _MOST.fullmatch(edit.field), _LEAST.fullmatch(edit.field)
        is_later, is_no = _LATER.fullmatch(edit.field), _NO.fullmatch(edit.field)
        if edit.is_restricted or not (is_most or is_least or is_later or is_no or _SHOWN.fullmatch(edit.field)):
            continue
        is_less = edit.is_taken_out and edit.nature is not Nature.FACT  # as an entry is for which another came
        if edit.old and edit.new and (is_most or is_least):
            is_less = _step(edit.old, edit.new, Direction.LESS if is_most else Direction.MORE) is Direction.LESS
        is_less = is_less or bool(edit.old and edit.new and is_later and _day(edit.new) > _day(edit.old))
        is_less = is_less or bool(is_no and edit.old == "yes" and edit.new != "yes")
        if is_less:
            yield replace(
                edit, direction=Direction.LESS, danger=Danger.LOST, citation=edit.citation or _NOT_LAW, causes=(edit,)
            )


def _day(text: str) -> tuple[int, int, int]:
    """Return year, month and day of a date as a change shows it.

    >>> _day("1 July 2036")
    (2036, 7, 1)
    """
    day, month, year = text.split()
    return int(year), [one.value for one in Month].index(month) + 1, int(day)


def _step(old: str, new: str, rising: Direction) -> Direction:
    """Return which way a figure moved; of two that nobody can set side by side, the worse."""
    one, other = _amount(old), _amount(new)
    if isinstance(one, Quantity) and isinstance(other, Quantity) and is_comparable(one, other):
        one, other = round(in_unit(one, other.unit), 9), round(other.value, 9)
    if isinstance(one, float) and isinstance(other, float):
        return towards(one, other, rising)
    return Direction.LESS


def _amount(text: str) -> float | Quantity | None:
    if text.isdecimal():
        return float(text)
    for dimension in Dimension:
        with suppress(ValueError):
            return parse_quantity(text, dimension)
    return None
