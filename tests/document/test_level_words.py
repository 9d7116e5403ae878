"""Each paper that tells how a level stands to its limit tells how it is known: a guess is read as no measurement."""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args

from programs.patching import judged_by, patched

from progdoc.document.blocks.glance_blocks import glance_blocks
from progdoc.document.blocks.level_words import HOW_KNOWN
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.task_page import task_documents
from progdoc.model.description.exposure_evidence import Evidence
from progdoc.rules.lookup.telling_words import by_the_senses
from progdoc.rules.reading.catalogue import built_in_catalogue

BY = {"by": "Clearfield Hygiene", "date": "2026-02-10"}
KINDS: dict[str, tuple[dict[str, Any], str]] = {
    "estimate": (
        {"concentration": "20 ug/m3", "basis": "Paint scraped and room air changes", **BY},
        "an estimate, not measured",
    ),
    "objective-data": (
        {"concentration": "20 ug/m3", "source": "Trade study of scraping, 2024", "date": "2026-02-10"},
        "by data of work like it",
    ),
    "samples": ({"results": [{"concentration": "20 ug/m3", "duration": "480 min", "date": "2026-02-10"}]}, "measured."),
    "judgment": ({"guidance": "NIOSH 2005-109, table 1", "needed_apf": "10", **BY}, "a judgment, not measured"),
    "lead-task": ({"group": "i", "task": "manual scraping"}, "assumed by the law, not measured"),
}


def test_every_kind_of_evidence_has_its_words() -> None:
    kinds = get_args(get_args(Evidence)[0])
    assert {*kinds, type(None)} == set(HOW_KNOWN)


def test_the_crew_and_the_first_page_read_how_a_level_is_known(tmp_path: Path) -> None:
    lacking = []
    for kind, (told, words) in KINDS.items():
        values = patched({"set": {"hazards[0].exposure": {"kind": kind, **told}}})
        if kind == "judgment":
            values["hazards"][0] |= {
                "agent": "bird droppings",
                "law_looked_up": "yes",
                "looked_up_as": "Spores, no CAS number",
                "limit": "none published",
            }
        judged = judged_by(built_in_catalogue(), values, tmp_path)
        task = judged.description.hazards[0].task
        page = " ".join(printed_words(task_documents(judged)[task]).split())
        if words not in page or ("by" in told and "clearfield hygiene" not in page):
            lacking.append((kind, "task page"))
        table = glance_blocks(judged)["at-a-glance"][0]
        (cells,) = (str(row.cells) for row in table.rows if row.id == f"at-a-glance.{task}")  # type: ignore[union-attr]
        if kind != "samples" and "times the limit" in cells and words.rstrip(".") not in cells:
            lacking.append((kind, "first page"))
    assert not lacking


def test_years_of_work_are_no_level_however_they_are_put() -> None:
    """29 CFR 1910.134(d)(1)(iii) asks for a reasonable estimate; that somebody did it long rests on no figure."""

    refused = (
        "Twenty years of sanding floors; not measured", "Twenty years of sanding floors",
        "My own judgment after twenty years of sanding floors", "Our judgement, thirty years in the trade",
    )  # fmt: skip
    assert [text for text in refused if not by_the_senses(text)] == []
    kept = ("Volume used and room air changes", "Samples of 20 years of our own work, kept in the office")
    assert [text for text in kept if by_the_senses(text)] == []
