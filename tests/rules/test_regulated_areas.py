"""Regulated areas: whoever enters wears a mask, whatever was sampled, where the standard was read to say so."""

from __future__ import annotations

import pytest
from published_value import published
from rules.workplaces import air_of, sample, samples

from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.masks.standard_duties import standard_duties

READ_AGAIN = {
    "29 CFR 1910.1001(e)(4)": "asbestos",
    "29 CFR 1910.1018(f)(4)": "arsenic-inorganic",
    "29 CFR 1910.1024(e)(4)(i)": "beryllium",
    "29 CFR 1910.1027(e)(4)": "cadmium",
    "29 CFR 1910.1053(e)(4)": "silica-crystalline",
    "29 CFR 1915.1024(e)(4)(i)": "beryllium",
    "29 CFR 1926.1127(e)(4)": "cadmium",
}


@published("the paragraphs named: 29 CFR 1910.1001, .1018, .1024, .1027, .1053; 1915.1024; 1926.1127")
def test_the_paragraphs_are_those_that_ask_for_a_mask_of_everybody_who_enters() -> None:
    assert {row["citation"]: row["agent"] for row in table_rows("regulated_areas")} == READ_AGAIN


@published("29 CFR 1910.1001(e)(4), (c)(1): masks in regulated areas; limit 0.1 f/cc")
@pytest.mark.parametrize(
    ("agent", "level", "industry", "is_area", "needs"),
    [
        ("asbestos", "0.02 f/cc", "general", "yes", True),
        ("asbestos", "0.02 f/cc", "general", "no", False),
        ("cadmium", "1 ug/m3", "construction", "yes", True),
        ("beryllium", "0.01 ug/m3", "construction", "yes", False),  # its twin in construction has no regulated areas
        ("silica", "10 ug/m3", "construction", "yes", False),  # nor has that of silica
        ("silica", "10 ug/m3", "general", "yes", True),
    ],
)
def test_a_mask_is_worn_there_under_every_limit(
    agent: str, level: str, industry: str, is_area: str, needs: bool
) -> None:
    form = "fibres" if agent == "asbestos" else "dust"
    hazard = {"agent": agent, "form": form, "regulated_area": is_area, "exposure": samples(sample(level))}
    air = air_of([hazard], task={"industry": industry, "oxygen": {"lowest": "20.9 %"}})
    assert air.needs_mask is needs
    texts = [duty.text for duty in standard_duties(air.agents[0], ())]
    assert any("regulated area" in text for text in texts) is needs
