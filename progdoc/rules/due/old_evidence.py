"""Evidence that a renewal looks at again: of exposure, of oxygen, of the breathing air."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from progdoc.calc.due_dates import due_date, is_overdue
from progdoc.model.description.hazards import Hazard
from progdoc.rules.air.evidence import OLD_MONTHS
from progdoc.rules.facts import Facts
from progdoc.rules.judged.record_results import OldEvidence

__all__ = ["old_evidence"]


def old_evidence(facts: Facts) -> tuple[OldEvidence, ...]:
    """Return the evidence that is older than a year or has no day."""
    return tuple(
        one for one in _dated(facts) if one.day is None or is_overdue(due_date(one.day, months=OLD_MONTHS), facts.as_of)
    )


def _dated(facts: Facts) -> Iterator[OldEvidence]:
    program = facts.description
    for hazard in program.hazards:
        what = f"{hazard.agent} in “{facts.tasks[hazard.task][1].name}”"
        yield from (OldEvidence(what, day, f"hazards: {hazard.id}") for day in _dates_of(hazard))
    for task in program.tasks:
        if task.oxygen:
            yield OldEvidence(f"oxygen in “{task.name}”", task.oxygen.date, f"tasks: {task.id}")
    air = program.procedures.air_supply
    if air.sources:
        yield OldEvidence("breathing air", air.tested, "procedures: air_supply")


def _dates_of(hazard: Hazard) -> list[date | None]:
    """Return the newest date of a hazard's evidence; nothing for evidence that has none by its nature."""
    evidence = hazard.exposure
    results = getattr(evidence, "results", None)
    days = [sample.date for sample in results] if results is not None else [getattr(evidence, "date", None)]
    known = [day for day in days if day is not None]
    return [max(known)] if known else [None]
