"""Enters records into the tables in which a firm keeps its people: CSV or workbooks, in the cells that they take alone.

What can't be put at its place so that all else stays is refused with what to do (`KeptByHandError`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from progdoc.core.unread import Unread
from progdoc.model.people_table.csv_entry import csv_with, separator_in
from progdoc.model.people_table.people_tables import FoundSheet, sheets_of_tables
from progdoc.model.people_table.record_rows import Cells, Grid, add_records, grid_of
from progdoc.model.people_table.workbook_entry import workbook_with
from progdoc.model.yaml.yaml_reader import Description

__all__ = ["with_records"]


def with_records(
    description: Description, files: Mapping[str, bytes | Unread], records: Sequence[Cells]
) -> dict[str, bytes]:
    """Return the tables that change when records are entered.

    Parameters
    ----------
    description
        As it was parsed, without the people of its tables.
    files
        All files that were read, by name.

    Raises
    ------
    KeyError
        If a record is of somebody who stands in no row, or a text would be reckoned with by the spreadsheet.
    KeptByHandError
        If a workbook holds something beside which its cells can't be changed.
    """
    found = sheets_of_tables(description, files)
    tables = {one.file: data for one in found if isinstance(data := files.get(one.file), bytes)}
    grids = [(one.file, _grid(one, tables[one.file])) for one in found if one.file in tables]
    add_records([grid for _, grid in grids], records)
    changed: dict[str, bytes] = {}
    for name, data in tables.items():
        own = [grid for file, grid in grids if file == name and grid.written]
        if own:
            is_workbook = own[0].columns.sheet.is_workbook
            changed[name] = workbook_with(name, data, own) if is_workbook else csv_with(data, own[0])
    return changed


def _grid(sheet: FoundSheet, data: bytes) -> Grid:
    separator = ";" if sheet.columns.sheet.is_workbook else separator_in(data)
    return grid_of(sheet.columns, separator, sheet.order)
