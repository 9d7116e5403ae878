"""What is claimed of an agent or of a cartridge meets what is published: contradicted, asked for, or left alone.

The sentences are our own: common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest
from document.said_fields import judged_values
from programs.patching import catalogue_of, patched
from published_value import published

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.model.description.masks import Filter
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.cartridges import claim_trouble, is_approved_for
from progdoc.rules.lookup.mask_words import factors_in
from progdoc.rules.lookup.substances import find_substance
from progdoc.rules.lookup.table_files import table_entries


def told(code: str, changes: dict[str, Any], program: str = "") -> list[Diagnostic]:
    entry: dict[str, Any] = {"set": changes, **({"program": program} if program else {})}
    return [d for d in judged_values(patched(entry), catalogue_of({code})).findings if d.code == code]


def judgment(guidance: str, needed: str) -> dict[str, Any]:
    by = {"kind": "judgment", "by": "Clearfield Hygiene", "guidance": guidance, "needed_apf": needed}
    return {
        "hazards[0].agent": "bird droppings",
        "hazards[0].limit": "none published",
        "hazards[0].law_looked_up": "yes",
        "hazards[0].looked_up_as": "Spores, no CAS number",
        "hazards[0].exposure": by,
    }


# ---- guidance beside a factor ------------------------------------------------------------------------------

AGAINST = (
    ("A half mask is enough", "50"), ("Half-mask with P100, says the bulletin", "1000"), ("N95 dust masks", "50"),
    ("Full facepiece with P100 (NIOSH 2005-109)", "10"), ("A quarter mask does", "10"), ("APF 10, handbook", "50"),
    ("Powered half mask", "10"), ("Self-contained set", "100000"), ("Loose-fitting powered mask", "50"),
    ("Assigned protection factor of 1,000 in table 2", "50"), ("At least a full facepiece", "10"),
    ("A factor of ten, says the bulletin", "50"), ("A P2 mask", "50"), ("A disposable mask will do", "25"),
    ("Full facepiece with N95 filters", "10"),
)  # fmt: skip
ALIKE = (
    ("A half mask is enough", "10"), ("Full facepiece with P100; a half mask is not enough", "50"), ("APF 50", "50"),
    ("A half mask for short visits, a full facepiece for longer ones", "50"), ("At least a half mask", "50"),
    ("NIOSH 2005-109, table 1", "50"), ("A fume hood keeps the dust away; maker's letter of 2024", "50"),
    ("Powered full facepiece", "1000"), ("Powered mask", "25"), ("Half mask or better", "25"),
    ("Factor of 10 for the room and a half mask", "10"), ("Supplied-air half mask", "50"),
)  # fmt: skip


@published("29 CFR 1910.134(d)(3)(i)(A), Table 1: the factor of each kind of mask")
def test_guidance_that_names_another_mask_than_the_figure_contradicts_it() -> None:
    for guidance, needed in (*AGAINST, *ALIKE):
        found = told("HAZ-003", judgment(guidance, needed))
        assert bool(found) is ((guidance, needed) in AGAINST), (guidance, needed)
        assert {(d.severity, d.location.path) for d in found} <= {(Severity.REQUIRED, "hazards[0].exposure.guidance")}


def test_a_mask_whose_factor_rests_on_such_guidance_is_not_shown_to_protect() -> None:
    changes = judgment("A half mask is enough (NIOSH 2005-109)", "5")
    found = judged_values(patched({"set": changes}))
    verdict = found.selection.masks["scrape-sashes", "half-mask"]
    assert "HAZ-003" in {reason.code for reason in verdict.reasons} and not verdict.is_adequate


def test_every_kind_of_mask_that_the_list_names_has_a_factor() -> None:
    for entry in table_entries("mask_words", "facepieces"):
        for word in entry["words"]:
            text = f"A powered {word}" if entry.get("only_with_air") else f"A {word}"
            assert factors_in(text if entry["facepiece"] != "loose-fitting" else f"A {word} mask with a blower"), word


REPORT = {
    "title": "W-12",
    "by": "Northbridge Test House",
    "date": "2024-03-04",
    "tested_model": "A-12",
    "factor": "1200",
}


def factor_of(report: dict[str, str] | None, **more: str) -> float | None:
    changes: dict[str, Any] = {"masks[0].facepiece": "hood", "masks[0].mode": "powered", "masks[0].model": "A-12"}
    changes |= {"masks[0].hood_proven": "yes"} | ({"masks[0].hood_report": report} if report else {})
    changes |= {f"masks[0].{field}": value for field, value in more.items()}
    found = judged_values(patched({"set": changes}), catalogue_of({"MSK-008"}))
    factor = found.selection.masks["scrape-sashes", "half-mask"].credit.apf
    assert bool([d for d in found.findings if d.code == "MSK-008"]) is (factor == 25.0)
    return factor


@published("29 CFR 1910.134(d)(3)(i)(A), Table 1, note 4: evidence of 1,000 or more, else 25")
def test_a_hood_takes_a_report_of_this_model_and_of_enough() -> None:
    assert factor_of(REPORT) == 1000.0
    assert factor_of({**REPORT, "factor": "1000"}) == 1000.0
    assert factor_of({**REPORT, "tested_model": "a 12"}) == 1000.0
    for field in REPORT:
        assert factor_of({name: value for name, value in REPORT.items() if name != field}) == 25.0, field
    for other in ({"factor": "999"}, {"factor": "25"}, {"tested_model": "A-11"}, {"title": "Report lost"},
                  {"by": "none"}, {"title": "Report 7: APF 25"}, {"title": "Asked for; not here yet"}):  # fmt: skip
        assert factor_of({**REPORT, **other}) == 25.0, other
    assert factor_of(REPORT, hood_proven="no") == 25.0


@pytest.mark.parametrize(
    "words",
    ["Maker's report of 2024, factor 1,200 in the workplace", "Report 77, not less than 1,000", "Salesman says so",
     "Trust", "See web page", "Up to 1,000 according to the shop", "Report on another hood, factor 1,000",
     "Test report: failed"],
)  # fmt: skip
def test_words_about_a_hood_show_nothing(words: str) -> None:
    assert factor_of(None, hood_evidence=words) == 25.0


# ---- what irritates ----------------------------------------------------------------------------------------


def gas(agent: str, level: str, irritates: str = "no") -> dict[str, Any]:
    exposure = {"kind": "estimate", "concentration": level, "by": "Clearfield Hygiene", "basis": "Volume used, fan"}
    return {
        "hazards[0]": {"id": "varnish-toluene", "task": "varnish", "agent": agent, "form": "vapour", "oil": "no",
                       "irritates_eyes": irritates, "exposure": {**exposure, "date": "2026-02-10"}},
    }  # fmt: skip


@published("29 CFR 1910.1048(g)(3)(ii), 1910.1052(g)(3)(i), 1910.1047(g)(3)(i); Regulation (EC) No 1272/2008, Annex VI")
@pytest.mark.parametrize(
    ("agent", "level", "is_told"),
    [
        ("formaldehyde", "0.1 ppm", True), ("methylene chloride", "1 ppm", True), ("ethylene oxide", "0.1 ppm", True),
        ("ammonia", "60 ppm", True), ("ammonia", "5 ppm", False), ("2-butanone", "500 ppm", True),
        ("2-butanone", "20 ppm", False), ("toluene", "500 ppm", False), ("lead", "1 mg/m3", False),
    ],
)  # fmt: skip
def test_irritation_is_not_denied_against_what_is_known(agent: str, level: str, is_told: bool) -> None:
    (found,) = told("HAZ-004", gas(agent, level), "varnishing") or [None]
    assert (found is not None) is is_told
    assert not told("HAZ-004", gas(agent, level, "yes"), "varnishing")


def test_the_eyes_count_whatever_was_denied() -> None:
    """29 CFR 1910.134(d)(1)(i)."""
    found = [told("SEL-015", gas(agent, "500 ppm"), "varnishing") for agent in ("2-butanone", "toluene")]
    assert [bool(one) for one in found] == [True, False]


def test_the_list_of_irritants_is_of_agents_that_are_known() -> None:
    listed = [str(cas) for group in table_entries("eye_irritants", "irritants") for cas in group["cas"]]
    assert len(set(listed)) == len(listed)
    assert [cas for cas in listed if find_substance(cas) is None] == []


# ---- what a cartridge is for -------------------------------------------------------------------------------

BY_CLASS = [
    # approval, gases, agent: against, asked, or left alone
    ("TC-23C-0000", ["organic-vapour"], "ammonia", "against"),
    ("TC-23C-0000", ["organic-vapour"], "methanol", "against"),
    ("TC-23C-0000", ["ammonia"], "toluene", "against"),
    ("TC-23C-0000", ["acid-gas"], "carbon monoxide", "against"),
    ("TC-84A-0000", [], "toluene", "against"),
    ("TC-84A-0000", [], "chlorine", "against"),
    ("TC-23C-0000", ["organic-vapour"], "toluene", "alone"),
    ("TC-84A-0000", [], "lead", "alone"),
    ("TC-23C-0000", ["acid-gas"], "chlorine", "alone"),
    ("TC-23C-0000", ["organic-vapour"], "ethylene oxide", "asked"),
    ("TC-23C-0000", ["organic-vapour"], "methylene bisphenyl isocyanate", "asked"),
    ("TC-14G-0000", ["multi-gas"], "ammonia", "asked"),
    ("TC-14G-0000", ["multi-gas"], "carbon dioxide", "against"),
    ("TC-14G-0000", ["multi-gas"], "methanol", "against"),
    ("TC-23C-0000", [], "nitrogen dioxide", "against"),
    ("TC-23C-0000", [], "ammonia", "asked"),
    ("TC-23C-0000", ["organic-vapour"], "Unlisted solvent 7", "asked"),
]  # fmt: skip


@published("42 CFR Part 84, Subparts I, K and L: what each approval holds; 29 CFR 1910.134(d)(1)(ii)")
def test_an_agent_is_named_within_the_class_or_with_its_source() -> None:
    for approval, gases, agent, what in BY_CLASS:
        particulate = {"filters[0].particulate": "P100", "filters[0].name": "Cartridge of the blue box"}
        changes = {"filters[0].approval": approval, "filters[0].gases": gases, "filters[0].agents": [agent]}
        found = {code: told(code, particulate | changes, "varnishing") for code in ("FLT-027", "FLT-028")}
        assert [code for code, ds in found.items() if ds] == {"against": ["FLT-027"], "asked": ["FLT-028"]}.get(
            what, []
        ), (gases, agent)
        part = Filter.model_validate({"id": "c", "approval": approval, "gases": gases, "agents": [agent]})
        assert bool(claim_trouble(part, find_substance(agent))) is (what == "against")
        assert is_approved_for(part, agent, find_substance(agent)) is (what != "against")
        if what == "asked":
            sourced = {**particulate, **changes, "filters[0].agents_source": "Label of the cartridge"}
            assert not told("FLT-028", sourced, "varnishing")


def test_no_bound_and_no_indicator_of_an_agent_stands_against_the_class() -> None:
    for agent, is_told in (("ammonia", True), ("toluene", False)):
        for field, value in (("most_for", [{"agent": agent, "most": "300 ppm"}]), ("esli_for", [agent])):
            assert bool(told("FLT-027", {f"filters[0].{field}": value}, "varnishing")) is is_told, (field, agent)


@published("ANSI K13.1-1973 by 42 CFR 84.113 and 84.193; the colours from memory")
@pytest.mark.parametrize(
    ("name", "gases", "is_told"),
    [
        ("Black cartridge", ["organic-vapour"], False), ("Black cartridge", ["ammonia"], True),
        ("Yellow cartridge", ["organic-vapour"], False), ("White cartridge", ["organic-vapour"], True),
        ("Green and black cartridge", ["ammonia"], False), ("Magenta cartridge", ["organic-vapour"], False),
        ("Blackwell cartridge", ["ammonia"], False), ("Black cartridge", ["formaldehyde"], False),
        ("Cartridge of the blue box", ["acid-gas"], False), ("Green cartridge", ["multi-gas"], False),
    ],
)  # fmt: skip
def test_the_colour_in_a_name_is_that_of_its_class(name: str, gases: list[str], is_told: bool) -> None:
    assert bool(told("FLT-028", {"filters[0].name": name, "filters[0].gases": gases}, "varnishing")) is is_told


def test_magenta_alone_holds_no_gas() -> None:
    entry = {
        "program": "varnishing",
        "set": {"filters[0].name": "Magenta disc"},
        "drop": ["filters[0].particulate"],
    }
    found = judged_values(patched(entry), catalogue_of({"FLT-028"}))
    assert [d.code for d in found.findings] == ["FLT-028"]


# ---- low boilers -------------------------------------------------------------------------------------------


def schedule(agent: str, data: str, **more: str) -> Judged:
    plan = "procedures.filter_changes.schedules[0]"
    changes = {"hazards[0].agent": agent, f"{plan}.data": data, f"{plan}.reliance": "Same cartridge, lower level"}
    changes |= {f"{plan}.{name}": value for name, value in more.items()}
    return judged_values(patched({"program": "varnishing", "set": changes}))


@published("Boiling points: the package “chemicals”; that low boilers break through early: common practice, no source")
@pytest.mark.parametrize(
    ("agent", "data", "is_told"),
    [
        ("acetone", "Maker's sheet for organic vapour, 8 h", True), ("methyl acetate", "Maker's sheet SL-7", True),
        ("pentane", "Sheet for toluene at 100 ppm, 8.2 h", True),
        ("acetone", "Maker's sheet for organic vapour; not for acetone", True),
        ("acetone", "Maker's sheet for acetone, 2 h", False),
        ("acetone", "Maker's sheet for dimethyl ketone, 2 h", False), ("toluene", "Sheet for organic vapour", False),
        ("2-butanone", "Maker's sheet for organic vapour, 8 h", False),
    ],
)  # fmt: skip
def test_data_for_organic_vapour_in_general_carry_no_low_boiler(agent: str, data: str, is_told: bool) -> None:
    found = schedule(agent, data, basis="maker-data")
    assert ("FLT-029" in {d.code for d in found.findings if d.severity is Severity.REQUIRED}) is is_told
    if is_told:
        assert not found.selection.masks["varnish", "half-mask"].is_adequate
