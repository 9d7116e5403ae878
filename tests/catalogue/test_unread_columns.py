"""No column of a table is unread: the rules take it in and use it, or the source file says that it is for readers."""

from __future__ import annotations

import ast
import csv
from dataclasses import fields
from functools import cache
from pathlib import Path

import yaml
from source_trees import nodes_of

from progdoc.core.resources import catalogue_root
from progdoc.rules.judged.published import FilterClass
from progdoc.rules.lookup import law_tables, standard_tables
from progdoc.rules.lookup.standard_tables import SubstanceStandard

PROGDOC = Path(law_tables.__file__).parents[2]
TABLES = sorted(path.stem for path in (catalogue_root() / "tables").glob("*.csv"))
ROWS = [
    kind
    for module in (law_tables, standard_tables)
    for kind in vars(module).values()
    if isinstance(kind, type) and hasattr(kind, "__dataclass_fields__")
]


@cache
def parsed() -> list[tuple[ast.AST, ...]]:
    """Return of each module all that its syntax tree holds."""
    return [nodes_of(path) for path in PROGDOC.rglob("*.py")]


@cache
def words() -> frozenset[str]:
    """Return the texts in the modules that read tables, such as the column in `row["column"]`."""
    readers = [
        nodes for nodes in parsed() if {"table_rows", "typed_rows"} & {n.id for n in nodes if isinstance(n, ast.Name)}
    ]
    return frozenset(
        node.value
        for nodes in readers
        for node in nodes
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


@cache
def starts() -> tuple[str, ...]:
    """Return what stands before the brace of a column name that is put together, such as f"standard_{industry}"."""
    joined = [n for nodes in parsed() for n in nodes if isinstance(n, ast.JoinedStr)]
    first = [n.values[0].value for n in joined if n.values and isinstance(n.values[0], ast.Constant)]
    return tuple(start for start in first if isinstance(start, str) and start.endswith("_"))


def is_taken(column: str) -> bool:
    return column in words() or column.startswith(starts())


@cache
def for_readers(name: str) -> dict[str, str]:
    text = (catalogue_root() / "tables" / f"{name}.source.yaml").read_text(encoding="utf-8")
    return dict(yaml.safe_load(text).get("for_readers", {}))


def test_every_column_is_read_or_said_to_be_for_readers() -> None:
    for name in TABLES:
        text = (catalogue_root() / "tables" / f"{name}.csv").read_text(encoding="utf-8")
        columns = next(csv.reader(text.splitlines()))
        told = for_readers(name)
        assert set(told) <= set(columns), name
        assert [column for column in columns if not is_taken(column) and column not in told] == [], name
        assert all(reason.strip() for reason in told.values()), name


@cache
def used() -> frozenset[str]:
    """Return every attribute that a module asks for which gets rows of standards, and what any asks of other rows."""
    return frozenset(n.attr for nodes in parsed() for n in nodes if isinstance(n, ast.Attribute))


@cache
def used_of_standards() -> frozenset[str]:
    """Return the attributes asked for where rows of standards come in: their names are common words elsewhere."""
    getters = {"SubstanceStandard", "substance_standard", "substance_standards", "standards_of"}
    modules = [
        nodes
        for nodes in parsed()
        if any(alias.name in getters for n in nodes if isinstance(n, ast.ImportFrom) for alias in n.names)
    ]
    return frozenset(n.attr for nodes in modules for n in nodes if isinstance(n, ast.Attribute))


def test_every_field_of_a_row_is_used_or_for_readers() -> None:
    told = {column for name in TABLES for column in for_readers(name)}
    for kind in ROWS:
        asked = used_of_standards() if kind is SubstanceStandard else used()
        unused = [field.name for field in fields(kind) if field.name not in asked]
        assert [name for name in unused if name.removeprefix("is_").removeprefix("for_") not in told] == [], kind


def test_the_rows_of_all_typed_tables_are_looked_at() -> None:
    names = {kind.__name__ for kind in ROWS}
    assert {"SubstanceStandard", "DutyRow", "AssignedFactor", "LeadTask", FilterClass.__name__} <= names
    assert not is_taken("escape_only_by_hearsay")
