"""A sheet of a spreadsheet, whatever it was saved as: rows of cells, and what a reader of the bare cells would miss."""

from __future__ import annotations

from dataclasses import field

from progdoc.core.late_dataclass import dataclass
from progdoc.model.people_table.csv_text import CsvCell, TableError

__all__ = ["MOST_CELLS", "MOST_COLUMNS", "Sheet", "SheetRow", "letters"]

MOST_CELLS = 500_000  # of a workbook, those left empty between others too
MOST_COLUMNS = 1000  # with a heading: each is held against all those that are known

SheetRow = list[CsvCell]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet. Places are (row, column), both counted from 1; `broken` ends the reading of a CSV."""

    name: str
    rows: list[SheetRow]
    is_hidden: bool = False
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    merged: tuple[tuple[int, int, int, int], ...] = ()  # first row, first column, last row, last column
    formulas: frozenset[tuple[int, int]] = frozenset()
    valueless: frozenset[tuple[int, int]] = frozenset()  # an error stands there, or a formula that nobody computed
    is_workbook: bool = False
    has_1904_days: bool = False
    struck: frozenset[tuple[int, int]] = frozenset()  # letters are struck through there
    has_notes: bool = False  # beside cells, which nobody reads
    broken: TableError | None = field(default=None)


def letters(index: int) -> str:
    """Return the name a spreadsheet gives to a column, counted from 0.

    >>> letters(0), letters(27)
    ('A', 'AB')
    """
    text, number = "", index + 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
