"""How many there are of a mask, and how many people wear it: fewer masks than wearers are shared, whatever is said."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join
from progdoc.model.description.devices import Inspection, InspectionResult
from progdoc.model.description.masks import Issue, Mask
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import charge_needed
from progdoc.rules.judged.figure_results import Setter
from progdoc.rules.lookup.telling_words import found_defect
from progdoc.rules.lookup.unit_state import (
    UnitState,
    awaited_repair,
    best_state,
    gauge_share,
    is_plain,
    low_charge,
    newest_inspection,
    unit_state,
)
from progdoc.rules.requirement import Subject

__all__ = ["STOCK_CHECKS", "shortage"]


def _pieces(mask: Mask) -> int | None:
    return mask.in_stock if mask.in_stock is not None else len(mask.units) or None


def _place(path: str, mask: Mask) -> str:
    return f"{path}.in_stock" if mask.in_stock is not None else f"{path}.units"


def shortage(facts: Facts, mask: Mask) -> tuple[int, int] | None:
    """Return how many people wear a mask and how many of it there are, where these are too few; else nothing.

    People wear it who were issued one, and those of a task that names no other mask. Single masks that have records
    of their own count as all there are, where nobody says how many are in stock.
    """
    pieces = _pieces(mask)
    if pieces is None or mask.disposable:
        return None
    issued = {person.id for _, person in facts.people.values() if any(one.mask == mask.id for one in person.masks)}
    alone = {
        person
        for _, task in facts.tasks_by_mask.get(mask.id, ())
        if all(use.mask == mask.id for use in task.masks)
        for person in task.people
    }
    wearers = len(issued | alone)
    return (wearers, pieces) if wearers > pieces else None


def _stock_for_all_wearers(facts: Facts, subject: Subject) -> CheckResult:
    """Whoever is to have a mask of their own finds one."""
    path, mask = facts.masks[subject.ids[0].partition(".")[2]]
    paths = (f"{path}.issue", f"{path}.in_stock")
    if mask.in_stock is None and not mask.units:
        return CheckResult(paths, nothing=said("Nobody says how many there are."))
    short = shortage(facts, mask)
    if short is None or short[1] == 0 or mask.issue is not Issue.EXCLUSIVE:  # that there is none is told apart
        return CheckResult(paths, shown=(_place(path, mask),))
    return CheckResult(paths, ((paths[0], {"wearers": str(short[0]), "pieces": str(short[1])}),))


def _some_in_stock(facts: Facts, subject: Subject) -> CheckResult:
    """A mask that a task names is there at all."""
    path, mask = facts.masks[subject.ids[1].partition(".")[2]]
    place = f"{path}.in_stock"
    faults = ((place, {"pieces": "0"}),) if _pieces(mask) == 0 else ()
    return CheckResult((place, f"{path}.units"), faults, shown=(_place(path, mask),))


def _sound_piece_left(facts: Facts, subject: Subject) -> CheckResult:
    """Of a mask whose pieces have records of their own, one at least is not out of service."""
    path, mask = facts.masks[subject.ids[1].partition(".")[2]]
    place = f"{path}.units"
    if not mask.units:
        return CheckResult((place,), nothing=said("Its pieces have no records of their own."))
    best = best_state(mask, facts.as_of, charge_needed(facts.rules, mask))
    if best is UnitState.UNSAID:
        return CheckResult((place,), ask=(place,))
    return result_at(place, None if best is UnitState.SOUND else {"pieces": str(len(mask.units))})


def _defect_put_right(facts: Facts, subject: Subject) -> CheckResult:
    """What the last inspection of a piece found was put right, or the piece is out of service."""
    unit, path = facts.value_at(subject.path), f"{subject.path}.inspections"
    newest = newest_inspection(unit, facts.as_of)
    if newest is None:
        return CheckResult((path,), nothing=said("No inspection of it is recorded."))
    place, (number, record) = f"{path}[{newest[0]}]", newest
    if unit_state(unit, facts.as_of) is not UnitState.DEFECTIVE:
        return CheckResult((place,), shown=(place,))
    told = (
        said("“%(remedy)s” is all that is said of a remedy", remedy=record.remedy)
        if record.remedy
        else said("no remedy is told")
    )
    if waits := awaited_repair(unit, facts.as_of):
        told = said(
            "nothing tells what was put right since it was out of service on %(date)s", date=long_date(waits.date)
        )
    found = found_defect(record.findings or "") or record.findings or "repaired"
    words = {"date": long_date(record.date), "found": found, "told": told}
    return CheckResult((place,), ((f"{path}[{number}].remedy", words),))


def _result_given(facts: Facts, subject: Subject) -> CheckResult:
    """The last inspection of a piece says in closed words whether it may be worn, or found plainly nothing."""
    unit, path = facts.value_at(subject.path), f"{subject.path}.inspections"
    newest = newest_inspection(unit, facts.as_of)
    if newest is None:
        return CheckResult((path,), nothing=said("No inspection of it is recorded."))
    place, record = f"{path}[{newest[0]}]", newest[1]
    if unit_state(unit, facts.as_of) is not UnitState.UNSAID:
        return CheckResult((place,), shown=(place,))
    told = said_join(
        (
            said("“%(text)s”", text=text)
            for text in (record.by if record.result else "", record.findings, record.remedy)
            if text
        ),
        "; ",
    )
    words = {"date": long_date(record.date), "told": told or "nothing"}
    return CheckResult((place,), ((f"{place}.{'by' if record.result else 'result'}", words),))


def _charged_again(facts: Facts, subject: Subject) -> CheckResult:
    """A cylinder that was found down to the pressure at which it is charged again was charged."""
    unit, path = facts.value_at(subject.path), f"{subject.path}.inspections"
    newest = newest_inspection(unit, facts.as_of)
    charge = charge_needed(facts.rules, facts.masks[subject.ids[0].partition(".")[2]][1])
    if newest is None or charge is None:
        return CheckResult((path,), nothing=said("No inspection of it is recorded, or it has no cylinder."))
    place, record = f"{path}[{newest[0]}]", newest[1]
    rated = unit.cylinder.rated if unit.cylinder else None
    found = low_charge(record, charge, rated)
    if found is None or record.result is InspectionResult.OUT_OF_SERVICE:
        return CheckResult((place,), shown=(place,))
    cites = {} if charge.setter is Setter.LAW else {"citation": charge.origin}
    words = {"date": long_date(record.date), "found": found.printed, "most": charge.text, **cites}
    return CheckResult((place,), ((f"{place}.{_where_told(record, found, rated)}", words),))


def _where_told(record: Inspection, found: Quantity, rated: Quantity | None) -> str:
    if found is record.pressure:
        return "pressure"
    return "gauge" if found == gauge_share(record, rated) else "findings"


def _pressure_recorded(facts: Facts, subject: Subject) -> CheckResult:
    """The newest inspection of a set says how full its cylinder is."""
    unit, path = facts.value_at(subject.path), f"{subject.path}.inspections"
    newest = newest_inspection(unit, facts.as_of)
    if newest is None or newest[1].result is InspectionResult.OUT_OF_SERVICE:
        return CheckResult((path,), nothing=said("No inspection of it is recorded, or it is out of service."))
    place, record = f"{path}[{newest[0]}].pressure", newest[1]
    rated = unit.cylinder.rated if unit.cylinder else None
    if record.pressure is None and record.gauge is not None and rated is not None:
        return CheckResult((place,), shown=(f"{path}[{newest[0]}].gauge",))
    return result_at(place, {"date": long_date(record.date)} if record.pressure is None else None)


def _remark_put_right(facts: Facts, subject: Subject) -> CheckResult:
    """What an inspection remarks on a set that it calls serviceable is plainly no defect, or was put right."""
    unit, path = facts.value_at(subject.path), f"{subject.path}.inspections"
    newest = newest_inspection(unit, facts.as_of)
    charge = charge_needed(facts.rules, facts.masks[subject.ids[0].partition(".")[2]][1])
    if newest is None or unit_state(unit, facts.as_of, charge) is not UnitState.SOUND:
        return CheckResult((path,), nothing=said("No inspection found it fit to be worn."))
    place, record = f"{path}[{newest[0]}]", newest[1]
    words = {"date": long_date(record.date), "found": record.findings or ""}
    return CheckResult((place,), () if is_plain(record) else ((f"{place}.remedy", words),), shown=(place,))


def _enough_for_a_task(facts: Facts, subject: Subject) -> CheckResult:
    """Where masks are shared, all whom a task names find one at once, unless it names another mask too."""
    path, mask = facts.masks[subject.ids[0].partition(".")[2]]
    paths, pieces = (f"{path}.in_stock", f"{path}.units", f"{path}.issue"), _pieces(mask)
    if mask.issue is Issue.EXCLUSIVE or mask.disposable or not pieces:
        return CheckResult(paths, nothing=said("It has one wearer each, or there is none of it."))
    faults = tuple(
        (f"{place}.people", {"task": label_of(task), "wearers": str(len(set(task.people))), "pieces": str(pieces)})
        for place, task in facts.tasks_by_mask.get(mask.id, ())
        if all(use.mask == mask.id for use in task.masks) and len(set(task.people)) > pieces
    )
    return CheckResult(paths, faults, shown=(_place(path, mask),))


STOCK_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "stock-for-all-wearers": _stock_for_all_wearers,
    "some-in-stock": _some_in_stock,
    "enough-for-a-task": _enough_for_a_task,
    "sound-piece-left": _sound_piece_left,
    "defect-put-right": _defect_put_right,
    "inspection-result-given": _result_given,
    "cylinder-charged-again": _charged_again,
    "pressure-recorded": _pressure_recorded,
    "remark-put-right": _remark_put_right,
}
