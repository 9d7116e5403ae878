"""Whom the tables of a description name, however broken these are, and whatever their columns are headed.

Of a workbook that is refused as too large no row is read, so no message holds a text of it; but a name that stands in
the YAML too may be known from it alone. Its first texts are therefore looked at, within bounds.

A column that nobody understands counts as one of names, unless two others are known to hold the ids and the names.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from itertools import islice
from pathlib import PurePath

from progdoc.core.unread import Unread
from progdoc.model.people_table.column_map import NOT_USED, SheetMap, column_map, same_heading
from progdoc.model.people_table.csv_text import CsvCell, TableError, decoded_table, rows_of, separator_of
from progdoc.model.people_table.heading_words import HEADINGS, heading, proposed
from progdoc.model.people_table.people_columns import DEVICES, LISTS, RowKind, columns_of
from progdoc.model.people_table.sheet import Sheet, SheetRow
from progdoc.model.people_table.workbook import sheets_up_to_damage, texts_of_workbook
from progdoc.model.yaml.yaml_file import text_of

__all__ = ["Told", "is_table", "of_table", "tables_told_in"]

Told = Iterator[tuple[bool, str]]  # is it an id?, the text

_ENDINGS = (".csv", ".xlsx", ".xlsm")
_KEY = re.compile(r"""\b(?:csv|xlsx|also)["']?[ \t]*:[ \t]*["'\[]?([^"'\n,}\]]+)""")
_ATOM = re.compile(r"""[^\[\]{},\n"'#:]+""")
_SIGNS = " \t\r-&*!?|>"
_NAMING = re.compile(r"name|first|last|worker|wearer|person|employee|staff|nick|call|superv|\bid\b|_id\b")
_TITLE_ROWS = 20  # above the headings
_MOST_TEXTS = 20_000  # of a damaged workbook, each different, that are looked at
_MOST_WORDS = 5  # of a name, where nothing says which texts are names


def is_table(text: str) -> bool:
    """Whether a text is the name of a table rather than somebody's."""
    return PurePath(text).suffix.lower() in _ENDINGS


def tables_told_in(text: str) -> tuple[str, ...]:
    """Return what the YAML of a description seems to call its tables: names of files beside it."""
    told = [found[1] for found in _KEY.finditer(text)]
    told += [found for found in _ATOM.findall(text) if is_table(found.strip(_SIGNS))]
    names = (name.strip(_SIGNS) for name in told)
    return tuple(dict.fromkeys(name for name in names if name and PurePath(name).name == name))


def of_table(name: str, files: Mapping[str, bytes | Unread]) -> Told:
    """Yield what a table may call people by."""
    data = files.get(name)
    if not isinstance(data, bytes):
        return
    said, _ = column_map(name, files)
    if PurePath(name).suffix.lower() in _ENDINGS[1:]:
        sheets, is_whole = sheets_up_to_damage(data)
        if not is_whole:
            texts = islice(_each_once(texts_of_workbook(data)), _MOST_TEXTS)
            yield from ((False, text) for text in texts if _may_be_a_name(text))
    else:
        sheets = [Sheet(PurePath(name).stem, _rows_of_csv(data))]
    for sheet in sheets:
        if sheet.rows and not (sheet.is_hidden and sheet.name == LISTS):
            yield from _of_sheet(sheet, said.sheets.get(sheet.name))


def _each_once(texts: Iterable[str]) -> Iterator[str]:
    """Yield texts as they come, each once: no more is read than is asked for."""
    told: set[str] = set()
    for text in texts:
        if text not in told:
            told.add(text)
            yield text


def _rows_of_csv(data: bytes) -> list[SheetRow]:
    try:
        text = decoded_table(data)
    except TableError:
        text = text_of(data)
    separator, start = separator_of(text, HEADINGS)
    try:
        return rows_of(text, separator, start)
    except TableError:
        return [[CsvCell(cell.strip(' "\r'), 0, 0) for cell in line.split(separator)] for line in text.splitlines()]


def _of_sheet(sheet: Sheet, confirmed: SheetMap | None) -> Told:
    if {*DEVICES}.intersection((confirmed.rows if confirmed else None, "-".join(sheet.name.lower().split()))):
        return  # there an id is a mask's
    meant = [[_meaning(cell.text, confirmed) for cell in row] for row in sheet.rows[:_TITLE_ROWS]]
    at = next((i for i, heads in enumerate(meant) if {"id", "name"} & {*heads}), None)
    heads = meant[at or 0]
    has_both = {"id", "name"} <= {*heads}
    for row in sheet.rows if at is None else sheet.rows[at + 1 :]:
        for index, cell in enumerate(row):
            head = heads[index] if index < len(heads) else ""
            if head in ("id", "name") or (head not in _known() and (not has_both or _NAMING.search(head))):
                yield head == "id", cell.text


def _meaning(text: str, confirmed: SheetMap | None) -> str:
    """Return which column a heading is of, or seems to be of; the heading itself where it is none of ours."""
    told, _ = confirmed.columns.get(same_heading(text), ("", None)) if confirmed else ("", None)
    if told and told != NOT_USED:
        return told
    name = heading(text)
    meant = (proposed(text, rows) for rows in _OF_PEOPLE)
    return name if name in _known() else next(filter(None, meant), name)


_OF_PEOPLE = (RowKind.PEOPLE, RowKind.FIT_TESTS, RowKind.TRAINING)


@cache
def _known() -> frozenset[str]:
    return frozenset(column for rows in _OF_PEOPLE for column in columns_of(rows))


def _may_be_a_name(text: str) -> bool:
    """Whether a text of a damaged workbook may name somebody: few words, and none of our headings."""
    is_short = 0 < len(text.split()) <= _MOST_WORDS
    return is_short and any(sign.isalpha() for sign in text) and _meaning(text, None) not in _known()
