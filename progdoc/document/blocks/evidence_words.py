"""On what the description shows that a duty is met: places in it, and values where they are short and name nobody."""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum
from typing import Any

from progdoc.core.diagnostics import Audience
from progdoc.core.report import Status
from progdoc.core.said import changed, said, said_join, same
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
        return said("%(met)s of %(n)s records in order", met=met, n=sum(one.many for one in stands))
    shown: dict[str, None] = {}
    for one in stands:
        shown.update(dict.fromkeys(_shown(judged, path) for path in one.verdict.evidence))
    places = list(shown)
    shown_here = said_join(places[:_MOST_PLACES], "; ")
    if len(places) <= _MOST_PLACES:
        return shown_here
    return said("%(places)s; and %(n)s more", places=shown_here, n=len(places) - _MOST_PLACES)


def _pattern(path: str) -> str:
    return re.sub(r"\[\d+\]", "[]", path)


def _shown(judged: Judged, path: str) -> str:
    """Return what a place says in words, its value where it is short, and the place; lists stand together."""
    pattern = _pattern(path)
    known = field_at(pattern)
    words = changed(known.title, str.lower) if known is not None else ""
    if "[" in path:
        listed = path.partition("[")[0]
        named = field_at(listed)
        things = changed(named.title, str.lower) if named is not None else same(listed.rpartition(".")[2])
        return (
            said("%(words)s, of %(things)s (%(pattern)s)", words=words, things=things, pattern=same(pattern))
            if words
            else same(pattern)
        )
    value: Any = judged.index.value_at(path)
    items = value if isinstance(value, tuple) else (value,)
    if all(isinstance(item, bool | int | float | Quantity | StrEnum | date) for item in items):
        words = said("%(words)s: %(value)s", words=words or same(path), value=as_printed(value))
    return said("%(words)s (%(path)s)", words=words, path=same(path)) if words else same(path)
