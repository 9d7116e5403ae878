"""The files of `catalogue/tables/`, as text or as typed rows; read once, on first use.

Where each table is from stands in the `*.source.yaml` beside it.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from functools import cache
from importlib.resources.abc import Traversable
from io import StringIO
from types import MappingProxyType
from typing import Any, TypeVar

from progdoc.core.data_text import data_text
from progdoc.core.errors import ResourceError
from progdoc.core.resources import catalogue_root
from progdoc.model.yaml.yaml_values import plain_of, read_shipped, whole_of
from progdoc.rules.lookup.tables_before import lists_before

__all__ = [
    "PRINTED_COLUMNS",
    "Row",
    "lists_of",
    "number_or_none",
    "parts_of",
    "table_entries",
    "table_rows",
    "typed_rows",
]

Row = MappingProxyType[str, str]
T = TypeVar("T")

# The columns that papers print as they stand: their translation stands beside the table (`approvals.es.po`).
PRINTED_COLUMNS = {
    "approvals": ("covers",),
    "borrowed": ("what", "source"),
    "environmental_rules": ("asks",),
    "escape_masks": ("words",),
    "filter_classes": ("time_with_oil",),
    "hot_work_agents": ("words",),
    "idlh": ("source_1", "source_2"),
    "lead_trigger_tasks": ("task", "where", "note"),
    "organics": ("barred_because",),
    "silica_controls": ("text",),
    "silica_table1": ("task", "option_name"),
    "standard_cartridges": ("words",),
    "standard_duties": ("text",),
    "state_differences": ("asks",),
    "surveillance": ("what", "whats"),
}


@cache
def table_rows(name: str) -> tuple[Row, ...]:
    """Return the rows of `catalogue/tables/NAME.csv` as text."""
    file = catalogue_root() / "tables" / f"{name}.csv"
    try:
        text = file.read_text(encoding="utf-8")
    except OSError as fault:
        raise ResourceError(f"{name}.csv is missing from the catalogue: reinstall progdoc") from fault
    head, *rows = filter(None, csv.reader(StringIO(text)))
    named = [dict(zip(head, row, strict=True)) for row in rows]
    for column in PRINTED_COLUMNS.get(name, ()):
        for row in named:
            row[column] = data_text(row[column])
    return tuple(map(MappingProxyType, named))


# Of the tables that are no grid, the keys that hold whole numbers; all others hold texts.
_WHOLE = dict.fromkeys(
    ("seconds", "about_seconds", "readings", "counted", "over_limit_months", "action_level_months"), whole_of
)


@cache
def table_entries(name: str, key: str) -> tuple[dict[str, Any], ...]:
    """Return the list under a key of `catalogue/tables/NAME.yaml`, for tables that are no grid."""
    lists = _lists(name)
    if key not in lists:
        raise ResourceError(f"{name}.yaml: {key!r} is missing")
    return tuple(lists[key])


@cache
def _lists(name: str) -> dict[str, Any]:
    """Return all lists of a file: it is read once, however many of them are asked for."""
    file = catalogue_root() / "tables" / f"{name}.yaml"
    lists: dict[str, Any] | None = lists_before(file)
    return lists_of(file) if lists is None else lists


def lists_of(file: Traversable) -> dict[str, Any]:
    """Return all lists of a file, read from its YAML."""
    return read_shipped(file, lambda top: {key: plain_of(node, _WHOLE) for key, node in top.items()})


def typed_rows(name: str, read: Callable[[Row], T]) -> tuple[T, ...]:
    """Return the rows of a table, each as `read` makes it."""
    return tuple(read(row) for row in table_rows(name))


def number_or_none(text: str) -> float | None:
    """Return the number of a cell; None of a blank one, which is never zero."""
    return float(text) if text else None


def parts_of(text: str) -> tuple[str, ...]:
    """Return the parts of a cell that holds several, as "half-mask;full-facepiece"."""
    return tuple(part for part in text.split(";") if part)
