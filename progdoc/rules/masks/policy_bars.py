"""Masks and filters that a policy bars from a task."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.said import said_join
from progdoc.model.description.masks import Facepiece, Filter, Mask
from progdoc.rules.in_force.strictest import filter_is_below
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.lookup.facepieces import purifies
from progdoc.rules.masks.standards import particle_filters
from progdoc.rules.reasons import Reason

__all__ = ["against_policies"]


def against_policies(air: TaskAir, mask: Mask, fitted: list[Filter], path: str) -> Iterator[Reason]:
    """Name the policies that a mask or its filters break in a task, whatever their factor."""
    asked_of_it = air.rules.of(mask)
    for origin in asked_of_it.dust_masks_barred_by if mask.facepiece is Facepiece.FILTERING_FACEPIECE else ():
        yield Reason("POL-004", path, {"policy": origin, "citation": origin})
    for origin in asked_of_it.air_purifying_barred_by if purifies(mask) else ():
        yield Reason("POL-006", path, {"policy": origin, "citation": origin})
    for origin in asked_of_it.choice_barred_by if air.is_by_choice else ():
        yield Reason("POL-012", path, {"policy": origin, "citation": origin})
    if not purifies(mask) or not any(agent.is_particle for agent in air.agents):
        return
    for wanted, origin in asked_of_it.least_filters:
        below = [part.value for part in particle_filters(mask, fitted) if filter_is_below(part, wanted)]
        if below:
            asked = {"policy": origin, "least": wanted.value, "citation": origin}
            yield Reason("POL-003", path, {**asked, "filter": said_join(below, ", ")})
