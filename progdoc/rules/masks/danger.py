"""Air that is immediately dangerous or short of oxygen: which masks serve there, and why another does not."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.calc.oxygen import OxygenCase
from progdoc.core.said import said_join
from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.model.description.quantities import in_unit
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.judged.figure_results import Setter
from progdoc.rules.lookup.facepieces import purifies
from progdoc.rules.reasons import Reason

__all__ = ["against_danger", "is_for_idlh", "is_made_for_danger", "is_the_answer_to_danger"]


def against_danger(air: TaskAir, mask: Mask, path: str) -> Iterator[Reason]:
    """Name what a mask lacks for air that is immediately dangerous, short of oxygen, or thin."""
    if mask.escape_only:
        yield Reason("SEL-010", path, {"mask": mask.id, "task": air.task.id})
        return
    if air.is_immediately_dangerous and not is_for_idlh(mask, air):
        yield _not_for_danger(air, mask, path)
    elif air.oxygen is OxygenCase.EXCEPTION and purifies(mask):
        yield Reason("SEL-002", path, {"citation": air.oxygen_set_by} if air.oxygen_set_by else {})
    if air.needs_enriched_air and air.needs_mask and (purifies(mask) or not mask.enriched_air):
        yield Reason("SEL-022", path)


def is_for_idlh(mask: Mask, air: TaskAir) -> bool:
    """Full-facepiece pressure-demand SCBA of enough minutes, or airline with auxiliary air (d)(2)(i).

    Inside a burning building only the former (g)(4)(iii).
    """
    is_one = is_made_for_danger(mask, air.rules.of(mask).scba_minutes.amount("min"))
    return is_one and (mask.mode is Mode.SCBA_PRESSURE_DEMAND or not air.task.structural_fire)


def is_made_for_danger(mask: Mask, minutes: float) -> bool:
    """Say whether a mask is of one of the two kinds for immediately dangerous air; minutes: what an SCBA must last."""
    if mask.facepiece is not Facepiece.FULL_FACEPIECE or mask.escape_only:
        return False
    if mask.mode is Mode.SCBA_PRESSURE_DEMAND:
        return mask.service_time is not None and in_unit(mask.service_time, "min") >= minutes
    return mask.mode is Mode.AIRLINE_PRESSURE_DEMAND and mask.auxiliary_air


def is_the_answer_to_danger(mask: Mask, air: TaskAir) -> bool:
    """Whether the air is immediately dangerous and the mask is one of the two kinds for it."""
    return air.is_immediately_dangerous and is_for_idlh(mask, air)


def _not_for_danger(air: TaskAir, mask: Mask, path: str) -> Reason:
    minutes = air.rules.of(mask).scba_minutes
    if minutes.setter is Setter.POLICY and mask.service_time is not None:
        longer = mask.model_copy(update={"service_time": minutes.value})
        by_law = in_unit(mask.service_time, "min") >= air.rules.law.amount("scba-service-time", "min")
        if by_law and is_for_idlh(longer, air):
            words = {"policy": minutes.origin, "least": minutes.printed, "found": mask.service_time.printed}
            return Reason("POL-011", path, {**words, "citation": minutes.origin})
    cites = {"citation": air.danger_set_by} if air.danger_set_by else {}
    return Reason("SEL-001", path, {"danger": said_join(air.danger, "; "), **cites})
