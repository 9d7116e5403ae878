"""Masks for welding, cutting and heating in construction."""

from __future__ import annotations

from itertools import product

import pytest
from published_value import published

from progdoc.model.description.workplace import HotMetal, HotPlace, HotVentilation, HotWork, Industry, Task
from progdoc.rules.air.hot_work import HotWorkMask, hot_work_mask


def _task(metals: tuple[str, ...], place: str | None, ventilation: str | None, industry: str = "construction") -> Task:
    work = HotWork(metals=metals, place=place, ventilation=ventilation)
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


def test_other_industries_have_no_such_section() -> None:
    assert hot_work_mask(_task(("lead",), "enclosed", "none", "general")) is HotWorkMask.NONE


@pytest.mark.parametrize("metal", HotMetal)
def test_what_nobody_said_counts_as_the_worse_case(metal: HotMetal) -> None:
    for place, ventilation in product((*HotPlace, None), (*HotVentilation, None)):
        known = hot_work_mask(_task((metal,), place, ventilation))
        assert hot_work_mask(_task((), place, ventilation)) >= known
        assert hot_work_mask(_task((metal,), None, ventilation)) >= known
        assert hot_work_mask(_task((metal,), place, None)) >= known
