"""Figures that are not law: each is the one in use, the program says where they are, a pack confirms them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml
from document.reading import of_type, words
from programs.patching import AS_OF, BASE, checked_by

from progdoc.app.disk.description_files import check_path
from progdoc.app.unconfirmed import unconfirmed_csv, unconfirmed_lines
from progdoc.calc import adsorption, bed, cartridge, statistics
from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.nodes import Paragraph, Table, Text
from progdoc.rules.borrowed_values import figure_in_use
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import built_in_catalogue, catalogue_with

SAMPLE = Path(__file__).parents[2] / "sample_config" / "restoration_2026"
IN_USE = {
    "affinity-coefficient": (adsorption, "_POTENTIAL_COEFFICIENT"),
    "thermal-expansion": (adsorption, "_THERMAL_EXPANSION_PER_K"),
    "film-resistance": (bed, "_FILM_S_CM"),
    "rate-base": (bed, "_RATE_BASE_MIN"),
    "rate-polarisation": (bed, "_RATE_POLAR"),
    "rate-breakthrough": (bed, "_RATE_LOG"),
    "bed-area": (cartridge, "ASSUMED_BED_AREA_CM2"),
    "bed-density": (cartridge, "ASSUMED_BED_DENSITY_G_CM3"),
    "micropore-volume": (cartridge, "ASSUMED_MICROPORE_VOLUME_CM3_G"),
    "group-coverage": (statistics, "_COVERAGE"),
    "group-confidence": (statistics, "_CONFIDENCE"),
}


@pytest.fixture(scope="module")
def sample() -> Judged:
    judged = check_path(SAMPLE, AS_OF.replace(month=11, day=24)).judged
    assert judged is not None
    return judged


def test_every_figure_of_the_table_is_the_one_in_use() -> None:
    rows = {row["id"]: float(row["value"]) for row in table_rows("borrowed")}
    rates = {f"breathing-{row['effort']}": float(row["flow_l_min"]) for row in table_rows("work_rates")}
    pressures = {
        name: float(substance["vapour_pressure_mmhg_20c"])
        for substance in table_rows("substances")
        if (name := f"vapour-pressure-{substance['id']}") in rows
    }
    constants = {name: getattr(module, constant) for name, (module, constant) in IN_USE.items()}
    assert rows == constants | rates | pressures
    assert len(pressures) == 4


def test_every_idlh_value_of_the_air_is_listed_until_a_policy_sets_a_lower_one(sample: Judged) -> None:
    listed = {one.id for one in sample.borrowed if one.id.startswith("idlh-")}
    in_the_air = {
        f"idlh-{agent.substance.id}"
        for air in sample.selection.air.values()
        for agent in air.agents
        if agent.substance and agent.danger and not agent.danger.is_by_policy
    }
    assert listed == in_the_air
    assert {"idlh-lead", "idlh-toluene"} <= listed


def test_the_program_says_in_one_table_alone_how_figures_are_supported(sample: Judged) -> None:
    doubts = re.compile(r"from memory|recalled|: verify|not read", re.IGNORECASE)
    both = written_program(sample, shipped_templates())
    (table,) = [table for table in of_type(both.annex, Table) if table.id == "references.borrowed"]
    assert len(table.rows) == len(sample.borrowed) > 10
    listed = set(map(id, of_type(table, Text)))
    for paper in (both.program, both.annex, *task_documents(sample).values()):
        said = [words(p) for p in of_type(paper, Paragraph)]
        said += [text.text for text in of_type(paper, Text) if id(text) not in listed]
        assert [text for text in said if doubts.search(text)] == []


def test_the_list_for_a_hygienist_has_every_figure_and_room_to_confirm_it(sample: Judged) -> None:
    lines = unconfirmed_csv(sample).decode("utf-8-sig").splitlines()
    assert lines[0].endswith("confirmed_source,confirmed_date,confirmed_by")
    assert len(lines) == 1 + len(sample.borrowed)
    told = " ".join(line.text for block in unconfirmed_lines(sample) for line in block)
    assert all(one.what in told and one.value in told for one in sample.borrowed)


def pack(folder: Path, *confirmed: dict[str, str]) -> Path:
    folder.mkdir()
    (folder / "pack.yaml").write_text('pack: looked-up\nversion: "1"\ntitle: Figures looked up\n', encoding="utf-8")
    typed = [{key: str(words) for key, words in one.items()} for one in confirmed]
    (folder / "figures.yaml").write_text(yaml.safe_dump({"confirmed": typed}), encoding="utf-8")
    return folder


def looked_up(identity: str, value: str) -> dict[str, str]:
    return {
        "id": identity,
        "value": value,
        "source": "The publisher's page",
        "date": "2026-03-02",
        "by": "A. Hygienist",
    }


def test_what_a_pack_confirms_is_listed_no_more(tmp_path: Path) -> None:
    before = checked_by(built_in_catalogue(), BASE).judged
    assert before is not None
    assert "idlh-lead" in {one.id for one in before.borrowed}
    catalogue, faults = catalogue_with([pack(tmp_path / "p", looked_up("idlh-lead", "100 mg/m3"))])
    after = checked_by(catalogue, BASE).judged
    assert after is not None
    assert faults == ()
    assert {one.id for one in before.borrowed} - {one.id for one in after.borrowed} == {"idlh-lead"}


@pytest.mark.parametrize("row", table_rows("borrowed"), ids=lambda row: row["id"])
def test_every_figure_can_be_confirmed_and_no_other_one(row: dict[str, str], tmp_path: Path) -> None:
    ours = figure_in_use(row["id"])
    assert ours is not None
    catalogue, faults = catalogue_with([pack(tmp_path / "right", looked_up(row["id"], ours))])
    assert (list(catalogue.confirmed), faults) == ([row["id"]], ())
    catalogue, faults = catalogue_with([pack(tmp_path / "wrong", looked_up(row["id"], f"1{ours}"))])
    assert not catalogue.confirmed
    assert ours in faults[0].what


@pytest.mark.parametrize("lacking", ["id", "value", "source", "date", "by"])
def test_who_confirms_says_what_where_when_and_by_whom(lacking: str, tmp_path: Path) -> None:
    entry = looked_up("idlh-lead", "100 mg/m3")
    del entry[lacking]
    catalogue, faults = catalogue_with([pack(tmp_path / "p", entry)])
    assert not catalogue.confirmed
    assert [fault.code for fault in faults] == ["PACK-003"]
    assert lacking in faults[0].what


def test_a_figure_that_there_is_not_is_told(tmp_path: Path) -> None:
    catalogue, faults = catalogue_with([pack(tmp_path / "p", looked_up("idlh-unobtainium", "1 ppm"))])
    assert not catalogue.confirmed
    assert "progdoc unconfirmed" in faults[0].fix
