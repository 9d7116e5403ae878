"""Oil that is said to be none, samples by a method for another fraction, and glasses under a full facepiece."""

from __future__ import annotations

from typing import Any

import pytest
from published_value import published
from rules.workplaces import assessment_of, codes, sample, samples, verdict_of

from progdoc.rules.lookup.substances import find_substance, limits_for
from progdoc.rules.lookup.table_files import table_rows

OILS = sorted(row["agent"] for row in table_rows("oils"))
FULL = {"facepiece": "full-facepiece", "mode": "air-purifying"}
HALF = {"facepiece": "half-mask", "mode": "air-purifying"}
LEVEL = samples(sample("60 ug/m3"))


@published("42 CFR 84.170: series N where no oil is in the air; which agents are oil is common practice")
@pytest.mark.parametrize("agent", OILS)
def test_an_agent_that_is_oil_cannot_be_said_to_be_none(agent: str) -> None:
    substance = find_substance(agent)
    assert substance is not None
    assert limits_for(substance, "general")
    hazard = {"agent": agent, "form": "mist", "exposure": samples(sample("20 mg/m3"))}
    assert "EXP-053" in codes(assessment_of({**hazard, "oil": "no"}))
    assert "EXP-053" not in codes(assessment_of({**hazard, "oil": "yes"}))
    assert "SEL-008" in codes(verdict_of([{**hazard, "oil": "no"}], HALF, fitted=("n95",)))
    assert "SEL-008" not in codes(verdict_of([{**hazard, "oil": "no"}], HALF, fitted=("p100",)))


@pytest.mark.parametrize(
    ("hazard", "is_oil"),
    [
        ({"agent": "iron oxide", "source": "Cutting oil mist from the lathe"}, True),
        ({"agent": "Machine oil, own blend"}, True),
        ({"agent": "lead", "source": "Old oil paint on the sashes"}, False),
        ({"agent": "titanium dioxide"}, False),
    ],
)
def test_words_tell_what_is_oil(hazard: dict[str, Any], is_oil: bool) -> None:
    found = codes(assessment_of({**hazard, "form": "mist", "oil": "no", "exposure": LEVEL}))
    assert ("EXP-053" in found) is is_oil


@published("NIOSH Manual of Analytical Methods: 0600 is respirable, 0500 total particulate; from memory")
@pytest.mark.parametrize(
    ("method", "fraction", "is_other"),
    [
        ("NIOSH 0600", None, True),
        ("NIOSH 0600, respirable cyclone", "total", True),
        ("Gravimetric, cyclone at 1.7 L/min", None, True),
        ("NIOSH 0500, closed-face cassette", None, False),
        ("NIOSH 0500 and 0600, total dust beside respirable", "total", False),
        ("NIOSH 7082", None, False),
    ],
)
def test_a_method_for_fine_dust_tells_nothing_of_a_limit_for_all_of_it(
    method: str, fraction: str | None, is_other: bool
) -> None:
    said = {"method": method, **({"fraction": fraction} if fraction else {})}
    hazard = {"agent": "titanium dioxide", "exposure": samples(sample("140 mg/m3", **said))}
    assert ("EXP-033" in codes(assessment_of(hazard))) is is_other


@published("NIOSH Manual of Analytical Methods: 0500 is for total particulate; from memory")
def test_a_method_for_all_dust_tells_nothing_of_a_limit_for_fine_dust_that_it_is_over() -> None:
    for said in ({}, {"fraction": "respirable"}):
        hazard = {
            "agent": "crystalline silica",
            "exposure": samples(sample("90 ug/m3", method="NIOSH 0500, total dust", **said)),
        }
        assert "EXP-033" in codes(assessment_of(hazard))
        hazard["exposure"] = samples(sample("90 ug/m3", method="NIOSH 7500, cyclone", **said))
        assert "EXP-033" not in codes(assessment_of(hazard))


@published("29 CFR 1910.134(g)(1)(ii): corrective glasses and goggles do not interfere with the seal")
@pytest.mark.parametrize("gear", ["spectacles", "safety-glasses", "goggles", "gas-proof-goggles"])
def test_no_glasses_under_a_full_facepiece(gear: str) -> None:
    for clear in ("yes", "no"):
        task = {"gear": [gear, "coveralls"], "gear_clear_of_seal": clear}
        found = codes(verdict_of([{"agent": "lead", "exposure": LEVEL}], FULL, task=task))
        assert "SEL-029" in found
        assert "SEL-017" not in found
        assert "SEL-029" not in codes(verdict_of([{"agent": "lead", "exposure": LEVEL}], HALF, task=task))
        hood = {"facepiece": "hood", "mode": "powered"}
        assert "SEL-029" not in codes(verdict_of([{"agent": "lead", "exposure": LEVEL}], hood, task=task))
        kit = codes(verdict_of([{"agent": "lead", "exposure": LEVEL}], {**FULL, "lens_kits": "yes"}, task=task))
        assert ("SEL-029" in kit) is (gear != "spectacles")
