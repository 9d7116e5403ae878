"""A day of several tasks that is over a limit is told in the program, its annex and on the page, masks or not."""

from __future__ import annotations

from pathlib import Path

from document.reading import program_of
from programs.patching import judged, patched
from rules.workplaces import sample, samples

from progdoc.document.blocks.annex_blocks import worked_figures
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.task_page import task_documents


def test_the_sum_of_a_day_is_printed_where_masks_are_required(tmp_path: Path) -> None:
    """Xylene, 100 ppm, and n-butyl acetate, 150 ppm (29 CFR 1910.1000, Table Z-1): 0.7 + 0.4 times."""
    told = {
        "hazards[0].agent": "xylene",
        "hazards[0].form": "vapour",
        "hazards[0].exposure": samples(sample("70 ppm", 480)),
        "hazards[1].agent": "n-butyl acetate",
        "hazards[1].form": "vapour",
        "hazards[1].exposure": samples(sample("60 ppm", 480)),
        "tasks[0].industry": "general",
        "tasks[1].industry": "general",
        "tasks[0].duration": "4 h",
        "tasks[1].duration": "4 h",
    }
    found = judged(patched({"set": told}), tmp_path)
    (day,) = found.selection.days
    assert any(figure.id == day.worked.id for figure in worked_figures(found))
    text = printed_words((program_of(found), task_documents(found)["scrape-sashes"]))
    assert f"comes to {day.worked.printed} times the limit, which no task alone passes" in text
    assert f"all of them: {day.worked.printed} times the limit, masks not counted" in text
