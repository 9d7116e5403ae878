"""How wide the columns of a table are: by their shares, but no heading has to be broken within a word.

A heading in another language may be longer than the English one for which the shares were chosen. What its longest word
lacks is taken from the columns that have more than theirs asks for, and never so much that their cells get narrow: what
then is still too long is hyphenated.
"""

from __future__ import annotations

from collections.abc import Sequence

from progdoc.document.tree.nodes import Column
from progdoc.writers.letter_widths import text_width

__all__ = ["column_widths"]

_MOST_TAKEN = 0.3  # of what a column has beyond its heading: an own choice, looked at in the tables of the sample


def column_widths(columns: Sequence[Column], width: float, size: float, edges: float) -> list[float]:
    """Return the widths of columns, which add up to that of the table.

    Parameters
    ----------
    width, size, edges
        Of the table, of the type of its headings (bold), and of the two margins of a cell, all in one unit.

    Examples
    --------
    >>> column_widths([Column("Agent", 1), Column("Limit", 1)], 100.0, 10.0, 4.0)
    [50.0, 50.0]
    >>> [round(wide) for wide in column_widths([Column("Concentration", 1), Column("Limit", 1)], 100.0, 10.0, 4.0)]
    [57, 43]
    """
    shares = [max(column.share, 1) for column in columns]
    widths = [width * share / sum(shares) for share in shares]
    needed = [_longest_word(column.title, size) + edges for column in columns]
    lacking = sum(max(need - wide, 0.0) for need, wide in zip(needed, widths, strict=True))
    spare = [max(wide - need, 0.0) for need, wide in zip(needed, widths, strict=True)]
    if not lacking:
        return widths
    taken = min(lacking, _MOST_TAKEN * sum(spare))
    return [
        wide + taken * max(need - wide, 0.0) / lacking - (taken * more / sum(spare) if more else 0.0)
        for wide, need, more in zip(widths, needed, spare, strict=True)
    ]


def _longest_word(title: str, size: float) -> float:
    return max((text_width(word, size, is_bold=True) for word in title.split()), default=0.0)
