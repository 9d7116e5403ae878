"""“Under its limit” is said of an agent that keeps every kind of limit it has, in all papers in the same words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from document.reading import of_type, program_of
from programs.patching import judged, patched
from published_value import published
from rules.workplaces import sample, samples

from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.training_kit import training_documents
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.nodes import Row
from progdoc.rules.judged.result import Judged

SOFT = "Under its limit."
PEAK = {"concentration": "400 ppm", "duration": "8 min", "span": "8 h", "date": "2026-05-01"}
LOW = sample("10 ppm")
CASES: dict[str, tuple[str, list[dict[str, Any]], list[dict[str, Any]], str]] = {
    "kept": ("toluene", [LOW, sample("20 ppm", 10, averaging="ceiling")], [], SOFT),
    "over a shift": (
        "toluene",
        [sample("250 ppm"), sample("260 ppm", 10, averaging="ceiling")],
        [],
        "times its limit.",
    ),
    "ceiling": ("toluene", [LOW, sample("400 ppm", 10, averaging="ceiling")], [], "times its limit."),
    "ceiling, in allowed peaks": (
        "toluene",
        [LOW, sample("400 ppm", 8, averaging="ceiling")],
        [PEAK],
        "Under its limit over a shift. Over its ceiling for minutes, in peaks that the law allows: 400 ppm, 8 min over",
    ),
    "peak": (
        "toluene",
        [LOW, sample("20 ppm", 10, averaging="ceiling")],
        [{**PEAK, "concentration": "600 ppm"}],
        "times its limit.",
    ),
    "minutes of the STEL": ("formaldehyde", [sample("0.1 ppm"), sample("3 ppm", 15)], [], "times its limit."),
}


def _judged(folder: Path, agent: str, results: list[dict[str, Any]], peaks: list[dict[str, Any]]) -> Judged:
    told = {"agent": agent, "form": "vapour", "exposure": samples(*results), "peaks": peaks}
    entry = {f"hazards[0].{key}": value for key, value in told.items() if value}
    return judged(patched({"set": {**entry, "tasks[0].industry": "general"}}), folder)


@published(
    "29 CFR 1910.1000, Table Z-2: toluene 200 ppm, 300 ppm, 500 ppm for 10 min; 1910.1048(c): 0.75 and 2 ppm in 15 min"
)
@pytest.mark.parametrize("case", CASES)
def test_no_kind_of_limit_is_passed_over(case: str, tmp_path: Path) -> None:
    agent, results, peaks, told = CASES[case]
    found = _judged(tmp_path, agent, results, peaks)
    (of_agent,) = found.selection.air["scrape-sashes"].agents
    page = printed_words((task_documents(found)["scrape-sashes"],))
    kit = printed_words((training_documents(found)["kit"],))
    for paper in (page, kit):
        assert told.casefold() in paper.casefold()
        assert (SOFT.casefold() in paper[paper.index(agent) :][:200].casefold()) is (told == SOFT)
    program = printed_words((program_of(found),))
    assert ("over its ceiling in allowed peaks" in program) is bool(of_agent.allowed_peaks)
    assert ("over the ceiling in allowed peaks" in program) is bool(of_agent.allowed_peaks)


@published("29 CFR 1910.1026(b) and (c): chromium(VI), action level 2.5 and limit 5 µg/m³ over 8 hours")
def test_the_standard_of_an_agent_and_its_action_level_are_printed(tmp_path: Path) -> None:
    told = {"agent": "chromium(VI)", "form": "fume", "exposure": samples(sample("3 ug/m3"))}
    entry = {f"hazards[0].{key}": value for key, value in told.items()}
    found = judged(patched({"set": {**entry, "tasks[0].industry": "general"}}), tmp_path)
    made = written_program(found, shipped_templates())
    (row,) = (row for row in of_type(made.program, Row) if row.id.startswith("air.scrape-sashes."))
    assert "2.5 µg/m³ action level" in printed_words((row,))
    index = [row for row in of_type((made.program, made.annex), Row) if row.id.startswith("legal-index.")]
    assert any("1910.1026" in printed_words((row.cells[0],)) for row in index)
