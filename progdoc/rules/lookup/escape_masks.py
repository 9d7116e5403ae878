"""Which masks the substance standards let people escape in (`escape_masks.csv`)."""

from __future__ import annotations

from functools import cache

from progdoc.rules.judged.published import EscapeKind
from progdoc.rules.lookup.table_files import table_rows

__all__ = ["escape_kinds"]


@cache
def escape_kinds(agent: str, industry: str) -> tuple[EscapeKind, ...]:
    """Return the kinds of mask of which one hangs at hand in the air of an agent; none where no standard asks.

    >>> [kind.words for kind in escape_kinds("mda", "construction")][1]
    'an air-purifying full facepiece'
    """
    return tuple(
        EscapeKind(
            modes=tuple(row["modes"].split(";")),
            facepieces=tuple(filter(None, row["facepieces"].split(";"))),
            canister=row["canister"],
            words=row["words"],
            citation=row["citation"],
        )
        for row in table_rows("escape_masks")
        if row["agent"] == agent and industry in row["industries"].split(";")
    )
