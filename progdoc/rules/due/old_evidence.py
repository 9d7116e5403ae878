"""Evidence that a renewal looks at again: of exposure, of oxygen, of the breathing air."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.calc.due_dates import due_date, is_overdue
from progdoc.core.said import said
from progdoc.rules.air.evidence import OLD_MONTHS, oldest_kind
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
        what = said("%(agent)s in “%(tasks)s”", agent=hazard.agent, tasks=facts.tasks[hazard.task][1].name)
        agents = facts.selection.air[hazard.task].agents
        limits = next((one.limits for one in agents if one.hazard.id == hazard.id), ())
        oldest = oldest_kind(hazard.exposure, limits, facts.as_of)
        yield OldEvidence(what, oldest[0] if oldest else None, said("hazards: %(hazard)s", hazard=hazard.id))
    for task in program.tasks:
        if task.oxygen:
            yield OldEvidence(
                said("oxygen in “%(task)s”", task=task.name), task.oxygen.date, said("tasks: %(task)s", task=task.id)
            )
    air = program.procedures.air_supply
    if air.sources:
        yield OldEvidence(said("breathing air"), air.tested, said("procedures: air_supply"))
