"""Which agents are oil by themselves, so that filters of series N are not for them (42 CFR 84.170)."""

from __future__ import annotations

from functools import cache

from progdoc.model.description.hazards import Form, Hazard
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.lookup.telling_words import is_told

__all__ = ["is_oil"]

_NO_DROPLETS = (Form.GAS, Form.VAPOUR)


@cache
def _oils() -> frozenset[str]:
    return frozenset(row["agent"] for row in table_rows("oils"))


def is_oil(hazard: Hazard, substance: Substance | None) -> bool:
    """Return whether an agent is oil as droplets or smoke, by the table or by the words for it or its source."""
    if hazard.form in _NO_DROPLETS:
        return False
    told = any(is_told("oil", text) for text in (hazard.agent, hazard.source) if text)
    return told or (substance is not None and substance.id in _oils())
