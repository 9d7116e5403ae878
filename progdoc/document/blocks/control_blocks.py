"""Document control and the suppliers of air as tables: rows of the cover, who has a copy, whose air is breathed."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import long_date
from progdoc.core.said import as_own, said, said_choice, said_join
from progdoc.document.tree.nodes import Block, Cell, Column, Row, Table, Text
from progdoc.model.description.air_suppliers import AirSupplier
from progdoc.model.description.program import Program

__all__ = ["control_blocks", "control_rows"]

_BASE = "program.control"


def control_rows(program: Program) -> Iterator[tuple[str, str | None, str]]:
    """Yield what the cover tells of the document: title, words, place in the description."""
    control = program.program.control
    yield said("Document number"), control.number, f"{_BASE}.number"
    yield said("Belongs to"), control.parent, f"{_BASE}.parent"
    yield said("Supersedes"), control.supersedes, f"{_BASE}.supersedes"
    yield said("Owner"), control.owner, f"{_BASE}.owner"
    yield said("Approved by"), control.approver, f"{_BASE}.approver"
    yield said("Next review"), long_date(control.next_review) if control.next_review else None, f"{_BASE}.next_review"
    yield said("Rest on it"), said_join(control.used_in, "; "), f"{_BASE}.used_in"


def control_blocks(program: Program) -> dict[str, tuple[Block, ...]]:
    """Return the blocks by name; empty where nothing was said."""
    return {"distribution": _distribution(program), "air-suppliers": _suppliers(program)}


def _cell(words: str | None, path: str) -> Cell:
    return Cell((Text(as_own(words), path) if words else Text("–"),))


def _distribution(program: Program) -> tuple[Block, ...]:
    rows = tuple(
        Row(
            f"distribution.row{i + 1}",
            tuple(
                _cell(getattr(copy, name), f"{_BASE}.distribution[{i}].{name}")
                for name in ("copy_number", "holder", "place")
            ),
        )
        for i, copy in enumerate(program.program.control.distribution)
    )
    columns = (Column(said("Copy"), 2), Column(said("Who has it"), 5), Column(said("Where"), 4))
    return (Table("distribution.all", said("Who has a copy"), columns, rows),) if rows else ()


def _suppliers(program: Program) -> tuple[Block, ...]:
    base = "procedures.air_supply.suppliers"
    rows = tuple(
        Row(
            f"air-suppliers.{one.id}",
            (
                _cell(one.name, f"{base}[{i}].name"),
                _cell(said_choice(one.delivers) if one.delivers else None, f"{base}[{i}].delivers"),
                _cell(one.used_for, f"{base}[{i}].used_for"),
                _cell(said_join(_shown(one), "; "), f"{base}[{i}]"),
            ),
        )
        for i, one in enumerate(program.procedures.air_supply.suppliers)
    )
    columns = (
        Column(said("Supplier"), 3),
        Column(said("Delivers"), 2),
        Column(said("For"), 3),
        Column(said("What they state of their air"), 6),
    )
    return (Table("air-suppliers.all", said("Suppliers of breathing air"), columns, rows),) if rows else ()


def _shown(one: AirSupplier) -> Iterator[str]:
    """Yield what is said of a supplier's air."""
    if one.grade:
        yield said("grade %(grade)s", grade=one.grade)
    if one.certified is not None:
        yield said("certified by them") if one.certified else said("not certified by them")
    if one.certificate:
        yield said("certificates: %(certificate)s", certificate=one.certificate)
    if one.cylinders_tested is not None:
        yield said("cylinders tested") if one.cylinders_tested else said("cylinders not tested")
    if one.tested:
        yield said("analysed %(tested)s", tested=long_date(one.tested))
    for words, value in (
        (said("dew point"), one.dew_point),
        (said("oxygen from"), one.oxygen_low),
        (said("oxygen to"), one.oxygen_high),
        (said("oil"), one.oil),
        (said("carbon monoxide"), one.carbon_monoxide),
        (said("carbon dioxide"), one.carbon_dioxide),
    ):
        if value is not None:
            yield said("%(words)s %(value)s", words=words, value=value.printed)
    if one.no_odour is not None:
        yield said("no odour") if one.no_odour else said("an odour")
