"""Masks that welding, cutting and heating in construction ask for, whatever was sampled (29 CFR 1926.353)."""

from __future__ import annotations

from collections.abc import Iterator
from enum import IntEnum
from itertools import product

from progdoc.model.description.masks import Mask, Mode
from progdoc.model.description.workplace import HotMetal, HotPlace, HotVentilation, Industry, Task
from progdoc.rules.reasons import Reason

__all__ = ["HotWorkMask", "against_hot_work", "asks_for_mask", "hot_work_mask", "is_unventilated", "is_with_beryllium"]

_TOXIC = frozenset({HotMetal.LEAD, HotMetal.CADMIUM, HotMetal.MERCURY, HotMetal.STAINLESS_INERT_GAS})
_PURIFYING = (Mode.AIR_PURIFYING, Mode.POWERED)


class HotWorkMask(IntEnum):
    """The least mask that hot work asks for."""

    NONE = 0
    FILTER = 1  # (c)(3): such metals in the open air
    AIRLINE = 2  # (b)(2), (c)(2), (c)(3) for beryllium


def hot_work_mask(task: Task) -> HotWorkMask:
    """Return the least mask for the hot work of a task; what nobody said counts as the worse case.

    In the open air the metals of (c)(2) ask for a filter mask; enclosed they ask for local exhaust or an airline
    mask; beryllium always for an airline mask; a confined space without ventilation too, (b)(2). Stainless steel
    under inert gas counts as they do, (d)(1)(iv).
    """
    work = task.hot_work
    if work is None or task.industry not in (Industry.CONSTRUCTION, None):
        return HotWorkMask.NONE
    places = [work.place] if work.place else HotPlace
    ventilations = [work.ventilation] if work.ventilation else HotVentilation
    return max(_mask(*case) for case in product(work.metals or HotMetal, places, ventilations))


def _mask(metal: HotMetal, place: HotPlace, ventilation: HotVentilation) -> HotWorkMask:
    if metal is HotMetal.BERYLLIUM:
        return HotWorkMask.AIRLINE
    if place is HotPlace.OPEN_AIR:
        is_toxic = metal in _TOXIC and metal is not HotMetal.STAINLESS_INERT_GAS
        return HotWorkMask.FILTER if is_toxic else HotWorkMask.NONE
    if place is HotPlace.CONFINED and ventilation is HotVentilation.NONE:
        return HotWorkMask.AIRLINE
    needs_more = metal in _TOXIC and ventilation is not HotVentilation.LOCAL
    return HotWorkMask.AIRLINE if needs_more else HotWorkMask.NONE


def asks_for_mask(task: Task) -> bool:
    """Return whether the hot work of a task asks for a mask."""
    return hot_work_mask(task) is not HotWorkMask.NONE


def is_unventilated(task: Task) -> bool:
    """Return whether hot work is done in a confined space that nothing ventilates, (b)(2)."""
    work = task.hot_work
    return work is not None and work.place is HotPlace.CONFINED and work.ventilation is HotVentilation.NONE


def is_with_beryllium(task: Task) -> bool:
    """Return whether hot work is done on beryllium elsewhere than in the open air, (c)(2)(iv)."""
    work = task.hot_work
    return work is not None and HotMetal.BERYLLIUM in work.metals and work.place is not HotPlace.OPEN_AIR


def against_hot_work(task: Task, mask: Mask, path: str) -> Iterator[Reason]:
    """Return why a mask does not do for the hot work of a task: it only cleans the air."""
    if hot_work_mask(task) is HotWorkMask.AIRLINE and mask.mode in _PURIFYING:
        yield Reason("SEL-024", path)
