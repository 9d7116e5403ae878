"""Single masks with records of their own: whether the last inspection of one left it fit for use.

The closed result says so. Where it is silent, a text counts as sound only if each of its parts is one of few known ones
(`found_sound` of `catalogue/tables/telling_words.yaml`, common practice, no source): a defect has too many words to be
looked for. What counts is the newest inspection up to the day: a later one answers for an earlier defect. What was out
of service comes back only by a repair that is told, and two sets that share a cylinder or a number are one. A cylinder
that was found low and not charged again leaves a set that nobody may wear.
"""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum
from functools import cache

from progdoc.model.description.devices import Inspection, InspectionResult, Unit
from progdoc.model.description.masks import Mask
from progdoc.model.description.quantities import Dimension, Quantity, in_unit
from progdoc.rules.judged.figure_results import InForce
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.clauses import clauses_of
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import found_defect, is_told
from progdoc.rules.lookup.text_intervals import quantities_in
from progdoc.rules.lookup.withdrawal import is_withdrawn, under_repair

__all__ = [
    "UnitState",
    "awaited_repair",
    "best_state",
    "gauge_share",
    "is_past_its_life",
    "is_plain",
    "low_charge",
    "newest_inspection",
    "sound_pieces",
    "unit_state",
]

_BETWEEN = re.compile(r"[\W_]+")
_A_FIGURE = re.compile(r"\d")
_NEARLY_FULL = 100.0 - 1e-9
_PARTS = re.compile(r"[,;.:/]|\band\b", re.IGNORECASE)


class UnitState(StrEnum):
    SOUND = "sound"
    UNSAID = "not said"  # nobody says in closed words whether it may be worn
    SET_ASIDE = "set aside"  # its record says that it is out of service
    DEFECTIVE = "defective"  # a defect was found, and nothing says that it was put right


def newest_inspection(unit: Unit, as_of: date) -> tuple[int, Inspection] | None:
    """Return the newest inspection up to a day, with its place among all of them."""
    past = [(one.date, i) for i, one in enumerate(unit.inspections) if one.date <= as_of]
    return (max(past)[1], unit.inspections[max(past)[1]]) if past else None


def unit_state(unit: Unit, as_of: date, charge: InForce | None = None) -> UnitState:
    """Return what the newest inspection says of a single mask; one that was never looked at is asked for elsewhere.

    `charge` is the share of its pressure down to which its cylinder is charged again, where it has one.
    """
    if is_withdrawn(unit, as_of) or under_repair(unit, as_of) or is_past_its_life(unit, as_of):
        return UnitState.SET_ASIDE
    newest = newest_inspection(unit, as_of)
    if newest is None:
        return UnitState.SOUND
    state = _left_by(newest[1])
    if state in (UnitState.SOUND, UnitState.UNSAID) and low_charge(
        newest[1], charge, unit.cylinder.rated if unit.cylinder else None
    ):
        return UnitState.DEFECTIVE
    is_back = state in (UnitState.SOUND, UnitState.UNSAID)
    return UnitState.DEFECTIVE if is_back and awaited_repair(unit, as_of) else state


def is_past_its_life(unit: Unit, as_of: date) -> bool:
    """Return whether a last day that is stated of a piece, of what is on it or of its cylinder lies behind."""
    days = (unit.end_of_life, unit.use_by, unit.cylinder.end_of_life if unit.cylinder else None)
    return any(day is not None and day < as_of for day in days)


def awaited_repair(unit: Unit, as_of: date) -> Inspection | None:
    """Return the inspection since which a set is out of service, where no later one tells what was put right."""
    waits: Inspection | None = None
    for record in sorted((one for one in unit.inspections if one.date <= as_of), key=lambda one: one.date):
        if _left_by(record) is UnitState.SET_ASIDE:
            waits = record
        elif record.result is InspectionResult.REPAIRED or _tells_repair(record):
            waits = None
    return waits


def low_charge(record: Inspection, charge: InForce | None, rated: Quantity | None = None) -> Quantity | None:
    """Return the pressure that an inspection found and left, where it is down to that at which cylinders are charged.

    The figure says it, the gauge beside the rated pressure, or a share in the text, whichever is least.
    """
    if charge is None or not isinstance(charge.value, Quantity) or _tells_charge(record):
        return None
    told = [clause for clause in clauses_of(record.findings or "") if not is_told("other_shares", clause)]
    found = [one for clause in told for one in quantities_in(clause, Dimension.PERCENT)]
    found += [record.pressure] if record.pressure is not None else []
    found += [share] if (share := gauge_share(record, rated)) is not None else []
    lowest = min(found, key=lambda one: one.value, default=None)
    most = min(charge.value.value, _NEARLY_FULL)  # at all of it nothing is missing
    return lowest if lowest is not None and lowest.value <= most else None


def gauge_share(record: Inspection, rated: Quantity | None) -> Quantity | None:
    """Return what the gauge showed, as a share of the pressure that a cylinder is rated for."""
    if record.gauge is None or rated is None or in_unit(rated, "psi") <= 0.0:
        return None
    share = 100.0 * in_unit(record.gauge, "psi") / in_unit(rated, "psi")
    return Quantity(share, "%", f"{share:.4g} %")


def _tells_charge(record: Inspection) -> bool:
    clauses = (*clauses_of(record.remedy or ""), *clauses_of(record.findings or ""))
    undone = ("remedy_to_come", "repair_due", "denials")
    return any(
        is_told("charged_again", clause) and not any(is_told(name, clause) for name in undone) for clause in clauses
    )


def is_plain(record: Inspection) -> bool:
    """Return whether all that an inspection found is known to be no defect, or was put right, or is a figure."""
    remedy = record.remedy or ""
    if _tells_repair(record) or (_is_done(remedy) and not _are_all("no_remedy", remedy)):
        return True
    parts = [part.strip(" !\t\r\n") for part in _PARTS.split((record.findings or "").casefold())]
    known = ("sound", "denials")
    return all(
        not part
        or part in _known("found_sound")
        or _A_FIGURE.search(part)
        or any(is_told(name, part) for name in known)
        for part in parts
    )


def _tells_repair(record: Inspection) -> bool:
    texts = (record.remedy or "", record.findings or "")
    return any(is_told("put_right", text) and not is_told("remedy_to_come", text) for text in texts)


def _left_by(record: Inspection) -> UnitState:
    findings, remedy = record.findings or "", record.remedy or ""
    if record.result is InspectionResult.OUT_OF_SERVICE or any(
        is_told("set_aside", text) and not is_told("remedy_to_come", text) for text in (remedy, findings)
    ):
        return UnitState.SET_ASIDE
    is_mended = _is_done(remedy)
    if (record.result is InspectionResult.REPAIRED or found_defect(findings)) and not is_mended:
        return UnitState.DEFECTIVE
    if is_told("repair_due", remedy) and not _are_all("no_remedy", remedy):
        return UnitState.DEFECTIVE
    if record.by is not None and said_by(record.by) is not Said.ANSWER:
        return UnitState.UNSAID
    is_sound = record.result is not None or (_are_all("found_sound", findings) and _are_all("no_remedy", remedy or "-"))
    return UnitState.SOUND if is_sound else UnitState.UNSAID


def best_state(mask: Mask, as_of: date, charge: InForce | None = None) -> UnitState:
    """Return how the best of the single masks stands, or that there are others than those with records.

    >>> best_state(Mask(id="set", in_stock=2, units=(Unit(id="one"),)), date(2026, 6, 1))
    <UnitState.SOUND: 'sound'>
    """
    if not mask.units or (mask.in_stock is not None and mask.in_stock > len(mask.units)):
        return UnitState.SOUND
    order = tuple(UnitState)
    return min((unit_state(unit, as_of, charge) for unit in mask.units), key=order.index)


def sound_pieces(
    mask: Mask, as_of: date, counted: set[str] | None = None, charge: InForce | None = None
) -> tuple[int, int] | None:
    """Return how many of a mask may be worn, and of how many more that is not said; None where nobody counts them.

    Numbers of sets and cylinders that were counted already are not counted again.

    >>> sound_pieces(Mask(id="set", in_stock=3, units=(Unit(id="one"),)), date(2026, 6, 1))
    (2, 1)
    """
    if mask.in_stock is None and not mask.units:
        return None
    counted, states = set() if counted is None else counted, []
    for unit in mask.units:
        state = unit_state(unit, as_of, charge)
        if state is UnitState.SOUND and newest_inspection(unit, as_of) is None:
            state = UnitState.UNSAID
        if state in (UnitState.SOUND, UnitState.UNSAID) and not (marks := _marks(unit)) & counted:
            states.append(state)
            counted |= marks
    held = len(mask.units) if mask.in_stock is None else int(mask.in_stock)
    sound, unsaid = states.count(UnitState.SOUND), states.count(UnitState.UNSAID)
    others = max(0, held - len(mask.units))
    return min(held, sound + others), min(unsaid, max(0, held - sound - others))


def _marks(unit: Unit) -> set[str]:
    """Return what a set and its cylinder are known by, whatever case, blanks and hyphens the number is written with."""
    cylinder = unit.cylinder
    told = {"set": unit.serial, "cylinder": cylinder.serial or cylinder.id if cylinder else None}
    return {f"{kind} {bare}" for kind, mark in told.items() if mark and (bare := _BETWEEN.sub("", mark.casefold()))}


def _is_done(remedy: str) -> bool:
    """Whether a remedy was made: what is only to be done mends nothing."""
    is_to_come = is_told("remedy_to_come", remedy) or is_told("repair_due", remedy)
    return said_by(remedy) is Said.ANSWER and not is_to_come


def _are_all(name: str, text: str) -> bool:
    parts = [kept for part in _PARTS.split(text.casefold()) if (kept := part.strip(" !\t\r\n"))]
    return bool(parts) and all(part in _known(name) for part in parts)


@cache
def _known(name: str) -> frozenset[str]:
    return frozenset(word for group in table_entries("telling_words", name) for word in group["words"])
