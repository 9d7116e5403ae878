"""Single masks and cylinders that their numbers do not tell apart, and a stock that their list does not come to."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import long_date
from progdoc.core.said import said
from progdoc.model.description.devices import Cylinder, Unit
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import FaultAt
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.facepieces import SCBA

__all__ = ["piece_faults"]


def piece_faults(facts: Facts) -> Iterator[FaultAt]:
    """Yield what can't be right about single masks, their cylinders and those in reserve."""
    yield from _of_kinds(facts)
    yield from _of_each_kind(facts)
    yield from _of_numbers(facts)


def _of_kinds(facts: Facts) -> Iterator[FaultAt]:
    """Pieces of two kinds by one maker that have one number, and pieces that were looked at before they were bought."""
    seen: dict[tuple[str, str], str] = {}
    for path, mask in facts.masks.values():
        for i, unit in enumerate(mask.units):
            number = ((mask.make or "").lower(), unit.serial or "")
            if unit.serial and seen.setdefault(number, mask.id) != mask.id:
                other = label_of(facts.masks[seen[number]][1])
                told = said(
                    "“%(serial)s” is a %(mask)s and a %(other)s; a record can be of either",
                    serial=unit.serial,
                    mask=label_of(mask),
                    other=other,
                )
                yield f"{path}.units[{i}].serial", {"trouble": told}
            days = [one.date for one in unit.inspections] + [one.date for one in unit.flow_tests]
            days += [one.since for one in unit.repairs]
            if unit.purchased is not None and days and min(days) < unit.purchased:
                name, bought = (
                    said("%(mask)s %(serial)s", mask=label_of(mask), serial=unit.serial or unit.id),
                    long_date(unit.purchased),
                )
                told = said(
                    "%(name)s was bought on %(bought)s, and has a record of %(days)s",
                    name=name,
                    bought=bought,
                    days=long_date(min(days)),
                )
                yield f"{path}.units[{i}].purchased", {"trouble": told}


def _of_each_kind(facts: Facts) -> Iterator[FaultAt]:
    """Single masks and cylinders of one number, and a stock that their list does not come to."""
    bottles: dict[str, str] = {}
    for path, mask in facts.masks.values():
        serials: set[str] = set()
        for i, unit in enumerate(mask.units):
            if unit.serial in serials:
                told = said(
                    "%(mask)s: more than one piece is called “%(serial)s”; a record can be of either",
                    mask=label_of(mask),
                    serial=unit.serial,
                )
                yield f"{path}.units[{i}].serial", {"trouble": told}
            serials |= {unit.serial} if unit.serial else set()
            bottle = unit.cylinder.serial if unit.cylinder is not None else None
            if bottle and bottle in bottles:
                told = said(
                    "the cylinder “%(bottle)s” is on two pieces, %(bottles)s and %(serial)s",
                    bottle=bottle,
                    bottles=bottles[bottle],
                    serial=unit.serial or unit.id,
                )
                yield f"{path}.units[{i}].cylinder.serial", {"trouble": told}
            elif bottle:
                bottles[bottle] = unit.serial or unit.id
        has_records = mask.emergency or mask.mode in SCBA or mask.auxiliary_air
        if mask.in_stock is None or not mask.units or mask.in_stock == len(mask.units):
            continue
        if mask.in_stock < len(mask.units) or has_records:
            told = said(
                "%(mask)s: %(in_stock)s in stock, and %(n)s with records of inspection",
                mask=label_of(mask),
                in_stock=mask.in_stock,
                n=len(mask.units),
            )
            yield f"{path}.in_stock", {"trouble": told}


def _of_numbers(facts: Facts) -> Iterator[FaultAt]:
    """Cylinders in reserve that have the number of another cylinder, and inventory numbers that are there twice."""
    pieces = [(f"{path}.units[{i}]", unit) for path, mask in facts.masks.values() for i, unit in enumerate(mask.units)]
    held = [(f"{path}.cylinder", unit.cylinder) for path, unit in pieces if unit.cylinder is not None]
    spares = [(f"cylinders[{i}]", spare) for i, spare in enumerate(facts.description.cylinders)]
    serials = {one.serial for _, one in held if one.serial}
    for path, spare in spares:
        if spare.serial in serials:
            told = said("more than one cylinder is called “%(serial)s”; a record can be of either", serial=spare.serial)
            yield f"{path}.serial", {"trouble": told}
        serials |= {spare.serial} if spare.serial else set()
    numbers: set[str] = set()
    numbered: list[tuple[str, Unit | Cylinder]] = [*pieces, *held, *spares]
    for path, thing in numbered:
        if thing.inventory in numbers:
            told = said(
                "the inventory number “%(inventory)s” is given twice; a record can be of either",
                inventory=thing.inventory,
            )
            yield f"{path}.inventory", {"trouble": told}
        numbers |= {thing.inventory} if thing.inventory else set()
