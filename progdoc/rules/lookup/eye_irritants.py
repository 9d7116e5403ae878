"""Who says that an agent irritates the eyes: its own standard, or its published classification."""

from __future__ import annotations

from functools import cache

from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.table_files import table_entries

__all__ = ["irritant_by_class", "irritant_by_standard"]

_REGULATION = "Regulation (EC) No 1272/2008, Annex VI"


def irritant_by_standard(substance: Substance | None) -> str:
    """Return the paragraph that takes an agent for an irritant of the eyes, or nothing."""
    is_one = substance is not None and substance.irritates_eyes == "yes"
    return substance.irritates_eyes_source if substance is not None and is_one else ""


def irritant_by_class(substance: Substance | None) -> str:
    """Return the classification by which an agent irritates or harms eyes, or nothing where none is listed."""
    known = next((_statements()[cas] for cas in (substance.cas if substance else ()) if cas in _statements()), "")
    return f"{_REGULATION}: {known}" if known else ""


@cache
def _statements() -> dict[str, str]:
    groups = table_entries("eye_irritants", "irritants")
    return {str(cas): str(group["statement"]) for group in groups for cas in group["cas"]}
