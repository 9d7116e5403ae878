"""What the firm's own answers on its work put into the air must be among the hazards of the task."""

from __future__ import annotations

from typing import Any

import pytest
from published_value import published
from rules.workplaces import air_of, sample, samples

from progdoc.model.description.special_work import HotMetal
from progdoc.rules.air.declared_work import undescribed
from progdoc.rules.lookup.hot_work_agents import freed_by
from progdoc.rules.lookup.substances import find_substance, limits_for

LOW = samples(sample("0.0001 mg/m3"))
NAMED = [metal for metal in HotMetal if metal is not HotMetal.OTHER]


def hazard(agent: str, form: str = "fume", **more: Any) -> dict[str, Any]:
    return {"agent": agent, "form": form, "exposure": LOW, **more}


def missing(hazards: list[dict[str, Any]], **task: Any) -> list[str]:
    """Return the codes of what nobody described, and hold that the air counts as dangerous for each."""
    air = air_of(hazards, task=task)
    found = list(undescribed(air.task, air.agents))
    assert len([words for words in air.danger if "is not known (" in words]) >= len(found)
    return [one.code for one in found]


def hot(metal: HotMetal, place: str = "open-air") -> dict[str, Any]:
    return {"metals": [metal.value], "place": place, "ventilation": "local-exhaust", "bystanders": "none"}


@published("29 CFR 1926.353(c)(1)-(2), (d)(1)(iv), 1910.252(c)(5)-(12): the metals; what they free is common practice")
@pytest.mark.parametrize("metal", NAMED)
def test_a_metal_worked_hot_must_be_a_hazard(metal: HotMetal) -> None:
    freed = freed_by(metal.value)
    assert freed is not None
    assert missing([hazard("iron oxide")], hot_work=hot(metal)) == ["HOT-007"]
    for agent in freed.agents:
        assert missing([hazard("iron oxide"), hazard(agent)], hot_work=hot(metal)) == []
        substance = find_substance(agent)
        assert substance is not None
        assert limits_for(substance, "general")


def test_another_metal_puts_nothing_of_a_name_into_the_air() -> None:
    assert missing([hazard("iron oxide")], hot_work=hot(HotMetal.OTHER)) == []
    assert missing([hazard("iron oxide")]) == []


@published("29 CFR 1910.134(d)(2)(iii): short of oxygen is immediately dangerous; 1926.353(b): confined hot work")
@pytest.mark.parametrize("place", ["open-air", "enclosed", "confined"])
def test_hot_work_in_a_confined_space_asks_for_its_oxygen_whatever_else_is_said(place: str) -> None:
    for said in ("yes", "no"):
        air = air_of([hazard("iron oxide")], task={"confined_space": said, "hot_work": hot(HotMetal.OTHER, place)})
        is_asked = any("oxygen of this confined space" in words for words in air.danger)
        assert is_asked is (place == "confined" or said == "yes")
