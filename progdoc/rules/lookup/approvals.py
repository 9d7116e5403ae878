"""NIOSH approval numbers: their shape, and which kinds of mask the schedule at their beginning covers.

The kinds are data (`catalogue/tables/approvals.csv`), and so are the words by which a mask says itself that it is
not approved (`unapproved_words.yaml`). That a number exists can't be told from it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from progdoc.model.description.masks import Filter, Mask
from progdoc.rules.lookup.table_files import table_entries, table_rows

__all__ = [
    "covers_filter",
    "covers_mask",
    "has_approval_shape",
    "holds_no_gas",
    "schedule_covers",
    "schedule_of",
    "unapproved_words",
]

_SCHEDULE = re.compile(r"^TC-[0-9]+[A-Z]")
_SHAPE = re.compile(r"TC-(?:84A-[0-9]{3,5}|13F-[0-9]+|14G-[0-9]+|19C-[0-9]+|21C-[0-9]+|23C-[0-9]+)[A-Z]{0,6}")


def has_approval_shape(approval: str) -> bool:
    """Return whether a text looks like an approval number.

    >>> has_approval_shape("TC-84A-0000"), has_approval_shape("EN 140")
    (True, False)
    """
    return _SHAPE.fullmatch(approval) is not None


def schedule_of(approval: str) -> str:
    """Return the schedule at the beginning of an approval number.

    >>> schedule_of("TC-84A-0000")
    'TC-84A'
    """
    found = _SCHEDULE.match(approval)
    return found[0] if found else ""


def schedule_covers(approval: str) -> str:
    """Return in words what the schedule of an approval number covers."""
    return _schedules()[schedule_of(approval)]["covers"]


def covers_mask(approval: str, mask: Mask) -> bool:
    """Return whether a number can be the approval of such a mask; an unknown kind can have any."""
    schedule = _schedules()[schedule_of(approval)]
    if mask.auxiliary_air and schedule["auxiliary_air"] != "yes":
        return False
    return mask.mode is None or mask.mode.value in schedule["modes"].split(";")


def covers_filter(approval: str, part: Filter) -> bool:
    """Return whether a number can be the approval of such a filter: one against gases needs more than a filter's."""
    holds = _schedules()[schedule_of(approval)]["holds"].split(";")
    if part.gases and part.particulate is not None:
        return "combinations" in holds
    return "gases" in holds if part.gases else "particles" in holds


def holds_no_gas(approval: str | None) -> bool:
    """Return whether a number is one for masks and filters that hold no gas and no vapour.

    >>> holds_no_gas("TC-84A-0000"), holds_no_gas("TC-23C-0000"), holds_no_gas(None)
    (True, False, False)
    """
    is_read = approval is not None and has_approval_shape(approval)
    return is_read and "gases" not in _schedules()[schedule_of(approval or "")]["holds"].split(";")


def unapproved_words(text: str) -> str:
    """Return the first words by which a name says itself that it is not approved, or nothing.

    >>> unapproved_words("Surgical, blue"), unapproved_words("Surgical N95")
    ('surgical', '')
    """
    joined = " ".join(text.casefold().split())
    for words, unless in _unapproved():
        if found := words.search(unless.sub(" ", joined)):
            return found[0]
    return ""


@cache
def _schedules() -> dict[str, dict[str, str]]:
    return {row["schedule"]: dict(row) for row in table_rows("approvals")}


@cache
def _unapproved() -> tuple[tuple[re.Pattern[str], re.Pattern[str]], ...]:
    groups = table_entries("unapproved_words", "unapproved")
    return tuple((_any_of(group["words"]), _any_of(group["unless"])) for group in groups)


def _any_of(words: Iterable[str]) -> re.Pattern[str]:
    longest_first = sorted(words, key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest_first))})(?!\w)")
