"""The service life through the public door: a description goes in, hours or refusals come out.

The equations themselves are checked in `tests/calc/test_service_life.py` against measured times.
"""

from __future__ import annotations

import copy
import csv
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from examples import examples
from hypothesis import assume, given
from hypothesis import strategies as st
from programs.patching import PROGRAMS, read_as_text
from published_value import published
from rules.workplaces import selected

from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.model.description.program import Program
from progdoc.model.description.workplace import Effort, Task
from progdoc.rules.cartridge_life.life_estimate import WEAKNESSES
from progdoc.rules.cartridge_life.schedules import cartridge_changes, service_lives
from progdoc.rules.cartridge_life.vapours import AirFlow, air_flow
from progdoc.rules.judged.cartridge_results import CartridgeChange
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import built_in_catalogue

TEXT = (PROGRAMS / "varnishing.yaml").read_text(encoding="utf-8")
ORGANICS = Path(__file__).parents[2] / "progdoc" / "catalogue" / "tables" / "organics.csv"
AS_OF = date(2026, 6, 1)
quick = examples(40)


def changes_of(values: dict[str, Any]) -> dict[tuple[str, str, str], CartridgeChange]:
    program = Program.model_validate(values)
    return cartridge_changes(program, selected(program, AS_OF).air)


def varnishing(
    ppm: float = 300.0,
    effort: str = "moderate",
    high: float = 25.0,
    humidity: float = 50.0,
    agent: str = "toluene",
    **more: Any,
) -> dict[str, Any]:
    values: dict[str, Any] = copy.deepcopy(read_as_text(TEXT))
    values["tasks"][0] |= {"effort": effort, "temperature_high": f"{high} C", "humidity_high": f"{humidity} %"}
    values["hazards"][0]["agent"] = agent
    values["hazards"][0]["exposure"]["concentration"] = f"{ppm:.6f} ppm"
    values["filters"][0] |= more
    return values


def only(values: dict[str, Any]) -> CartridgeChange:
    (change,) = changes_of(values).values()
    return change


def hours(values: dict[str, Any]) -> float | None:
    return service_lives(changes_of(values))["varnish", "half-mask"].hours


# ---- never longer -------------------------------------------------------------------------------------

LEVELS = st.floats(30.0, 1500.0)


@quick
@given(LEVELS, LEVELS, st.sampled_from(["toluene", "2-butanone", "xylene", "butyl acetate"]))
def test_more_vapour_never_lasts_longer(one: float, other: float, agent: str) -> None:
    thin, thick = sorted((one, other))
    less, more = hours(varnishing(ppm=thin, agent=agent)), hours(varnishing(ppm=thick, agent=agent))
    assume(less is not None and more is not None)
    assert less is not None and more is not None and more <= less


@quick
@given(
    LEVELS, st.floats(16.0, 40.0), st.floats(16.0, 40.0), st.sampled_from(["toluene", "2-butanone", "benzyl chloride"])
)
def test_hotter_air_never_lasts_longer(ppm: float, one: float, other: float, agent: str) -> None:
    cool, hot = sorted((round(one, 3), round(other, 3)))
    less, more = hours(varnishing(ppm, high=cool, agent=agent)), hours(varnishing(ppm, high=hot, agent=agent))
    assume(less is not None and more is not None)
    assert less is not None and more is not None and more <= less


@quick
@given(LEVELS, st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_damper_air_never_lasts_longer(ppm: float, one: float, other: float) -> None:
    dry, wet = sorted((round(one, 3), round(other, 3)))
    less, more = hours(varnishing(ppm, humidity=dry)), hours(varnishing(ppm, humidity=wet))
    assume(less is not None and more is not None)
    assert less is not None and more is not None and more <= less


@quick
@given(LEVELS)
def test_harder_work_never_lasts_longer(ppm: float) -> None:
    lives = [hours(varnishing(ppm, effort=effort.value)) or 0.0 for effort in Effort]
    assert lives == sorted(lives, reverse=True)


def test_what_ifs_are_those_of_a_description_that_says_so() -> None:
    told = {what_if.change: what_if.life_min for what_if in only(varnishing()).life.what_ifs}
    assert told["work one class harder"] == only(varnishing(effort="heavy")).life.life_min
    assert told["10 °C hotter"] == only(varnishing(high=35.0)).life.life_min
    assert told["20 % more humidity"] == only(varnishing(humidity=70.0)).life.life_min


# ---- refused, and what then ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "why", "instead"),
    [
        ({"agent": "acetone"}, "65 °C", "supplied air"),
        ({"agent": "ammonia"}, "ammonia", "maker"),
        ({"agent": "benzene", "ppm": 20.0}, "standard", "rule"),
        ({"agent": "formaldehyde"}, "formaldehyde", "label"),
        ({"agent": "lead"}, "lead", "maker"),
        ({"high": 45.0}, "45", "temperature"),
        ({"humidity": 80.0, "ppm": 100.0}, "80 %", "test data"),
        ({"gases": ["ammonia"]}, "not approved for organic vapours", "service data"),
        ({"gases": ["multi-gas"], "carbon": {}}, "nothing is published", "Ask the maker"),
        ({"carbon": {"mass": "4 g", "cartridges": "1"}}, "comes through at once", "more carbon"),
        ({"carbon": {"mass": "0 g"}}, "zero", "maker's figures"),
    ],
)
def test_a_refusal_says_why_and_what_to_use_instead(change: dict[str, Any], why: str, instead: str) -> None:
    found = only(varnishing(**change))
    assert found.life.life_min is None
    assert why in " ".join(refusal.text for refusal in found.life.refused)
    assert instead in " ".join(refusal.instead for refusal in found.life.refused)


@pytest.mark.parametrize("key", ["effort", "temperature_high", "humidity_high"])
def test_what_nobody_stated_is_asked_for_and_never_assumed(key: str) -> None:
    values = varnishing()
    del values["tasks"][0][key]
    found = only(values)
    assert found.life.life_min is None
    assert f"`{key}:`" in " ".join(refusal.instead for refusal in found.life.refused)


def test_an_unknown_level_gives_no_life() -> None:
    values = varnishing()
    values["hazards"][0]["exposure"] = {"kind": "unknown"}
    assert hours(values) is None


def test_a_solvent_whose_form_nobody_states_still_loads_the_cartridge() -> None:
    values = varnishing()
    del values["hazards"][0]["form"]
    assert only(values).agents == ("toluene",)


def test_assumed_carbon_is_named_and_costs_a_larger_safety_factor() -> None:
    known, assumed = only(varnishing()), only(varnishing(carbon={"mass": "35 g", "cartridges": "2"}))
    assert known.life.assumed == ()
    assert len(assumed.life.assumed) == 3
    worked = [one.life.worked for one in (known, assumed)]
    told = [" ".join(note for note in (one.notes if one else ()) if "Assumed" in note) for one in worked]
    assert not told[0]
    assert all(words in told[1] for words in assumed.life.assumed)
    assert known.life.estimate is not None and assumed.life.estimate is not None
    assert (known.life.estimate.safety_factor, assumed.life.estimate.safety_factor) == (1.5, 2.0)
    assert known.life.estimate.breakthrough_min == assumed.life.estimate.breakthrough_min


def test_the_worked_figure_can_be_done_by_hand() -> None:
    found = only(varnishing(humidity=60.0)).life
    assert found.worked is not None
    given_ = {item.name: item.value for item in found.worked.inputs}
    by_hand = (given_["capacity term"] - given_["rate term"]) * given_["humidity factor"] / given_["safety factor"]
    assert by_hand == pytest.approx(found.worked.value)
    grams_a_minute = given_["C₀, the same as mass"] / 1e6 * given_["Q, air flow"] * 1000.0
    held = given_["We, capacity"] * given_["W, carbon of all cartridges"]
    assert held / grams_a_minute == pytest.approx(given_["capacity term"])
    assert set(WEAKNESSES) <= set(found.worked.notes)


def test_a_mixture_lasts_no_longer_than_its_parts() -> None:
    both = varnishing()
    both["hazards"].append(both["hazards"][0] | {"id": "varnish-butanone", "agent": "2-butanone"})
    together, alone = hours(both), hours(varnishing(agent="2-butanone"))
    assert together is not None and alone is not None and together < alone
    assert only(both).life.governing == "2-butanone"


# ---- flow ---------------------------------------------------------------------------------------------


@published("29 CFR 1910.1028(g)(3)(i)(D): 115 L/min tight-fitting, 170 L/min loose-fitting powered")
def test_the_blowers_flow_goes_through_powered_cartridges() -> None:
    law = built_in_catalogue().law_on(AS_OF)
    task = Task(id="t", name="T", effort=Effort.LIGHT)
    tight = air_flow(law, Mask(id="m", mode=Mode.POWERED, facepiece=Facepiece.FULL_FACEPIECE), task)
    loose = air_flow(law, Mask(id="m", mode=Mode.POWERED, facepiece=Facepiece.HOOD), task)
    assert isinstance(tight, AirFlow) and isinstance(loose, AirFlow)
    assert (tight.l_min, loose.l_min, tight.is_assumed) == (115.0, 170.0, True)
    stated = air_flow(law, Mask.model_validate({"id": "m", "mode": "powered", "blower_flow": "190 L/min"}), task)
    assert isinstance(stated, AirFlow) and (stated.l_min, stated.is_assumed) == (190.0, False)
    weak = air_flow(law, Mask.model_validate({"id": "m", "mode": "powered", "blower_flow": "60 L/min"}), task)
    assert isinstance(weak, AirFlow) and weak.l_min >= 115.0 and weak.is_assumed  # a weak blower lengthens no life


@published("EPA/600/R-09/052F, Table 6-2, from memory; classes of effort: 29 CFR 1910.134, Appendix C, part B, 12")
def test_breathing_flow_is_the_published_one_rounded_up() -> None:
    rows = {row["effort"]: row for row in table_rows("work_rates")}
    assert list(rows) == [effort.value for effort in Effort]
    for row in rows.values():
        assert float(row["published_l_min"]) <= float(row["flow_l_min"]) <= float(row["published_l_min"]) + 10.0


# ---- rules of thumb -----------------------------------------------------------------------------------


@published("AIHA rule of thumb (ch. 36) as quoted by the federal agency: twice the flow, half the life")
def test_the_model_agrees_that_twice_the_flow_halves_the_life_or_less() -> None:
    light, moderate = only(varnishing(effort="light")).life, only(varnishing(effort="moderate")).life
    assert light.life_min is not None and moderate.life_min is not None
    assert 0.4 < moderate.life_min / light.life_min <= 0.5


@published("AIHA rule of thumb (ch. 36): humidity over 85 % halves the life")
def test_very_damp_air_halves_the_life() -> None:
    dry, wet = only(varnishing(humidity=50.0)).life, only(varnishing(humidity=85.0)).life
    assert dry.life_min is not None and wet.life_min is not None
    assert wet.life_min / dry.life_min == pytest.approx(0.5)


@published("AIHA rule of thumb (ch. 36): boiling point over 70 °C and under 200 ppm, eight hours at a normal rate")
def test_the_model_disagrees_with_eight_hours_for_everything_that_boils_above_seventy() -> None:
    """At 200 ppm and 52 g, moderate effort, most vapours of that rule last under eight hours: never relied on alone."""
    small = {"mass": "26 g", "bed_area": "43 cm2", "density": "0.44 g/cm3", "micropore_volume": "0.454 cm3/g"}
    with ORGANICS.open(encoding="utf-8", newline="") as file:
        agents = [
            row["cas"] for row in csv.DictReader(file) if not row["barred"] and 70 < float(row["boiling_point_c"]) < 200
        ]
    lives = []
    for agent in agents[::4]:
        values = varnishing(ppm=200.0, agent=agent, carbon=small | {"cartridges": "2"})
        lives += [change.life.life_min for change in changes_of(values).values() if change.life.life_min is not None]
    assert len(lives) > 20
    assert sum(life >= 480.0 for life in lives) < 0.5 * len(lives)
