"""The paragraphs that a computation or a due date names, by what they are about: `catalogue/tables/cited.csv`."""

from __future__ import annotations

from functools import cache

from progdoc.rules.lookup.table_files import table_rows

__all__ = ["cited"]


@cache
def _paragraphs() -> dict[str, str]:
    return {row["id"]: row["citation"] for row in table_rows("cited")}


def cited(name: str) -> str:
    """Return a paragraph as it is printed.

    >>> cited("mixture")
    '29 CFR 1910.1000(d)(2)(i)'
    """
    return _paragraphs()[name]
