"""Masks that abrasive blasting asks for (29 CFR 1910.94(a)(5), 1926.57(f)(5), 1915.34(c)(3)).

What nobody said counts as the worse case; an industry that nobody named, as the strictest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import IntEnum

from progdoc.model.description.masks import Mask, Mode
from progdoc.model.description.special_work import Abrasive, Blasting, BlastPlace, BlastWork
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.reasons import Reason

__all__ = ["BlastMask", "against_blasting", "bars_dust_masks", "blast_mask"]

_PURIFYING = (Mode.AIR_PURIFYING, Mode.POWERED)
_AIRLINE = (Mode.AIRLINE_DEMAND, Mode.AIRLINE_CONTINUOUS_FLOW, Mode.AIRLINE_PRESSURE_DEMAND)


class BlastMask(IntEnum):
    """The least mask that blasting asks for."""

    NONE = 0
    FILTER = 1  # in shipyards: outside, with a man-made abrasive
    BLASTING = 2


def blast_mask(task: Task, agents: Sequence[Assessment]) -> BlastMask:
    """Return the least mask for the blasting of a task; whoever clears up is left to what the air asks."""
    work = task.blasting
    if work is None or work.work is BlastWork.CLEAN_UP:
        return BlastMask.NONE
    is_over = any(agent.is_over_limit for agent in agents)
    return max(_in_industry(industry, work, is_over) for industry in map(Industry, industries_of(task)))


def _in_industry(industry: Industry, work: Blasting, is_over: bool) -> BlastMask:
    if industry is Industry.SHIPYARD:
        is_mild = work.place is BlastPlace.OUTSIDE and work.abrasive is Abrasive.LOW_SILICA
        return BlastMask.FILTER if is_mild else BlastMask.BLASTING
    if work.place in (BlastPlace.ROOM, None):
        return BlastMask.BLASTING
    if work.separated:
        return BlastMask.NONE
    is_sand = work.abrasive in (Abrasive.SILICA_SAND, None)
    is_toxic = work.toxic is not False and is_over
    return BlastMask.BLASTING if is_sand or is_toxic else BlastMask.NONE


def bars_dust_masks(task: Task) -> bool:
    """Return whether a filter is no lasting protection: silica sand or toxic material, 1910.94(a)(5)(iii)(b)."""
    work = task.blasting
    if work is None or work.work is BlastWork.CLEAN_UP or Industry.GENERAL not in industries_of(task):
        return False
    return work.abrasive in (Abrasive.SILICA_SAND, None) or work.toxic is not False


def against_blasting(air: TaskAir, mask: Mask, path: str) -> Iterator[Reason]:
    """Return why a mask does not do for the blasting of a task."""
    if blast_mask(air.task, air.agents) is BlastMask.BLASTING:
        if mask.mode not in _AIRLINE or not mask.for_blasting:
            words = {"citation": cited(f"blasting-{(air.task.industry or Industry.GENERAL).value}")}
            yield Reason("BLA-002", path, words)
    elif bars_dust_masks(air.task) and mask.mode in _PURIFYING and air.is_worn:
        yield Reason("BLA-003", path)
