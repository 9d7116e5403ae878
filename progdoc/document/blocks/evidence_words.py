"""On what the description shows that a duty is met: places in it, and values where they are short and name nobody."""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum
from typing import Any

from progdoc.core.diagnostics import Audience
from progdoc.core.report import Status
from progdoc.model.description.fields import field_at
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.words import as_printed
from progdoc.rules.judged.every_verdict import Alike
from progdoc.rules.judged.result import Judged

__all__ = ["evidence_by_code"]

_MOST_PLACES = 4


def evidence_by_code(judged: Judged) -> dict[str, str]:
    """Return the evidence of every requirement that applies; of records of people only how many are in order."""
    by_code: dict[str, list[Alike]] = {}
    for one in judged.verdicts.alike():
        if one.verdict.status is not Status.NOT_APPLICABLE:
            by_code.setdefault(one.verdict.requirement.code, []).append(one)
    return {code: _evidence(judged, stands) for code, stands in by_code.items()}


def _evidence(judged: Judged, stands: list[Alike]) -> str:
    if stands[0].verdict.requirement.audience is Audience.RESTRICTED:
        met = sum(one.many for one in stands if one.verdict.status is Status.MET)
        return f"{met} of {sum(one.many for one in stands)} records in order"
    shown: dict[str, None] = {}
    for one in stands:
        shown.update(dict.fromkeys(_shown(judged, path) for path in one.verdict.evidence))
    places = list(shown)
    more = f"; and {len(places) - _MOST_PLACES} more" if len(places) > _MOST_PLACES else ""
    return "; ".join(places[:_MOST_PLACES]) + more


def _pattern(path: str) -> str:
    return re.sub(r"\[\d+\]", "[]", path)


def _shown(judged: Judged, path: str) -> str:
    """Return what a place says in words, its value where it is short, and the place; lists stand together."""
    pattern = _pattern(path)
    known = field_at(pattern)
    words = known.title.lower() if known is not None else ""
    if "[" in path:
        things = path.partition("[")[0].rpartition(".")[2].replace("_", " ")
        return f"{words}, of {things} ({pattern})" if words else pattern
    value: Any = judged.index.value_at(path)
    items = value if isinstance(value, tuple) else (value,)
    if all(isinstance(item, bool | int | float | Quantity | StrEnum | date) for item in items):
        words = f"{words or path}: {as_printed(value)}"
    return f"{words} ({path})" if words else path
