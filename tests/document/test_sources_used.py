"""The references list what a program rests on: the limits it used, its calculations, its duties, and nothing else."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from document.reading import of_type
from programs.patching import PROGRAMS, judged, patched, read_as_text
from published_value import published

from progdoc.document.blocks.annex_blocks import worked_figures
from progdoc.document.blocks.reference_blocks import reference_tables
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.nodes import Table, Text
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import built_in_catalogue


def sources(values: dict[str, Any], tmp_path: Path) -> set[str]:
    found = judged(values, tmp_path)
    table = reference_tables(found, worked_figures(found))[0]
    assert isinstance(table, Table)
    return {part.text for row in table.rows for part in row.cells[0].children if isinstance(part, Text)}


def of_industry(industry: str, **more: Any) -> dict[str, Any]:
    return patched({"set": {"tasks[0].industry": industry, "tasks[1].industry": industry, **more}})


@published("29 CFR 1910.1025, 1926.62, 1915.1025: the lead standard of each industry; 1910.1000, 1926.55, 1915.1000")
@pytest.mark.parametrize(
    ("industry", "used"),
    [
        ("general", {"29 CFR 1910.1025", "29 CFR 1910.1000"}),
        ("construction", {"29 CFR 1926.62", "29 CFR 1926.55"}),
        ("shipyard", {"29 CFR 1915.1025", "29 CFR 1915.1000"}),
    ],
)
def test_the_tables_of_the_industry_are_listed_and_no_others(industry: str, used: set[str], tmp_path: Path) -> None:
    found = sources(of_industry(industry), tmp_path)
    # In shipyards the duties are those of 1910.1025, to which 1915.1025 refers.
    tables = {"29 CFR 1910.1025", "29 CFR 1926.62", "29 CFR 1915.1025", "29 CFR 1926.55", "29 CFR 1915.1000"}
    tables -= {"29 CFR 1910.1025"} if industry == "shipyard" else set()
    assert found & tables == used & tables
    assert used <= found


def test_a_standard_comes_in_with_its_agent_and_a_paper_with_its_calculation(tmp_path: Path) -> None:
    plain = sources(patched({}), tmp_path)
    assert "29 CFR 1926.1153" not in plain and "Wood (1994)" not in plain
    with_silica = patched({"set": {"hazards[1].agent": "silica"}})
    assert "29 CFR 1926.1153" in sources(with_silica, tmp_path)
    varnish = read_as_text((PROGRAMS / "varnishing.yaml").read_text(encoding="utf-8"))
    found = sources(varnish, tmp_path)
    assert ("Wood (1994)" in found) is any(
        "Wood (1994)" in figure.citation for figure in worked_figures(judged(varnish, tmp_path))
    )


def test_idlh_values_are_listed_where_one_was_compared(tmp_path: Path) -> None:
    assert "NIOSH IDLH values" in sources(patched({}), tmp_path)
    without = patched(
        {
            "set": {
                "hazards[0].agent": "bird droppings",
                "hazards[0].limit": "none published",
                "hazards[0].law_looked_up": "yes",
                "hazards[0].looked_up_as": "Spores, no CAS number",
            }
        }
    )
    assert "NIOSH IDLH values" not in sources(without, tmp_path)


def sections_listed(values: dict[str, Any], tmp_path: Path) -> set[str]:
    program = written_program(judged(values, tmp_path), shipped_templates()).program
    (table,) = (one for one in of_type(program, Table) if one.id == "legal-index.all")
    first = {part.text for row in table.rows for part in row.cells[0].children if isinstance(part, Text)}
    several = {words for words in first if words.startswith("29 CFR")}  # rules that share a row name their title once
    return {rule if " " in rule else f"29 CFR {rule}" for words in several for rule in words.split(", ")}


@published("29 CFR 1926.62: lead in construction; 1926.1153 silica, .1101 asbestos, .1124 beryllium, 1910.1053 silica")
def test_the_index_of_the_law_lists_the_standards_of_the_agents_that_are_there(tmp_path: Path) -> None:
    others = {"29 CFR 1926.1153", "29 CFR 1910.1053", "29 CFR 1926.1101", "29 CFR 1926.1124", "29 CFR 1926.60"}
    lead = of_industry("construction")
    found = sections_listed(lead, tmp_path)
    assert "29 CFR 1926.62" in found and not found & others
    assert found <= sources(lead, tmp_path)
    silica = of_industry("construction", **{"hazards[1].agent": "silica"})
    assert sections_listed(silica, tmp_path) & others == {"29 CFR 1926.1153"}
    none = of_industry(
        "construction", **{f"hazards[{n}].agent": "particulates not otherwise regulated" for n in (0, 1)}
    )
    assert not sections_listed(none, tmp_path) & {*others, "29 CFR 1926.62"}


def test_every_limit_with_a_number_has_its_source() -> None:
    known = {source.short for source in built_in_catalogue().sources.values()}
    cited = {row["citation"] for row in table_rows("limits") if row["kind"] != "listed"}
    missing = {one for one in cited if not any(one.startswith(short) for short in known)}
    assert missing == set()
