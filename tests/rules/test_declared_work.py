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


SILICA = ["crystalline silica", "cristobalite", "tridymite", "tripoli"]


@published("29 CFR 1910.94(a)(5)(ii), 1926.57(f)(5)(ii): silica sand; 1910.1053(a): quartz, cristobalite, tridymite")
@pytest.mark.parametrize("abrasive", ["silica-sand", "with-silica"])
@pytest.mark.parametrize("work", ["blasting", "short-clean-up"])
def test_an_abrasive_with_silica_puts_silica_into_the_air(abrasive: str, work: str) -> None:
    said = {"work": work, "place": "blast-room", "separated": "no", "abrasive": abrasive, "toxic": "no"}
    assert missing([hazard("titanium dioxide", "dust")], blasting=said) == ["BLA-005"]
    for agent in SILICA:
        assert missing([hazard(agent, "dust")], blasting=said) == []
    assert missing([hazard("titanium dioxide", "dust")], blasting={**said, "abrasive": "low-silica"}) == []


@published(
    "29 CFR 1910.1000, Table Z-1: particulates not otherwise regulated, 15 and 5 mg/m³; those below are stricter"
)
@pytest.mark.parametrize("industry", ["general", "construction", "shipyard"])
def test_toxic_dust_has_an_agent_that_is_more_than_dust(industry: str) -> None:
    task = {"industry": industry, "blasting": {"work": "short-clean-up", "abrasive": "low-silica", "toxic": "yes"}}
    for agent in ("titanium dioxide", "nuisance dust", "iron oxide", "limestone"):
        assert missing([hazard(agent, "dust")], **task) == ["BLA-006"], agent
    for agent in ("lead", "copper", "nickel", "zinc chromate", "crystalline silica"):
        assert missing([hazard("titanium dioxide", "dust"), hazard(agent, "dust")], **task) == [], agent


@published("29 CFR 1910.134(d)(1)(iii): chemical state and physical form; droplets of a spray are common practice")
@pytest.mark.parametrize("place", ["booth", "spray-room", "elsewhere"])
def test_what_is_sprayed_is_in_the_air_as_droplets(place: str) -> None:
    said = {"spraying": {"place": place, "downstream": "yes"}}
    assert missing([hazard("titanium dioxide", "dust")], **said) == ["SPR-005"]
    assert missing([hazard("toluene", "vapour"), hazard("xylenes", "vapour")], **said) == ["SPR-006"]
    for form in ("mist", "mist-and-vapour"):
        assert missing([hazard("titanium dioxide", "dust"), hazard("toluene", form)], **said) == []
    assert missing([hazard("titanium dioxide", "dust")], name="Spraying powder coat", **said) == []
    assert missing([hazard("toluene", "vapour")], name="Spraying powder coat", **said) == ["SPR-006"]
