"""The law's smaller tables against the figures and names they print, cell by cell and row by row."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
import yaml
from published.law_tables import table
from published.law_words import copied, runs_of_the_standard
from published_value import published

from progdoc.core.resources import catalogue_root
from progdoc.model.description.masks import Facepiece
from progdoc.rules.lookup.facepieces import seals
from progdoc.rules.lookup.fit_protocols import fit_protocols
from progdoc.rules.lookup.law_tables import (
    AssignedFactor,
    SilicaRow,
    assigned_factors,
    assigned_factors_for,
    filter_class,
    filter_classes,
    lead_tasks,
    oxygen_range_at,
    oxygen_ranges,
    silica_controls,
    silica_row,
    silica_rows,
)
from progdoc.rules.lookup.standard_tables import (
    SubstanceStandard,
    butadiene_masks,
    substance_standard,
    substance_standards,
)
from progdoc.rules.lookup.substances import find_substance, limits_for
from progdoc.rules.lookup.table_files import table_rows

PUBLISHED = Path(__file__).parents[1] / "published"
OURS = (
    "altitude",
    "apf",
    "butadiene_masks",
    "cited",
    "escape_masks",
    "facepieces",
    "figure_bounds",
    "filter_classes",
    "idlh",
    "lead_trigger_tasks",
    "limits",
    "silica_controls",
    "silica_table1",
    "standard_cartridges",
    "standard_duties",
    "substance_standards",
    "substances",
    "surveillance_unread",
)
ROMAN = ["i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x"]
ROMAN += ["xi", "xii", "xiii", "xiv", "xv", "xvi", "xvii", "xviii"]


# ---- every table --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", OURS)
def test_every_table_says_where_it_is_from(name: str) -> None:
    text = (catalogue_root() / "tables" / f"{name}.source.yaml").read_text(encoding="utf-8")
    source = yaml.safe_load(text)
    assert {"title", "key", "publisher", "consulted", "obtained", "checked", "holes"} <= set(source)
    assert set(source.get("columns", {})) <= set(table_rows(name)[0])


@pytest.mark.parametrize("name", OURS)
def test_the_key_of_a_table_finds_one_row(name: str) -> None:
    text = (catalogue_root() / "tables" / f"{name}.source.yaml").read_text(encoding="utf-8")
    columns = [column.strip() for column in yaml.safe_load(text)["key"].split(",")]
    keys = [tuple(row[column] for column in columns) for row in table_rows(name)]
    assert len(keys) == len(set(keys))


def test_every_agent_named_in_a_table_is_known() -> None:
    known = {row["id"] for row in table_rows("substances")}
    for name in ("limits", "idlh", "substance_standards"):
        assert {row["agent"] for row in table_rows(name)} <= known


# ---- paragraphs that computations name, kinds of facepiece -----------------------------------------------


@published("29 CFR 1910.134, index of its paragraphs")
def test_every_cited_paragraph_of_the_standard_exists() -> None:
    index = (PUBLISHED / "1910.134-paragraphs.csv").read_text(encoding="utf-8")
    known = {row["paragraph"] for row in csv.DictReader(index.splitlines())}
    cited = [row["citation"] for row in table_rows("cited")]
    own = [re.match(r"29 CFR 1910\.134((?:\([^)]+\))+)", citation) for citation in cited]
    assert len([found for found in own if found]) >= 10
    assert {found[1] for found in own if found} <= known


@published("29 CFR 1910.134(b), tight-fitting facepiece, loose-fitting facepiece; Table 1 and its note 3")
def test_which_facepieces_seal_and_where_they_stand_in_table_1() -> None:
    found = {Facepiece(row["facepiece"]): row["column"] for row in table_rows("facepieces")}
    assert set(found) == set(Facepiece)
    assert {kind.value for kind in Facepiece if seals(kind)} == {
        "filtering-facepiece", "quarter-mask", "half-mask", "full-facepiece",
    }  # fmt: skip
    assert set(found.values()) == {factor.facepiece for factor in assigned_factors()}
    assert found[Facepiece.FILTERING_FACEPIECE] == "half-mask"
    tested = {kind for protocol in fit_protocols().values() for kind in protocol["masks"]}  # (f)(1): those that seal
    assert tested == {kind.value for kind in Facepiece if seals(kind)}


# ---- assigned protection factors ----------------------------------------------------------------------


@published("29 CFR 1910.134(d)(3)(i)(A), Table 1")
def test_assigned_protection_factors_cell_by_cell() -> None:
    printed: set[tuple[str, str, int | None, bool]] = set()
    for row in table("29cfr1910.134-table-1"):
        for facepiece, cell in list(row.items())[1:]:
            numbers = [int(factor) for factor in cell.split("/")] if cell else [None]
            printed |= {(row["mode"], facepiece, number, number == 1000 and len(numbers) == 2) for number in numbers}
    ours = {(cell.mode, cell.facepiece, cell.apf, cell.needs_maker_evidence) for cell in assigned_factors()}
    assert len(printed) == 37
    assert ours == printed


@published("29 CFR 1910.134(d)(3)(i)(A), Table 1, notes 3 and 4")
def test_masks_as_they_are_described() -> None:
    def factors(cells: tuple[AssignedFactor, ...]) -> list[int | None]:
        return [cell.apf for cell in cells]

    assert factors(assigned_factors_for("air-purifying", "half-mask")) == [10]
    assert factors(assigned_factors_for("air-purifying", "filtering-facepiece")) == [10]
    assert factors(assigned_factors_for("scba-demand", "filtering-facepiece")) == []
    assert factors(assigned_factors_for("airline-continuous-flow", "helmet")) == [25, 1000]
    assert factors(assigned_factors_for("scba-pressure-demand", "hood")) == [10000]
    assert factors(assigned_factors_for("air-purifying", "hood")) == [None]


# ---- oxygen and filters -------------------------------------------------------------------------------


@published("29 CFR 1910.134(d)(2)(iii), Table II")
def test_oxygen_at_altitude_row_by_row() -> None:
    rows = table("29cfr1910.134-table-2")
    printed = [
        (int(row["up_to_ft"]), float(row["oxygen_min_percent"]), float(row["oxygen_max_percent"])) for row in rows
    ]
    assert [int(row["from_ft"]) for row in rows[1:]] == [up_to + 1 for up_to, _, _ in printed[:-1]]
    assert [(r.up_to_ft, r.oxygen_min_percent, r.oxygen_max_percent) for r in oxygen_ranges()] == printed
    assert len(printed) == 6


@pytest.mark.parametrize(
    ("feet", "least"),
    [(-200.0, 16.0), (3000.0, 16.0), (3000.5, 16.4), (3001.0, 16.4), (8000.0, 19.3), (8000.1, None), (14001.0, None)],
)
def test_the_line_for_an_altitude(feet: float, least: float | None) -> None:
    line = oxygen_range_at(feet)
    assert (line.oxygen_min_percent if line else None) == least


@published("42 CFR 84.170(b)-(c) and 84.179(b)")
def test_filter_classes() -> None:
    rows = table("42cfr84-filter-classes")
    assert {row["class"] for row in rows} == {series + level for series in "NRP" for level in ("95", "99", "100")}
    for row in rows:
        ours = filter_class(row["class"])
        assert ours is not None
        assert ours.min_efficiency_percent == float(row["min_efficiency_percent"])
        assert ours.is_magenta == (row["magenta"] == "yes")
        assert ours.stands_oil == (row["stands_oil"] == "yes")
        assert ours.counts_as_hepa == row["class"].endswith("100")
    assert [row.name for row in filter_classes() if row.is_for_powered] == ["HEPA"]
    assert filter_class("N75") is None


# ---- silica -------------------------------------------------------------------------------------------


SILICA = {row["row"]: row for row in table("29cfr1926.1153-table-1")}


def options_of(row: str) -> dict[int, dict[str, SilicaRow]]:
    found: dict[int, dict[str, SilicaRow]] = {}
    for line in silica_rows():
        if line.row == row:
            found.setdefault(line.option, {})[line.place] = line
    return found


@published("29 CFR 1926.1153(c)(1), Table 1")
@pytest.mark.parametrize("row", ROMAN)
def test_the_masks_of_a_silica_row_in_the_order_printed(row: str) -> None:
    printed = [tuple(map(int, pair.split("/"))) for pair in SILICA[row]["masks_up_to_4_h_and_over"].split()]
    ours: list[tuple[int, int]] = []
    for places in options_of(row).values():
        pairs = [(line.apf_up_to_4_h, line.apf_over_4_h) for line in places.values()]
        says_place = SILICA[row]["by_place"] == "yes" and len(places) == 2
        ours += pairs if says_place else pairs[:1]
        assert says_place or len(set(pairs)) == 1
    if row == "xvii":  # prints its pair twice, for the operator and for those outside the cab
        ours *= 2
    if row == "xvi":  # prints one pair for the booth and for the remote control station
        assert ours == [(0, 0)] * 2
        ours = ours[:1]
    if row == "xii":  # the wet option is printed for outdoors alone
        assert list(options_of(row)[1]) == ["outdoors"]
    assert ours == printed


@published("29 CFR 1926.1153(c)(1), Table 1")
@pytest.mark.parametrize("row", ROMAN)
def test_a_silica_row_has_its_places_and_options(row: str) -> None:
    options = options_of(row)
    assert len(options) == int(SILICA[row]["options"])
    only_outdoors = [number for number, places in options.items() if "indoors" not in places]
    assert bool(only_outdoors) == (SILICA[row]["outdoors_only"] == "yes")
    assert {row for row in ROMAN if [n for n, p in options_of(row).items() if "indoors" not in p]} == {
        "iii",
        "v",
        "viii",
        "xii",
    }


@published("29 CFR 1926.1153(c)(1), Table 1")
@pytest.mark.parametrize("row", ROMAN)
def test_a_silica_row_lists_each_device_that_the_printed_row_names(row: str) -> None:
    looked_for = {device for printed in SILICA.values() for device in printed["devices"].split()}
    assert len(looked_for) == 23
    controls = {control for line in silica_rows() if line.row == row for control in line.controls}
    assert controls & looked_for == set(SILICA[row]["devices"].split())
    assert any(control.startswith("water") for control in controls) == (SILICA[row]["water"] == "yes")


@published("29 CFR 1926.1153(c)(2)(i)-(iii)")
def test_the_general_duties_come_with_place_water_and_cab() -> None:
    for line in silica_rows():
        assert ("exhaust-indoors" in line.general_controls) == (line.place == "indoors")
        assert ("water-enough" in line.general_controls) == any(c.startswith("water") for c in line.controls)
        has_cab = bool({"cab", "booth-or-remote"} & set(line.controls))
        assert sum(control.startswith("cab-") for control in line.general_controls) == (6 if has_cab else 0)


def test_every_silica_control_is_used_known_and_in_our_own_words() -> None:
    used = {control for line in silica_rows() for control in (*line.controls, *line.general_controls)}
    assert used == set(silica_controls())
    for control in silica_controls().values():
        assert copied(control.text, runs_of_the_standard(), 7) == [], control


def test_a_silica_row_that_the_table_has_not_is_none() -> None:
    tuckpointing = silica_row("xi", 1, "outdoors")
    assert tuckpointing is not None
    assert (tuckpointing.apf_up_to_4_h, tuckpointing.apf_over_4_h) == (10, 25)
    assert (
        silica_row("viii", 1, "indoors") is silica_row("xix", 1, "outdoors") is silica_row("xi", 2, "indoors") is None
    )


# ---- lead, butadiene, the standards -------------------------------------------------------------------


@published("29 CFR 1926.62(d)(2)(i)-(iv)")
def test_lead_tasks_stand_in_the_paragraph_named() -> None:
    printed = {(row["task"], f"29 CFR 1926.62(d)(2){row['paragraph']}") for row in table("29cfr1926.62-lead-tasks")}
    assert {(task.id, task.citation) for task in lead_tasks()} == printed
    assert all(task.citation.startswith(f"29 CFR 1926.62(d)(2)({task.group})") for task in lead_tasks())
    assert len(lead_tasks()) == 17


@published("29 CFR 1926.62(c)(1) and (d)(2)(i)-(iv): the limit, ten times it, 500 and 2,500 µg/m³")
def test_lead_levels_and_the_smallest_class_over_them() -> None:
    lead = find_substance("lead")
    assert lead is not None
    limit = limits_for(lead, "construction")[0].value
    assert limit == 50
    classes = sorted({cell.apf for cell in assigned_factors() if cell.apf})
    printed = {row["task"]: row for row in table("29cfr1926.62-lead-tasks")}
    for task in lead_tasks():
        assert task.assumed_over_ug_m3 == float(printed[task.id]["over_ug_m3"])
        up_to = printed[task.id]["up_to_ug_m3"]
        assert task.assumed_up_to_ug_m3 == (float(up_to) if up_to else None)
        ratio = task.assumed_over_ug_m3 / limit
        assert task.smallest_class_apf == min(apf for apf in classes if apf > ratio and apf >= 10)


@published("29 CFR 1910.1051(h)(3)(i), Table 1")
def test_butadiene_masks_and_hours() -> None:
    printed = {
        float(row["up_to_ppm"]) if row["up_to_ppm"] else None: {float(hour) for hour in row["change_every_h"].split()}
        for row in table("29cfr1910.1051-table-1")
    }
    ours: dict[float | None, set[float]] = {level: set() for level in printed}
    for mask in butadiene_masks():
        if mask.change_every_h:
            ours[mask.up_to_ppm].add(mask.change_every_h)
    assert ours == printed


def test_every_standard_that_governs_an_agent_with_limits_has_its_mask_rules() -> None:
    for row in table_rows("substances"):
        agent = find_substance(row["id"])
        assert agent is not None
        for industry, standard in agent.standards:
            rules = substance_standard(standard, industry)
            assert (rules is not None) == bool(limits_for(agent, industry)), (agent.id, standard)


@published("29 CFR 1926.62(f), 1926.1101(h), 1926.1153(e), 1926.1126(f), 1926.1124(g), 1910.1052(g), 1910.1047(g)")
def test_what_some_standards_ask_of_masks() -> None:
    def rules(standard: str, industry: str = "construction") -> SubstanceStandard:
        found = substance_standard(f"29 CFR {standard}", industry)
        assert found is not None
        return found

    lead = rules("1926.62")
    assert (lead.particle_filter, lead.half_mask) == ("HEPA", "not-if-irritating")
    assert (lead.medical, lead.calls_in_unknown_is_idlh) == ("29 CFR 1926.62(j)", False)
    assert rules("1926.1101").filtering_facepiece == "forbidden"
    for whole in ("1926.1153", "1926.1126", "1926.1124"):
        assert (rules(whole).medical, rules(whole).calls_in_unknown_is_idlh) == ("29 CFR 1910.134(e)", True)
    stripper = rules("1910.1052", "general")
    assert (stripper.air_purifying, stripper.half_mask, stripper.medical) == (
        "forbidden",
        "forbidden",
        "29 CFR 1910.134(e)",
    )
    assert not stripper.calls_in_unknown_is_idlh
    assert rules("1910.1047", "general").half_mask == "forbidden"
    without_schedule = {row.agent for row in substance_standards() if not row.calls_in_change_schedule}
    assert without_schedule == {"benzene", "1-3-butadiene", "acrylonitrile", "vinyl-chloride"}
    by_own_rule = {
        r["agent"] for r in table_rows("substance_standards") if r["calls_in_change_schedule"] == "by-own-rule"
    }
    assert by_own_rule == {"formaldehyde"}  # 1910.1048(g)(2)(ii) asks for what (g)(2)(i) leaves out
    without_air_purifying = {row.agent for row in substance_standards() if row.air_purifying == "forbidden"}
    assert without_air_purifying == {"methylene-chloride", "dbcp"}
