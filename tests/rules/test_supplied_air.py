"""Agents that cartridges hardly hold: a list on the cartridge is no way around the doubt, and `select` says it too."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from examples import TIMES
from programs.patching import catalogue_of, checked_by, judged, patched
from published_value import published

from progdoc.rules.lookup.cartridges import NO_CARTRIDGE, Recommended, recommended
from progdoc.rules.lookup.substances import find_substance
from progdoc.rules.lookup.table_files import table_rows

CODES = ("FLT-030", "SEL-006", "SEL-009", "SEL-012", "SEL-028")
CATALOGUE = catalogue_of(CODES)
NAMES = {row["id"]: row["name"].partition(" (")[0] for row in table_rows("substances")}
LISTED = [NAMES[row["agent"]] for row in table_rows("supplied_air")]
OFTEN = LISTED if TIMES > 1 else LISTED[::4]


def air_of(agent: str, **more: Any) -> dict[str, Any]:
    estimate = {"kind": "estimate", "concentration": "2000 ppm", "by": "Clearfield Hygiene", "basis": "Tubes"}
    return {
        "hazards[0].agent": agent,
        "hazards[0].form": "gas",
        "hazards[0].exposure": {**estimate, "date": "2026-02-10"},
        "filters[0].gases": ["multi-gas"],
        "filters[0].agents": [agent],
        "filters[0].agents_source": "Approval label",
        **more,
    }


def found(change: dict[str, Any]) -> set[str]:
    report = checked_by(CATALOGUE, patched({"program": "varnishing", "set": change})).report
    return {d.code for d in report.findings if d.code in CODES}


@published("NIOSH Pocket Guide to Chemical Hazards, respirator recommendations (from memory): supplied air alone")
@pytest.mark.parametrize("agent", OFTEN)
def test_naming_an_agent_on_the_cartridge_ends_no_doubt(agent: str) -> None:
    assert recommended(find_substance(agent)) is not Recommended.NOTHING_KNOWN
    assert found(air_of(agent))
    assert found(air_of(agent, **{"filters[0].gases": ["organic-vapour", "acid-gas"]}))


def test_a_bound_of_the_maker_ends_it_only_where_such_cartridges_exist() -> None:
    def bounded(agent: str, **said: str) -> set[str]:
        bound = {"agent": agent, "most": "5000 ppm", **said}
        return found(air_of(agent, **{"filters[0].most_for": [bound]}))

    assert bounded("phosphine", source="Letter of the maker, 2026-03-02") == set()
    assert bounded("phosphine") == {"FLT-030"}  # nobody says who gives it
    assert bounded("nickel carbonyl", source="Letter of the maker, 2026-03-02") == {"FLT-030"}
    other = [{"agent": "toluene", "most": "5000 ppm", "source": "Letter of the maker"}]
    assert found(air_of("phosphine", **{"filters[0].most_for": other})) == {"FLT-030"}


@pytest.mark.parametrize("agent", ["toluene", "acetone", "chlorine", "ammonia", "sulfur dioxide", "ethyl acetate"])
def test_what_cartridges_are_made_for_is_left_alone(agent: str) -> None:
    every = ["organic-vapour", "acid-gas", "ammonia", "multi-gas"]
    assert found(air_of(agent, **{"filters[0].gases": every})) == set()


def test_no_class_with_a_cartridge_does_without_a_word(tmp_path: Path) -> None:
    for agent in ("phosphine", "nickel carbonyl", "methyl bromide", "TDI", "hydrogen cyanide"):
        concentration = {"hazards[0].exposure.concentration": "0.004 ppm"}
        values = patched({"program": "varnishing", "set": {**air_of(agent), **concentration}})
        for verdict in judged(values, tmp_path).classes_for("varnish"):
            if verdict.kind.mode in ("air-purifying", "powered"):
                assert not verdict.would_do or any(agent in words for words in verdict.only_with), verdict.kind.name


def test_open_eyes_are_told_where_the_air_irritates_them(tmp_path: Path) -> None:
    for irritates in ("yes", "no"):
        changes = {"hazards[0].irritates_eyes": irritates, "hazards[0].exposure.concentration": "250 ppm"}
        found_classes = judged(patched({"program": "varnishing", "set": changes}), tmp_path).classes_for("varnish")
        told = {v.kind.facepiece for v in found_classes if any("eye protection" in words for words in v.only_with)}
        expected = {"quarter-mask", "half-mask", "filtering-facepiece"} if irritates == "yes" else set()
        assert told == expected


def test_what_bars_already_and_what_is_doubted_agree() -> None:
    """Against what no class stops, recommendations can't name a cartridge: but for sorbents that are no class here."""
    barred = {row["agent"] for row in table_rows("cartridges") if row["cartridge"] == NO_CARTRIDGE}
    listed = {row["agent"] for row in table_rows("supplied_air")}
    assert barred - listed == {"methylene-chloride", "nitrogen-dioxide"}  # the first is barred by its standard
