"""The other direction: which classes of mask would do, and why weaker ones do not."""

from __future__ import annotations

from typing import Any

import pytest
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from published_value import published
from rules.workplaces import described, sample, samples, selected

from progdoc.rules.judged.mask_results import ClassVerdict
from progdoc.rules.masks.classes import classes_for, mask_classes


def classes(hazards: list[dict[str, Any]], **more: Any) -> dict[str, ClassVerdict]:
    program = described(hazards, **more)
    return {v.kind.id: v for v in classes_for(program, selected(program).air["t"])}


def would_do(hazards: list[dict[str, Any]], **more: Any) -> list[str]:
    return [name for name, verdict in classes(hazards, **more).items() if verdict.would_do]


def lead_at(level: str) -> list[dict[str, Any]]:
    return [{"agent": "lead", "exposure": samples(sample(level))}]


IN_AIR: dict[str, dict[str, Any]] = {
    "toluene": {"agent": "toluene", "form": "vapour", "exposure": samples(sample("20 ppm"))},
    "phosphine": {"agent": "phosphine", "form": "gas", "exposure": samples(sample("0.1 ppm"))},
    "house gas": {"agent": "house gas", "form": "gas", "exposure": samples(sample("0.1 ppm"))},
    "lead": lead_at("500 ug/m3")[0],
}


@published("29 CFR 1910.134(d)(3)(i)(A), Table 1: 10, 25, 50, 1,000 and 10,000 times the limit")
@pytest.mark.parametrize(
    ("level", "first"),
    [
        ("500 ug/m3", "dust-mask"),
        ("1250 ug/m3", "powered-loose"),
        ("2500 ug/m3", "full-facepiece"),
        ("50000 ug/m3", "powered-hood-tested"),
    ],
)
def test_the_least_burdensome_class_comes_first(level: str, first: str) -> None:
    assert would_do(lead_at(level))[0] == first


def test_each_weaker_class_says_why_it_fails() -> None:
    found = classes(lead_at("1250 ug/m3"))
    assert found["half-mask"].reasons[0].code == "SEL-003"
    assert found["half-mask"].reasons[0].words["needed"] == "25"


def test_qualitative_tests_hold_back_the_full_facepiece() -> None:
    found = classes(lead_at("1250 ug/m3"), protocols=["saccharin"])
    assert not found["full-facepiece"].would_do
    assert "qualitative" in found["full-facepiece"].note
    assert found["powered-full-facepiece"].would_do


def test_a_cartridge_whose_class_is_known_is_asked_for_no_words_of_its_maker() -> None:
    """The doubt of the recommendations is told of the agents that they are about, and of no dust."""
    full = {agent: classes([in_air])["full-facepiece"].only_with for agent, in_air in IN_AIR.items()}
    assert full["toluene"] == ()
    assert full["lead"] == ("a filter of class N100, R100 or P100, no lesser one (the standard of lead)",)
    assert "whose maker gives a highest level for phosphine" in full["phosphine"][0]
    assert "whose own label names house gas" in full["house gas"][0]


@published("29 CFR 1910.134(d)(2)(i): two kinds of mask for immediately dangerous air")
def test_only_two_classes_serve_in_immediately_dangerous_air() -> None:
    assert would_do([{"agent": "lead"}]) == ["airline-auxiliary", "scba"]


@published("29 CFR 1910.1052(g)(3)(i): methylene chloride, atmosphere-supplying and no half masks")
def test_a_standard_rules_out_classes() -> None:
    exposure = {"kind": "estimate", "concentration": "200 ppm", "by": "A", "basis": "B", "averaging": "ceiling"}
    found = would_do([{"agent": "methylene chloride", "form": "vapour", "exposure": exposure}])
    assert found == [
        *("airline-loose", "airline-hood-tested", "airline-full", "airline-demand-full", "airline-auxiliary", "scba")
    ]


@published("29 CFR 1926.57(f)(5)(ii)(A): inside a blast room, a respirator made for blasting")
def test_a_blast_room_leaves_the_hood_on_a_hose() -> None:
    work = {"work": "blasting", "place": "blast-room", "separated": "no", "abrasive": "low-silica", "toxic": "yes"}
    assert would_do(lead_at("500 ug/m3"), task={"blasting": work}) == ["airline-hood-tested"]
    clean_up = {"blasting": {"work": "short-clean-up"}}
    assert would_do(lead_at("500 ug/m3"), task=clean_up)[0] == "dust-mask"


def test_a_dust_mask_takes_no_cartridge() -> None:
    vapour = [{"agent": "toluene", "form": "vapour", "exposure": samples(sample("400 ppm"))}]
    found = classes(vapour)
    assert found["dust-mask"].reasons[0].code == "SEL-006"
    assert found["half-mask"].would_do


def vapour_at(agent: str, level: str, **more: Any) -> list[dict[str, Any]]:
    return [{"agent": agent, "form": "vapour", "exposure": samples(sample(level)), **more}]


@published("NIOSH Pocket Guide, methyl alcohol: supplied air alone (from memory)")
def test_no_cartridge_is_thought_up_for_a_gas_that_has_none() -> None:
    assert would_do(vapour_at("methyl alcohol", "400 ppm"))[0] == "airline-loose"


def test_a_vapour_of_no_table_is_left_to_the_cartridge_whose_label_names_it() -> None:
    limit = {"value": "10 ppm", "averaging": "TWA", "source": "Maker's sheet"}
    looked_up = {"law_looked_up": "yes", "looked_up_as": "Terpene blend, CAS 68956-56-9"}
    assert would_do(vapour_at("our own thinner", "40 ppm", limit=limit, **looked_up))[0] == "quarter-mask"


@published("29 CFR 1910.1050(h)(3)(i)(D): against liquid MDA a HEPA filter joined with an organic vapour cartridge")
def test_the_cartridge_that_a_standard_names_against_a_mist_is_fitted() -> None:
    exposure = {"kind": "estimate", "concentration": "50 ppb", "by": "A", "basis": "B", "averaging": "ceiling"}
    mist = [{"agent": "mda", "form": "mist", "exposure": exposure}]
    assert would_do(mist, task={"industry": "general"})[0] == "quarter-mask"


def test_classes_are_told_apart() -> None:
    kinds = mask_classes()
    assert len({kind.id for kind in kinds}) == len({kind.name for kind in kinds}) == len(kinds)


@examples(40)
@given(st.integers(1, 90_000), st.integers(1, 90_000))
def test_worse_air_never_widens_the_choice(one: int, other: int) -> None:
    low, high = sorted((one, other))
    assert set(would_do(lead_at(f"{high} ug/m3"))) <= set(would_do(lead_at(f"{low} ug/m3")))
