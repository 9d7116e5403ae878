"""What loads a cartridge: the average while working, the pressure at the site, the air breathed, the maker's bounds."""

from __future__ import annotations

import copy
from datetime import date
from typing import Any

import pytest
from programs.patching import PROGRAMS, read_as_text
from published_value import printed, published
from rules.workplaces import air_of, codes, described, sample, samples, selected, verdict_of

from progdoc.model.description.program import Program
from progdoc.rules.cartridge_life.schedules import cartridge_changes
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.cartridge_results import CartridgeChange

TEXT = (PROGRAMS / "varnishing.yaml").read_text(encoding="utf-8")
GENERAL: dict[str, Any] = {"industry": "general"}
SITE = {"id": "s", "name": "workshop"}


def air_with(*found: dict[str, Any], **task: Any) -> Assessment:
    hazard = {"agent": "toluene", "form": "vapour", "exposure": samples(*found)}
    return air_of([hazard], task={**GENERAL, **task}).agents[0]


def varnishing(
    found: list[dict[str, Any]] | None = None, altitudes: list[str | None] | None = None, load: str = "", **task: Any
) -> CartridgeChange:
    values: dict[str, Any] = copy.deepcopy(read_as_text(TEXT))
    if found is not None:
        values["hazards"][0]["exposure"] = samples(*found)
    if altitudes is not None:
        stated = [{"altitude": altitude} if altitude else {} for altitude in altitudes]
        values["organisation"] = {"sites": [SITE | {"id": f"s{i}"} | one for i, one in enumerate(stated)]}
        values["tasks"][0]["sites"] = [f"s{i}" for i in range(len(stated))]
    if load:
        values["procedures"]["filter_changes"]["load"] = load
    values["tasks"][0] |= task
    program = Program.model_validate(values)
    (change,) = cartridge_changes(program, selected(program, date(2026, 6, 1)).air).values()
    return change


def inputs(change: CartridgeChange) -> dict[str, tuple[float, str]]:
    assert change.life.worked is not None
    return {each.name.partition(",")[0]: (each.value, each.origin) for each in change.life.worked.inputs}


def life(change: CartridgeChange) -> float:
    assert change.life.life_min is not None
    return change.life.life_min


# ---- the average while working ------------------------------------------------------------------------


@published("29 CFR 1910.1000(d)(1)(ii), worked example: 2 h at 150, 2 h at 75 and 4 h at 50 ppm average 81.25 ppm")
def test_the_load_is_the_average_of_a_sampled_shift() -> None:
    shift = {"shift": "bench 1"}
    agent = air_with(sample("150 ppm", 120, **shift), sample("75 ppm", 120, **shift), sample("50 ppm", 240, **shift))
    assert agent.load == printed("81.25")
    assert agent.during_task == 150.0
    assert agent.load_derived == (
        "(150 × 120 min + 75 × 120 min + 50 × 240 min) ÷ 480 min of work = 81.3 ppm, rounded up"
    )


def test_a_bad_day_counts_by_its_hours_and_not_alone() -> None:
    agent = air_with(sample("60 ppm"), sample("70 ppm"), sample("260 ppm", 240, rest_of_shift="zero"), duration="8 h")
    assert agent.load == pytest.approx((60 * 480 + 70 * 480 + 260 * 240) / 1200)
    assert agent.during_task == 260.0


def test_the_whole_shifts_vapour_counts_into_the_hours_of_the_task() -> None:
    """Two samples of one shift that run longer than the task hold all of its vapour, the highest level too."""
    shift = {"shift": "bench 1"}
    agent = air_with(sample("100 ppm", 240, **shift), sample("80 ppm", 240, **shift), duration="4 h")
    assert agent.load == agent.during_task == pytest.approx(180.0)
    alone = air_with(sample("100 ppm", 240, rest_of_shift="zero"), duration="4 h")
    assert (alone.load, alone.load_derived) == (100.0, "")


def test_a_short_sample_at_a_bad_moment_loads_only_where_there_is_no_other() -> None:
    peak = sample("400 ppm", 10, averaging="ceiling")
    assert air_with(sample("90 ppm"), peak).load == 90.0
    assert air_with(sample("90 ppm"), peak).during_task == 400.0
    assert air_with(peak).load == 400.0


@pytest.mark.parametrize("unit", ["ppm", "mg/m3"])
def test_what_somebody_stated_loads_as_it_stands(unit: str) -> None:
    stated = {"kind": "estimate", "concentration": f"300 {unit}", "averaging": "ceiling", "by": "J", "basis": "volume"}
    agent = air_of([{"agent": "toluene", "form": "vapour", "exposure": stated}], task=GENERAL).agents[0]
    assert agent.load == agent.during_task


def test_samples_of_which_nobody_knows_the_shift_stand_alone() -> None:
    agent = air_with(sample("200 ppm", 240), sample("100 ppm", 240), duration="8 h")
    assert "EXP-021" in codes(agent)
    assert agent.load == pytest.approx(150.0)


def test_the_estimate_takes_the_average_unless_the_firm_says_the_highest() -> None:
    found = [sample("250 ppm", shift="one"), sample("350 ppm", shift="two"), sample("900 ppm", shift="three")]
    usual, strict = varnishing(found, duration="8 h"), varnishing(found, load="highest", duration="8 h")
    assert inputs(usual)["C"][0] == pytest.approx(500.0)
    assert inputs(strict)["C"][0] == pytest.approx(900.0)
    told = {what_if.change: what_if.life_min for what_if in usual.life.what_ifs}
    assert told["the highest levels found"] == life(strict) < life(usual)
    assert "the highest levels found" not in {what_if.change for what_if in strict.life.what_ifs}
    assert varnishing(found, load="average", duration="8 h").life == usual.life


def test_makers_data_are_carried_over_to_the_average() -> None:
    values: dict[str, Any] = copy.deepcopy(read_as_text(TEXT))
    values["hazards"][0]["exposure"] = samples(sample("300 ppm", shift="one"), sample("900 ppm", shift="two"))
    values["tasks"][0]["duration"] = "8 h"
    sheet = {"kind": "maker-data", "agents": ["toluene"], "concentration": "300 ppm", "life": "3 h"}
    values["filters"][0]["service_data"] = [sheet]
    program = Program.model_validate(values)
    (change,) = cartridge_changes(program, selected(program, date(2026, 6, 1)).air).values()
    assert change.sources[0].minutes == pytest.approx(180.0 / 2.0)


# ---- the pressure at the site -------------------------------------------------------------------------


@published("U.S. Standard Atmosphere 1976, table of pressures: 12.228 psi at 5,000 ft")
def test_the_pressure_is_that_of_the_site() -> None:
    at_sea, high = varnishing(), varnishing(altitudes=["5000 ft"])
    assert inputs(high)["P"][0] / 6.894757 == printed("12.228")
    assert inputs(at_sea)["P"][0] == 101.325
    assert "nobody states the altitude" in inputs(at_sea)["P"][1]
    assert life(high) > life(at_sea)  # at the same ppm thin air brings less vapour
    assert inputs(high)["C₀"][0] == pytest.approx(inputs(at_sea)["C₀"][0] * inputs(high)["P"][0] / 101.325)


def test_of_several_sites_the_lowest_counts_and_silence_is_the_sea() -> None:
    assert varnishing(altitudes=["5000 ft", "600 ft"]).life == varnishing(altitudes=["600 ft"]).life
    assert varnishing(altitudes=["5000 ft", None]).life == varnishing().life
    assert life(varnishing(altitudes=["-200 ft"])) < life(varnishing())
    assert varnishing(altitudes=["90000 ft"]).life.life_min == life(varnishing())


def test_a_level_found_as_a_mass_stays_that_mass() -> None:
    found = [sample("1130 mg/m3", shift="one")]
    high, at_sea = varnishing(found, ["5000 ft"], duration="8 h"), varnishing(found, duration="8 h")
    assert life(high) == life(at_sea)
    assert "mass of vapour" in inputs(high)["P"][1]


# ---- the air breathed ---------------------------------------------------------------------------------


def test_a_rate_of_ones_own_stands_in_for_the_class_of_effort() -> None:
    by_class, same = varnishing(effort="moderate"), varnishing(breathing={"rate": "40 L/min", "source": "measured"})
    less = varnishing(breathing={"rate": "35 L/min", "source": "Measured by Clearfield Hygiene"})
    assert life(same) == life(by_class) < life(less)
    assert inputs(less)["Q"] == (35.0, "breathing, as described: Measured by Clearfield Hygiene")
    told = {what_if.change: what_if.life_min for what_if in less.life.what_ifs}
    more = varnishing(breathing={"rate": "43.75 L/min", "source": "measured"})
    assert told["a quarter more air breathed"] == life(more)
    assert "work one class harder" not in told


@pytest.mark.parametrize(
    ("effort", "breathing", "why"),
    [
        ("moderate", {"rate": "35 L/min"}, "has no source"),
        ("moderate", {"rate": "0 L/min", "source": "x"}, "is zero"),
        ("moderate", {"rate": "10 L/min", "source": "measured"}, "is less than is breathed at light effort"),
        ("heavy", {"rate": "39 L/min", "source": "measured"}, "is less than is breathed at moderate effort"),
        ("light", {"rate": "19 L/min", "source": "measured"}, "is less than is breathed at light effort"),
    ],
)
@published("EPA/600/R-09/052F, Table 6-2, as in work_rates.csv: no rate of a lighter class makes a cartridge last")
def test_a_rate_that_nobody_answers_for_gives_way_to_the_class(
    effort: str, breathing: dict[str, str], why: str
) -> None:
    found, by_class = varnishing(effort=effort, breathing=breathing), varnishing(effort=effort)
    assert life(found) == life(by_class)
    assert inputs(found)["Q"][0] == inputs(by_class)["Q"][0]
    assert inputs(found)["Q"][1].endswith(f", in place of the {breathing['rate']} described, which {why}")
    told = {what_if.change for what_if in found.life.what_ifs}
    assert told == {what_if.change for what_if in by_class.life.what_ifs}


@pytest.mark.parametrize(
    ("breathing", "why"),
    [({"rate": "35 L/min"}, "has no source"), ({"rate": "19 L/min", "source": "measured"}, "is less than")],
)
def test_without_an_effort_such_a_rate_is_refused(breathing: dict[str, str], why: str) -> None:
    values: dict[str, Any] = copy.deepcopy(read_as_text(TEXT))
    del values["tasks"][0]["effort"]
    values["tasks"][0]["breathing"] = breathing
    program = Program.model_validate(values)
    (change,) = cartridge_changes(program, selected(program, date(2026, 6, 1)).air).values()
    assert change.life.life_min is None
    assert why in " ".join(refusal.text for refusal in change.life.refused)


def test_no_effort_is_asked_where_the_rate_is_known() -> None:
    values: dict[str, Any] = copy.deepcopy(read_as_text(TEXT))
    del values["tasks"][0]["effort"]
    values["tasks"][0]["breathing"] = {"rate": "35 L/min", "source": "measured"}
    program = Program.model_validate(values)
    (change,) = cartridge_changes(program, selected(program, date(2026, 6, 1)).air).values()
    assert change.life.life_min is not None


# ---- a maker's bound for one agent --------------------------------------------------------------------


def bounded(level: str, **part: Any) -> list[str]:
    hazard = {"agent": "toluene", "form": "vapour", "exposure": samples(sample(level))}
    fitted = [{"id": "ov", "gases": ["organic-vapour"], **part}]
    mask = {"facepiece": "full-facepiece", "mode": "air-purifying"}
    program = described([hazard], mask, ("ov",), GENERAL, filters=fitted)
    return codes(selected(program).masks["t", "m"])


@published("29 CFR 1910.134(d)(3)(i)(B)(3): where the cartridge's performance limit is lower, it is the maximum")
def test_a_cartridge_is_barred_above_the_bound_for_its_agent() -> None:
    bar = [{"agent": "toluol", "most": "250 ppm"}]
    assert "SEL-005" in bounded("260 ppm", most_for=bar)
    assert "SEL-005" not in bounded("250 ppm", most_for=bar)
    assert "SEL-005" not in bounded("260 ppm", most_for=[{"agent": "xylene", "most": "100 ppm"}])
    assert "SEL-005" in bounded("260 ppm", most="1000 ppm", most_for=bar)
    assert "SEL-005" in bounded("260 ppm", most="255 ppm", most_for=[{"agent": "toluene", "most": "300 ppm"}])


@published("29 CFR 1910.134(d)(3)(i)(B)(3): a performance limit below the factor's is the maximum, gas or particle")
def test_a_particle_filter_is_barred_above_the_bound_that_its_maker_gives() -> None:
    mask = {"facepiece": "full-facepiece", "mode": "air-purifying"}

    def found(agent: str, form: str, **part: Any) -> list[str]:
        hazard = {"agent": agent, "form": form, "exposure": samples(sample("20 mg/m3"))}
        program = described([hazard], mask, ("f",), GENERAL, filters=[{"id": "f", "particulate": "P100", **part}])
        return codes(selected(program).masks["t", "m"])

    for agent, form in (("titanium dioxide", "dust"), ("vegetable oil mist", "mist"), ("zinc oxide", "fume")):
        for most, is_barred in (("19 mg/m3", True), ("20 mg/m3", False)):
            named = [{"agent": agent, "most": most}]
            assert ("SEL-005" in found(agent, form, most=most)) is is_barred, (agent, most)
            assert ("SEL-005" in found(agent, form, most_for=named)) is is_barred, (agent, most)
            with_gas = found(agent, form, most_for=named, gases=["organic-vapour"], most="1000 ppm")
            assert ("SEL-005" in with_gas) is is_barred and "SEL-018" not in with_gas, (agent, most)
    assert "SEL-018" in found("titanium dioxide", "dust", most="1000 ppm")  # a dust has no parts in a million


def test_a_slip_in_the_name_of_a_bound_is_no_way_around_it() -> None:
    assert "SEL-005" in bounded("260 ppm", most_for=[{"agent": "tolune", "most": "250 ppm"}])
    assert "SEL-005" not in bounded("260 ppm", most_for=[{"agent": "xylen", "most": "250 ppm"}])


def test_the_maximum_use_concentration_ends_at_the_bound_and_names_its_source() -> None:
    hazard = {"agent": "toluene", "form": "vapour", "exposure": samples(sample("150 ppm"))}
    bound = {"agent": "toluene", "most": "300 ppm", "source": "Leaflet of March"}
    fitted = [{"id": "ov", "gases": ["organic-vapour"], "most_for": [bound]}]
    verdict = selected(described([hazard], None, ("ov",), GENERAL, filters=fitted)).masks["t", "m"]
    assert (verdict.mucs[0].value, verdict.mucs[0].governed_by) == (300.0, "cartridge")
    assert "Leaflet of March, against toluene" in [each.origin for each in verdict.mucs[0].worked.inputs]
    unbound = verdict_of([hazard], fitted=("ov",), task=GENERAL)
    assert unbound.mucs[0].value > 300.0
