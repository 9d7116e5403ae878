"""Masks that welding, cutting and heating ask for, whatever was sampled (29 CFR 1926.353, 1910.252(c), 1915.51).

What nobody said counts as the worse case; an industry that nobody named, as the strictest.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import IntEnum
from itertools import product
from typing import NamedTuple

from progdoc.model.description.masks import Mask, Mode
from progdoc.model.description.special_work import HotMetal, HotPlace, HotVentilation, HotWork
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.reasons import Reason

__all__ = [
    "HotWorkMask",
    "against_hot_work",
    "asks_for_mask",
    "home_of",
    "hot_work_mask",
    "is_unventilated",
    "is_with_beryllium",
    "toxic_metals",
]

_LISTED = frozenset({HotMetal.LEAD, HotMetal.CADMIUM, HotMetal.MERCURY})
_PURIFYING = (Mode.AIR_PURIFYING, Mode.POWERED)


class HotWorkMask(IntEnum):
    """The least mask that hot work asks for."""

    NONE = 0
    FILTER = 1
    AIRLINE = 2


class _Case(NamedTuple):
    metal: HotMetal
    place: HotPlace
    ventilation: HotVentilation
    is_tested: bool


class _Asked(NamedTuple):
    least: HotWorkMask
    by: str = ""  # the paragraph, by what it is about


_NOTHING = _Asked(HotWorkMask.NONE)


def home_of(task: Task) -> Industry:
    """Return the industry whose section is cited; construction where nobody named one."""
    return task.industry or Industry.CONSTRUCTION


def hot_work_mask(task: Task) -> HotWorkMask:
    """Return the least mask for the hot work of a task."""
    return _asked(task).least


def _asked(task: Task) -> _Asked:
    work = task.hot_work
    if work is None:
        return _NOTHING
    places = [work.place] if work.place else HotPlace
    ventilations = [work.ventilation] if work.ventilation else HotVentilation
    cases = product(work.metals or HotMetal, places, ventilations, [work.tested_within_limits is True])
    industries = sorted(map(Industry, industries_of(task)), key=lambda industry: industry is not home_of(task))
    found = [_in(industry, _Case(*case)) for case in cases for industry in industries]
    return max(found, key=lambda asked: asked.least)


def _in(industry: Industry, case: _Case) -> _Asked:
    return _in_general(case) if industry is Industry.GENERAL else _in_twins(industry, case)


def _in_twins(industry: Industry, case: _Case) -> _Asked:
    """Construction and shipyards have one rule, a letter apart: 1926.353(b)-(d) and 1915.51(c)-(e).

    In the open air the metals of the list ask for a filter mask; enclosed for local exhaust or an airline mask;
    beryllium always for an airline mask; a confined space without ventilation too. Stainless steel under inert gas
    counts as they do where it is enclosed.
    """
    name = f"hot-work-{industry.value}"
    if case.metal is HotMetal.BERYLLIUM:
        return _Asked(HotWorkMask.AIRLINE, f"{name}-{'open' if case.place is HotPlace.OPEN_AIR else 'enclosed'}")
    if case.place is HotPlace.OPEN_AIR:
        return _Asked(HotWorkMask.FILTER, f"{name}-open") if case.metal in _LISTED else _NOTHING
    if case.place is HotPlace.CONFINED and case.ventilation is HotVentilation.NONE:
        return _Asked(HotWorkMask.AIRLINE, f"{name}-confined")
    if case.ventilation is HotVentilation.LOCAL:
        return _NOTHING
    if case.metal is HotMetal.STAINLESS_INERT_GAS:
        return _Asked(HotWorkMask.AIRLINE, f"{name}-stainless")
    return _Asked(HotWorkMask.AIRLINE, f"{name}-enclosed") if case.metal in _LISTED else _NOTHING


def _in_general(case: _Case) -> _Asked:
    """1910.252(c)(4), (c)(7)-(10): tests within the limit relieve beryllium; cadmium and mercury under a roof alone."""
    name = "hot-work-general"
    if case.metal is HotMetal.BERYLLIUM and not case.is_tested:
        return _Asked(HotWorkMask.AIRLINE, f"{name}-beryllium")
    is_listed = case.metal in _LISTED
    if case.place is HotPlace.OPEN_AIR:
        return _Asked(HotWorkMask.FILTER, f"{name}-{case.metal.value}") if is_listed else _NOTHING
    if case.place is HotPlace.CONFINED and case.ventilation is HotVentilation.NONE:
        return _Asked(HotWorkMask.AIRLINE, f"{name}-confined")
    is_relieved = case.ventilation is HotVentilation.LOCAL or (case.is_tested and case.metal is not HotMetal.LEAD)
    if not is_listed or is_relieved:
        return _NOTHING
    return _Asked(HotWorkMask.AIRLINE, f"{name}-{case.metal.value}")


def asks_for_mask(task: Task) -> bool:
    """Return whether the hot work of a task asks for a mask."""
    return hot_work_mask(task) is not HotWorkMask.NONE


def is_unventilated(task: Task) -> bool:
    """Return whether hot work is done in a confined space that nothing ventilates."""
    work = task.hot_work
    return work is not None and work.place is HotPlace.CONFINED and work.ventilation is HotVentilation.NONE


def is_with_beryllium(task: Task) -> bool:
    """Return whether hot work on beryllium asks for local exhaust: enclosed; in general industry in the open too."""
    work = task.hot_work
    if work is None or HotMetal.BERYLLIUM not in work.metals:
        return False
    if task.industry is Industry.GENERAL:
        return work.tested_within_limits is not True
    return work.place is not HotPlace.OPEN_AIR


def toxic_metals(work: HotWork) -> list[HotMetal]:
    """Return the metals of the work for whose sake others in the same air are protected like those who do it."""
    return [m for m in work.metals if m in _LISTED or m in (HotMetal.BERYLLIUM, HotMetal.STAINLESS_INERT_GAS)]


def against_hot_work(task: Task, mask: Mask, path: str) -> Iterator[Reason]:
    """Return why a mask does not do for the hot work of a task: it only cleans the air."""
    asked = _asked(task)
    if asked.least is HotWorkMask.AIRLINE and mask.mode in _PURIFYING:
        yield Reason("SEL-024", path, {"citation": cited(asked.by)})
