"""What falls due for the register of devices: last days, bench tests, cylinders in reserve, lots of filters."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from progdoc.core.numbers import long_date
from progdoc.core.said import said
from progdoc.model.description.devices import SpareCylinder, Unit
from progdoc.model.description.masks import Filter, Mask
from progdoc.model.description.words import label_of
from progdoc.rules.due.due_items import DueItem
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import cylinder_due, flow_test_cycles
from progdoc.rules.in_force.intervals import shortest
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.records.device_checks import last_flow_test

__all__ = ["due_for_devices"]

_PRINTED = said("the maker's last day")


def due_for_devices(facts: Facts) -> Iterator[DueItem]:
    """Yield what falls due for single pieces, cylinders in reserve and lots in stock."""
    for path, mask in facts.masks.values():
        for i, unit in enumerate(() if is_withdrawn(mask, facts.as_of) else mask.units):
            if not is_withdrawn(unit, facts.as_of):
                yield from _ends(mask, unit, f"{path}.units[{i}]")
                yield from _flow_test(facts, mask, unit, f"{path}.units[{i}]")
    for i, spare in enumerate(facts.description.cylinders):
        if not is_withdrawn(spare, facts.as_of):
            yield from _spare(facts, spare, f"cylinders[{i}]")
    for path, part in facts.filters.values():
        yield from _lots(part, path)


def _last_day(identity: str, day: date | None, what: str, path: str, subject: tuple[str, ...]) -> Iterator[DueItem]:
    if day is not None:
        yield DueItem(
            identity, Kind.LAST_DAY, day, what, said("until %(day)s", day=long_date(day)), _PRINTED, path, subject
        )


def _ends(mask: Mask, unit: Unit, path: str) -> Iterator[DueItem]:
    name, subject = (
        said("%(mask)s %(serial)s", mask=label_of(mask), serial=unit.serial or unit.id),
        (f"masks.{mask.id}", f"units.{unit.id}"),
    )
    key = f"{mask.id}.{unit.id}"
    yield from _last_day(
        f"end.{key}", unit.end_of_life, said("Last day of %(name)s", name=name), f"{path}.end_of_life", subject
    )
    yield from _last_day(
        f"use-by.{key}",
        unit.use_by,
        said("Last day of the cartridge on %(name)s", name=name),
        f"{path}.use_by",
        subject,
    )
    if unit.cylinder is not None:
        end, what = (
            unit.cylinder.end_of_life,
            said("Last day of cylinder %(serial)s", serial=unit.cylinder.serial or unit.cylinder.id),
        )
        yield from _last_day(f"cylinder-end.{key}", end, what, f"{path}.cylinder.end_of_life", subject)


def _flow_test(facts: Facts, mask: Mask, unit: Unit, path: str) -> Iterator[DueItem]:
    done = last_flow_test(unit, facts.as_of)
    cycle = shortest(done or facts.as_of, flow_test_cycles(facts.rules, mask, facts.tasks_around(mask)))
    if cycle is None:
        return
    yield DueItem(
        id=f"flow-test.{mask.id}.{unit.id}",
        kind=Kind.FLOW_TEST,
        due=cycle.from_day(done) if done else None,
        what=said("Flow test of %(mask)s %(serial)s", mask=label_of(mask), serial=unit.serial or unit.id),
        because=said("last %(done)s", done=long_date(done)) if done else said("no test that it passed is on record"),
        basis=cycle.basis,
        path=f"{path}.flow_tests",
        subject=(f"masks.{mask.id}", f"units.{unit.id}"),
        cycle=cycle,
    )


def _spare(facts: Facts, spare: SpareCylinder, path: str) -> Iterator[DueItem]:
    name, subject = spare.serial or spare.id, (f"cylinders.{spare.id}",)
    yield DueItem(
        id=f"spare-cylinder.{spare.id}",
        kind=Kind.CYLINDER,
        due=cylinder_due(facts.rules, [task for _, task in facts.our_tasks], spare),
        what=said("Requalification of cylinder %(name)s, in reserve", name=name),
        because=said("last %(requalified)s", requalified=long_date(spare.requalified))
        if spare.requalified
        else said("no test is on record"),
        basis=cited("cylinder-tests"),
        path=f"{path}.requalify_by",
        subject=subject,
    )
    what = said("Last day of cylinder %(name)s, in reserve", name=name)
    yield from _last_day(f"spare-end.{spare.id}", spare.end_of_life, what, f"{path}.end_of_life", subject)


def _lots(part: Filter, path: str) -> Iterator[DueItem]:
    for i, lot in enumerate(part.stock):
        if lot.pieces != 0:
            key = "-".join(f"{part.id}.{lot.lot}".split())
            what = said("Last day of %(part)s, lot %(lot)s", part=label_of(part), lot=lot.lot)
            yield from _last_day(
                f"lot.{key}.{i}", lot.use_by, what, f"{path}.stock[{i}].use_by", (f"filters.{part.id}",)
            )
