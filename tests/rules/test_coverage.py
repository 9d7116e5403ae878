"""How much of the time a sample covers, and words that only promise: neither shows what it is taken for."""

from __future__ import annotations

import pytest
from published_value import published
from rules.workplaces import codes, described, sample, samples, selected, verdict_of

from progdoc.rules.lookup.promises import only_promised


def short(minutes: int, hours: float, level: str = "1 mg/m3", rest: str = "zero") -> set[str]:
    """Return what is found of a dust with a limit of 15 mg/m3."""
    air = samples(sample(level, minutes, rest_of_shift=rest, fraction="total"))
    hazard = {"agent": "titanium dioxide", "exposure": air}
    found = selected(described([hazard], task={"industry": "general", "duration": f"{hours:g} h"}))
    return {"EXP-042", "EXP-043"} & set(codes(found.air["t"].agents[0]))


@published("EN 689:2018, duration of sampling: two hours at least, or all of a shorter exposure (a secondary source)")
@pytest.mark.parametrize(
    ("minutes", "hours", "is_short"),
    [
        *[(120, 8, False), (119, 8, True), (480, 8, False), (1, 8, True), (1, 1, True), (60, 1, False)],
        *[(46, 1, False), (44, 1, True), (15, 0.25, False), (11, 0.25, True), (30, 3, True), (120, 3, False)],
    ],
)
@pytest.mark.parametrize("rest", ["zero", "same"])
def test_two_hours_or_most_of_a_shorter_task(minutes: int, hours: float, is_short: bool, rest: str) -> None:
    assert short(minutes, hours, rest=rest) == ({"EXP-043"} if is_short else set())
    if is_short:
        assert short(minutes, hours, "2000 mg/m3", rest) == {"EXP-042"}  # a mask is worn in any case


def test_short_samples_of_one_shift_count_together() -> None:
    taken = [sample("1 mg/m3", 40, rest_of_shift="zero", fraction="total", shift="bench") for _ in range(3)]
    hazard = {"agent": "titanium dioxide", "exposure": samples(*taken)}
    found = selected(described([hazard], task={"industry": "general", "duration": "6 h"}))
    assert "EXP-043" not in codes(found.air["t"].agents[0])


def test_a_short_sample_lets_nobody_go_without_in_silence() -> None:
    hazard = {"agent": "titanium dioxide", "exposure": samples(sample("1 mg/m3", 1, rest_of_shift="zero"))}
    assert (
        selected(described([hazard], task={"industry": "general", "duration": "1 h"})).air["t"].agents[0].undetermined
    )
    told = {**hazard, "exposure": {**samples(sample("1 mg/m3", 1)), "short_because": "Meter on three days, even work"}}
    assert "EXP-043" not in codes(selected(described([told])).air["t"].agents[0])


@pytest.mark.parametrize(
    "words",
    ["Promised by Osterby", "Will be tested in spring, by Clearfield", "To follow", "Report requested from the maker",
     "The maker will send it", "Not yet tested", "Awaiting the report", "On order"],
)  # fmt: skip
def test_a_promise_is_no_evidence(words: str) -> None:
    assert only_promised(words)


@pytest.mark.parametrize(
    "words",
    ["Maker's report of 2024-03-04", "Osterby's workplace study, report 12; a new one will follow",
     "Our level will be lower than on the sheet", "The work will be no harder than tested",
     "Tested by the maker in 2024, retest to follow", "Same work as sampled, doors open"],
)  # fmt: skip
def test_what_is_there_stays_evidence(words: str) -> None:
    assert not only_promised(words)


CANISTERS = [
    {"id": "co", "gases": ["carbon-monoxide"], "agents": ["carbon monoxide"], "mount": mount}
    for mount in ("cartridge", "chin-canister", "front-or-back-canister")
]
AIR = {"agent": "carbon monoxide", "form": "gas", "irritates_eyes": "no"}


@published("42 CFR 84.110(a)-(b): gas masks, a full facepiece with a canister, are described for carbon monoxide")
@pytest.mark.parametrize("canister", CANISTERS)
@pytest.mark.parametrize("facepiece", ["half-mask", "full-facepiece"])
@pytest.mark.parametrize("mode", ["air-purifying", "powered"])
def test_carbon_monoxide_asks_for_a_gas_mask(canister: dict[str, str], facepiece: str, mode: str) -> None:
    hazard = {**AIR, "exposure": samples(sample("80 ppm"))}
    mask = {"facepiece": facepiece, "mode": mode}
    verdict = verdict_of([hazard], mask, ("co",), task={"industry": "general"}, filters=[canister])
    is_gas_mask = facepiece == "full-facepiece" and canister["mount"] != "cartridge"
    assert ("SEL-028" in codes(verdict)) is not is_gas_mask
    assert ("carbon monoxide" in verdict.passes) is not is_gas_mask


@pytest.mark.parametrize("agent", ["nitrogen", "hydrogen", "argon", "methane", "propane"])
def test_no_label_makes_a_filter_stop_what_displaces_oxygen(agent: str) -> None:
    part = {"id": "x", "gases": ["multi-gas"], "agents": [agent], "mount": "chin-canister"}
    hazard = {"agent": agent, "form": "gas", "exposure": samples(sample("100 ppm"))}
    verdict = verdict_of([hazard], {"facepiece": "full-facepiece", "mode": "air-purifying"}, ("x",), filters=[part])
    assert agent in verdict.passes


def test_a_hose_needs_no_canister() -> None:
    hazard = {**AIR, "exposure": samples(sample("80 ppm"))}
    mask = {"facepiece": "full-facepiece", "mode": "airline-pressure-demand"}
    assert "SEL-028" not in codes(verdict_of([hazard], mask, (), task={"industry": "general"}))
