"""Masks for welding, cutting and heating in construction."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from programs.patching import catalogue_of, checked_by, patched
from published_value import published

from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.model.description.special_work import HotMetal, HotPlace, HotVentilation, HotWork
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.air.hot_work import HotWorkMask, against_hot_work, hot_work_mask


def _task(
    metals: tuple[str, ...],
    place: str | None,
    ventilation: str | None,
    industry: str = "construction",
    tested: bool | None = None,
) -> Task:
    work = HotWork(metals=metals, place=place, ventilation=ventilation, tested_within_limits=tested)
    return Task(id="t", name="T", industry=Industry(industry), hot_work=work)


@published("29 CFR 1926.353(b)(2), (c)(1)-(3), (d)(1)(iv), read in the text")
@pytest.mark.parametrize(
    ("metals", "place", "ventilation", "needed"),
    [
        (("lead",), "open-air", "none", HotWorkMask.FILTER),
        (("cadmium",), "open-air", "none", HotWorkMask.FILTER),
        (("mercury",), "open-air", "none", HotWorkMask.FILTER),
        (("zinc",), "open-air", "none", HotWorkMask.NONE),
        (("beryllium",), "open-air", "none", HotWorkMask.AIRLINE),
        (("beryllium",), "enclosed", "local-exhaust", HotWorkMask.AIRLINE),
        (("lead",), "enclosed", "local-exhaust", HotWorkMask.NONE),
        (("lead",), "enclosed", "general", HotWorkMask.AIRLINE),
        (("stainless-steel-inert-gas",), "enclosed", "general", HotWorkMask.AIRLINE),
        (("stainless-steel-inert-gas",), "open-air", "none", HotWorkMask.NONE),
        (("zinc",), "enclosed", "general", HotWorkMask.NONE),
        (("chromium",), "enclosed", "local-exhaust", HotWorkMask.NONE),
        (("other",), "confined", "general", HotWorkMask.NONE),
        (("other",), "confined", "none", HotWorkMask.AIRLINE),
        (("lead",), "confined", "general", HotWorkMask.AIRLINE),
    ],
)
def test_each_case_of_the_section(metals: tuple[str, ...], place: str, ventilation: str, needed: HotWorkMask) -> None:
    assert hot_work_mask(_task(metals, place, ventilation)) is needed


@published("29 CFR 1915.51(c)(3), (d)(2)-(3), (e)(1)(iv), read in the text")
@pytest.mark.parametrize(
    ("metals", "place", "ventilation", "needed", "paragraph"),
    [
        (("lead",), "open-air", "none", HotWorkMask.FILTER, ""),
        (("beryllium",), "open-air", "none", HotWorkMask.AIRLINE, "(d)(3)"),
        (("mercury",), "enclosed", "general", HotWorkMask.AIRLINE, "(d)(2)"),
        (("mercury",), "enclosed", "local-exhaust", HotWorkMask.NONE, ""),
        (("chromium",), "enclosed", "general", HotWorkMask.NONE, ""),
        (("stainless-steel-inert-gas",), "enclosed", "general", HotWorkMask.AIRLINE, "(e)(1)(iv)"),
        (("other",), "confined", "none", HotWorkMask.AIRLINE, "(c)(3)"),
    ],
)
def test_each_case_in_shipyards(
    metals: tuple[str, ...], place: str, ventilation: str, needed: HotWorkMask, paragraph: str
) -> None:
    task = _task(metals, place, ventilation, "shipyard")
    assert hot_work_mask(task) is needed
    assert _cited(task) == ([f"29 CFR 1915.51{paragraph}"] if paragraph else [])


@published("29 CFR 1910.252(c)(4), (c)(7)-(10), read in the text")
@pytest.mark.parametrize(
    ("metals", "place", "ventilation", "tested", "needed", "paragraph"),
    [
        (("lead",), "open-air", "none", None, HotWorkMask.FILTER, ""),
        (("cadmium",), "open-air", "none", True, HotWorkMask.FILTER, ""),
        (("mercury",), "open-air", "none", None, HotWorkMask.FILTER, ""),
        (("lead",), "enclosed", "general", True, HotWorkMask.AIRLINE, "(7)(iii)"),
        (("lead",), "enclosed", "local-exhaust", None, HotWorkMask.NONE, ""),
        (("cadmium",), "enclosed", "none", None, HotWorkMask.AIRLINE, "(9)(i)"),
        (("cadmium",), "enclosed", "none", True, HotWorkMask.NONE, ""),
        (("mercury",), "confined", "general", None, HotWorkMask.AIRLINE, "(10)"),
        (("beryllium",), "open-air", "local-exhaust", None, HotWorkMask.AIRLINE, "(8)"),
        (("beryllium",), "enclosed", "general", True, HotWorkMask.NONE, ""),
        (("other",), "confined", "none", None, HotWorkMask.AIRLINE, "(4)(ii)"),
        (("fluorides",), "confined", "none", None, HotWorkMask.AIRLINE, "(4)(ii)"),
        (("zinc",), "enclosed", "none", None, HotWorkMask.NONE, ""),
        (("stainless-steel-inert-gas",), "enclosed", "general", None, HotWorkMask.NONE, ""),
    ],
)
def test_each_case_in_general_industry(
    metals: tuple[str, ...], place: str, ventilation: str, tested: bool | None, needed: HotWorkMask, paragraph: str
) -> None:
    task = _task(metals, place, ventilation, "general", tested)
    assert hot_work_mask(task) is needed
    assert _cited(task) == ([f"29 CFR 1910.252(c){paragraph}"] if paragraph else [])


def _cited(task: Task) -> list[str]:
    mask = Mask(id="m", facepiece=Facepiece.HALF_MASK, mode=Mode.AIR_PURIFYING)
    return [reason.words["citation"] for reason in against_hot_work(task, mask, "masks[0]")]


@pytest.mark.parametrize("metal", HotMetal)
def test_what_nobody_said_counts_as_the_worse_case(metal: HotMetal) -> None:
    for place, ventilation in product((*HotPlace, None), (*HotVentilation, None)):
        known = hot_work_mask(_task((metal,), place, ventilation))
        assert hot_work_mask(_task((), place, ventilation)) >= known
        assert hot_work_mask(_task((metal,), None, ventilation)) >= known
        assert hot_work_mask(_task((metal,), place, None)) >= known


@published("29 CFR 1910.252(c)(2)(i)(A)-(C): under 10,000 ft³ a welder, under 16 ft, or where air can't cross")
@pytest.mark.parametrize(
    ("work", "at"),
    [
        ({"metals": ["other"], "place": "enclosed", "ventilation": "general"}, ["room_per_welder"]),
        ({"metals": ["other"], "place": "open-air", "ventilation": "general"}, []),
        ({"metals": ["other"], "place": "enclosed", "ventilation": "local-exhaust"}, []),
        ({"metals": ["lead"], "place": "enclosed", "ventilation": "general"}, []),  # has a paragraph of its own
    ],
)
def test_only_a_room_without_exhaust_is_asked_for_its_size(work: dict[str, Any], at: list[str]) -> None:
    values = patched({"set": {"tasks[0].industry": "general", "tasks[0].hot_work": work}})
    found = checked_by(catalogue_of({"HOT-004"}), values).report.findings
    assert [d.location.path for d in found if d.code == "HOT-004"] == [f"tasks[0].hot_work.{name}" for name in at]
