"""The people of a description and their records as sheets: a workbook with lists to choose from, or a CSV of each.

What comes out is read again as it is: the sheets and headings are those that `people: people.xlsx` reads. Everything
here names workers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from progdoc.model.description.program import Program
from progdoc.model.people_table.people_columns import LISTS, RowKind, columns_of
from progdoc.model.people_table.people_rows import CellValue, blank_rows, choices_of, written_columns, written_rows
from progdoc.writers.csv_table import csv_bytes
from progdoc.writers.xlsx import BookColumn, BookSheet, workbook_bytes

__all__ = ["people_tables", "people_workbook", "template_workbook"]

_NUMBERS = ("factor", "fit_factor")


def people_workbook(program: Program, reports: Mapping[str, Iterable[tuple[str, ...]]] | None = None) -> bytes:
    """Return a workbook with all that is on record of the people and the single masks.

    Parameters
    ----------
    reports
        Tables that stand behind it, by the names of their sheets, the headings first: who may do what, what falls due.
        They are only told, and nobody reads them back.
    """
    told = [BookSheet(name, tuple(map(BookColumn, head)), rows) for name, (head, *rows) in (reports or {}).items()]
    return workbook_bytes([*_sheets(program, written_rows), *told], LISTS)


def template_workbook(program: Program) -> bytes:
    """Return a workbook to fill in: whom and which masks it is about, with what may be chosen in each column."""
    return workbook_bytes(_sheets(program, blank_rows), LISTS)


def people_tables(program: Program, is_blank: bool = False) -> dict[str, bytes]:
    """Return the same as CSV, a file for each kind of row that there is."""
    rows_of = blank_rows if is_blank else written_rows
    return {
        f"{rows.value}.csv": csv_bytes([written_columns(rows), *([_text(cell) for cell in row] for row in filled)])
        for rows in RowKind
        if (filled := rows_of(program, rows)) or rows is RowKind.PEOPLE
    }


def _sheets(program: Program, rows_of: Callable[[Program, RowKind], list[list[CellValue]]]) -> list[BookSheet]:
    kept = {RowKind.UNITS: any(mask.units for mask in program.masks), RowKind.CYLINDERS: bool(program.cylinders)}
    kinds = [rows for rows in RowKind if kept.get(rows, True)]
    columns = {rows: tuple(_column(rows, name, program) for name in written_columns(rows)) for rows in kinds}
    return [BookSheet(rows.value, columns[rows], rows_of(program, rows)) for rows in kinds]


def _column(rows: RowKind, name: str, program: Program) -> BookColumn:
    _, key, kind = columns_of(rows)[name]
    choices, only = choices_of(rows, name, program)
    holds = "day" if kind == "day" else "number" if key in _NUMBERS else "text"
    note = "Several are parted by a semicolon." if kind in ("words", "days") else ""
    return BookColumn(name, holds, choices, only, note)


def _text(cell: CellValue) -> str:
    return "" if cell is None else f"{cell:.15g}" if isinstance(cell, float) else str(cell)
