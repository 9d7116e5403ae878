"""Masks that a fire brigade, a level of protection at hazardous waste, or a spray booth asks for.

29 CFR 1910.156(f); 1910.120 and 1926.65, Appendix B, which is guidance; 1910.94(c)(6)(iii).
"""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.said import said
from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.model.description.special_work import ProtectionLevel, SprayPlace
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.lookup.cited import cited
from progdoc.rules.reasons import Reason

__all__ = ["against_special_work", "asks_for_mask_at_spraying", "is_fire_brigade", "is_sprayed_upon"]

_BUILDERS = (Industry.CONSTRUCTION, Industry.SHIPYARD)
_COVERS = (Facepiece.FULL_FACEPIECE, Facepiece.HELMET, Facepiece.HOOD)
_SEALED = (Facepiece.FULL_FACEPIECE, Facepiece.HALF_MASK, Facepiece.FILTERING_FACEPIECE)


def is_fire_brigade(task: Task) -> bool:
    """Return whether the section on fire brigades covers a task: fires inside buildings, in general industry."""
    return task.structural_fire and task.industry not in _BUILDERS


def is_sprayed_upon(task: Task) -> bool:
    """Return whether the painter stands downstream in a booth, or nobody says otherwise."""
    work = task.spraying
    return work is not None and work.place is SprayPlace.BOOTH and work.downstream is not False


def asks_for_mask_at_spraying(task: Task) -> bool:
    """Return whether a mask is a must there; in construction the section only advises one."""
    return is_sprayed_upon(task) and task.industry not in _BUILDERS


def against_special_work(air: TaskAir, mask: Mask, path: str) -> Iterator[Reason]:
    """Return why a mask does not do for a fire brigade, or is not that of the level that was set."""
    if is_fire_brigade(air.task) and not (mask.mode is Mode.SCBA_PRESSURE_DEMAND and mask.facepiece in _COVERS):
        yield Reason("BRG-001", path)
    level = air.task.protection_level
    if level is not None and not _is_of_level(level, mask):
        wanted = said("a full facepiece with air of its own under pressure, and a way out with it")
        if level is ProtectionLevel.C:
            wanted = said("a half mask or full facepiece")
        at = "general" if air.task.industry is not Industry.CONSTRUCTION else "construction"
        yield Reason("HAZ-001", path, {"level": level.value, "wanted": wanted, "citation": cited(f"levels-{at}")})


def _is_of_level(level: ProtectionLevel, mask: Mask) -> bool:
    if level is ProtectionLevel.D:
        return True
    brings_air = mask.mode is Mode.SCBA_PRESSURE_DEMAND or (
        mask.mode is Mode.AIRLINE_PRESSURE_DEMAND and mask.auxiliary_air
    )
    if mask.facepiece is Facepiece.FULL_FACEPIECE and brings_air:
        return True
    return level is ProtectionLevel.C and mask.facepiece in _SEALED
