"""The people of a description as rows of the tables that `people: people.xlsx` reads, and what may stand in each.

The other way round than `table_rows`: what is written here is read there as the same people.
"""

from __future__ import annotations

import typing
from collections.abc import Iterator, Sequence
from datetime import date
from enum import StrEnum
from itertools import zip_longest
from typing import Any

from pydantic import BaseModel

from progdoc.model.description.devices import SpareCylinder
from progdoc.model.description.masks import Facepiece, Mask
from progdoc.model.description.people import Person
from progdoc.model.description.program import Program
from progdoc.model.description.scalars import PROTOCOLS
from progdoc.model.people_table.people_columns import RowKind, columns_of, part_of, unit_model

__all__ = ["CellValue", "blank_rows", "choices_of", "written_columns", "written_rows"]

CellValue = str | int | float | date | None
_MANY = ("words", "days", "numbers")
_ELSEWHERE = {"fit_tests": RowKind.FIT_TESTS, "training": RowKind.TRAINING}  # lists with a sheet of their own
_LISTS = {RowKind.FIT_TESTS: "fit_tests", RowKind.TRAINING: "training"}


def written_columns(rows: RowKind) -> tuple[str, ...]:
    """Return the columns of a sheet in the order in which they are written; of two names the short one.

    >>> written_columns(RowKind.TRAINING)[:4]
    ('id', 'name', 'date', 'by')
    """
    known = columns_of(rows)
    if rows is RowKind.PEOPLE:
        return tuple(name for name, target in known.items() if target[0] not in _ELSEWHERE)
    shortest: dict[tuple[str, str], str] = {}
    for name, (group, key, _) in known.items():
        other = shortest.get((group, key))
        if other is None or len(name) < len(other):
            shortest[group, key] = name
    return tuple(shortest.values())


def choices_of(rows: RowKind, column: str, program: Program) -> tuple[tuple[str, ...], bool]:
    """Return what may be chosen in a column, and whether nothing else may stand there."""
    group, key, kind = columns_of(rows)[column]
    if kind == "yes-no":
        return ("yes", "no"), True
    if key == "masks":
        return tuple(mask.id for mask in program.masks), False
    if key == "mask":
        return tuple(mask.id for mask in program.masks), True
    if key == "size":
        return tuple(dict.fromkeys(size for mask in program.masks for size in mask.sizes)), True
    if key == "protocol":
        used = program.procedures.fit_testing.protocols
        return tuple(dict.fromkeys([*map(str, used), *PROTOCOLS])), True
    if rows in _LISTS and group == "" and key in ("id", "name"):
        found = (getattr(person, key) for person in program.people)
        return tuple(dict.fromkeys(text for text in found if text)), key == "id"
    listed = _listed(_model_of(rows, group), key)
    if kind == "words" and listed:
        return (*(("all",) if key == "topics" else ()), *listed), False  # several may stand in a cell
    return listed, True


def written_rows(program: Program, rows: RowKind) -> list[list[CellValue]]:
    """Return the rows of a sheet with all that is on record."""
    columns = written_columns(rows)
    if rows is RowKind.UNITS:
        units = [(mask, unit) for mask in program.masks for unit in mask.units]
        return [row for mask, unit in units for row in _rows(unit, rows, columns, {"mask": mask.id, "id": unit.id})]
    if rows is RowKind.CYLINDERS:
        return [row for spare in program.cylinders for row in _rows(spare, rows, columns, {"id": spare.id})]
    whose = [(person, {"id": person.id, "name": person.name}) for person in program.people]
    return [row for person, told in whose for row in _rows(person, rows, columns, told)]


def blank_rows(program: Program, rows: RowKind) -> list[list[CellValue]]:
    """Return rows to fill in: whom and what they are about, and nothing that happened."""
    columns = written_columns(rows)
    if rows is RowKind.PEOPLE:
        kept = {"id", "name", "job", "mask", "size"}
        seen: set[CellValue] = set()
        wanted: list[list[CellValue]] = []
        for row in written_rows(program, rows):
            if row[0] not in seen or row[columns.index("mask")] is not None:
                seen.add(row[0])
                wanted.append([value if column in kept else None for column, value in zip(columns, row, strict=True)])
        return wanted
    if rows is RowKind.UNITS:
        units = [(mask, unit) for mask in program.masks for unit in mask.units]
        told: list[dict[str, CellValue]] = [
            {"mask": mask.id, "id": unit.id, "place": unit.place} for mask, unit in units
        ]
    elif rows is RowKind.CYLINDERS:
        told = [{"id": spare.id, "place": spare.place} for spare in program.cylinders]
    elif rows is RowKind.FIT_TESTS:
        sealing = {mask.id for mask in program.masks if not _is_loose(mask)}
        told = [
            {"id": person.id, "name": person.name, "mask": worn.mask, "size": worn.size}
            for person in program.people
            for worn in person.masks
            if worn.mask in sealing
        ]
    else:
        told = [{"id": person.id, "name": person.name} for person in program.people]
    return [[row.get(column) for column in columns] for row in told]


def _is_loose(mask: Mask) -> bool:
    return mask.facepiece in (Facepiece.HOOD, Facepiece.HELMET, Facepiece.LOOSE_FITTING)


def _rows(
    thing: BaseModel, rows: RowKind, columns: Sequence[str], whose: dict[str, str | None]
) -> Iterator[list[CellValue]]:
    """Yield the rows of a person or a single mask: as many as its longest list of records has, one at least.

    A sheet of events has none for whoever has no event.
    """
    known = columns_of(rows)
    records: dict[str, list[BaseModel]] = {}
    for group, _, _ in known.values():
        value = getattr(thing, group) if group else None
        if group and (rows is not RowKind.PEOPLE or group not in _ELSEWHERE):
            records[group] = [] if value is None else list(value) if isinstance(value, tuple) else [value]
    of_rows: list[tuple[BaseModel | None, ...]] = list(zip_longest(*records.values()))
    if not of_rows and rows not in _LISTS:
        of_rows = [(None,) * len(records)]
    for number, found in enumerate(of_rows):
        by_group = dict(zip(records, found, strict=True))
        row: list[CellValue] = []
        for column in columns:
            group, key, kind = known[column]
            if group:
                row.append(_cell(getattr(by_group[group], key, None), kind))
            elif key in whose:
                row.append(whose[key] if number == 0 or key != "name" or rows in _LISTS else None)
            else:
                row.append(_cell(getattr(thing, key, None), kind) if number == 0 else None)
        yield row


def _cell(value: Any, kind: str) -> CellValue:
    """Return a value as its cell holds it."""
    if value is None or value == ():
        return None
    if kind == "yes-no":
        return "yes" if value else "no"
    if kind in _MANY:
        parts = [_dated(part) if kind == "days" else _number(part) for part in value]
        return (" " if kind == "numbers" else "; ").join(parts)
    if isinstance(value, StrEnum):
        return value.value
    return value if isinstance(value, str | int | float | date) else str(value)


def _dated(entry: Any) -> str:
    return " ".join(filter(None, (entry.date.isoformat(), entry.because and entry.because.value)))


def _number(part: Any) -> str:
    return f"{part:.15g}" if isinstance(part, float) else str(part)


def _model_of(rows: RowKind, group: str) -> type[BaseModel]:
    of_devices: dict[RowKind, type[BaseModel]] = {RowKind.UNITS: unit_model(), RowKind.CYLINDERS: SpareCylinder}
    owner = of_devices.get(rows, Person)
    return (part_of(owner.model_fields[group].annotation) if group else None) or owner


def _listed(model: type[BaseModel], key: str) -> tuple[str, ...]:
    """Return the values of a closed list, if a field has one."""
    field = model.model_fields.get(key)
    return tuple(_words(field.annotation)) if field else ()


def _words(annotation: Any) -> Iterator[str]:
    if isinstance(annotation, type) and issubclass(annotation, StrEnum):
        yield from (member.value for member in annotation)
    for part in typing.get_args(annotation):
        yield from _words(part)
