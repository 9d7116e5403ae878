"""The breakthrough picture: well-formed, readable without colour, and the same said in words."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from programs.patching import PROGRAMS, judged, patched, read_as_text

from progdoc.document.blocks.filter_blocks import filter_blocks
from progdoc.document.pictures.breakthrough_chart import breakthrough_figure
from progdoc.document.tree.nodes import Figure, Table
from progdoc.rules.judged.result import Judged
from progdoc.writers.inline_svg import inline_svg

SVG = "{http://www.w3.org/2000/svg}"


# With these the mask protects: only then is it told when its cartridge is changed.
PROTECTING = {
    "masks[0].make": "Hallam",
    "masks[0].model": "H-1",
    "masks[0].approval": "TC-23C-0001",
    "masks[0].within_approval": "yes",
    "masks[0].label_kept": "yes",
    "masks[0].filters": ["ov-p100"],
    "filters[0].make": "Hallam",
    "filters[0].approval": "TC-23C-0001",
    "filters[0].label_kept": "yes",
    "hazards[0].irritates_eyes": "no",
}


def _change(folder: Path, **more: str) -> list[str]:
    """Return the words of the one row of the table of changes."""
    schedule = {f"procedures.filter_changes.schedules[0].{field}": value for field, value in more.items()}
    found = judged(patched({"program": "varnishing", "set": {**PROTECTING, **schedule}}), folder)
    (table,) = filter_blocks(found)["filter-changes"]
    assert isinstance(table, Table)
    assert [column.title for column in table.columns] == ["Task", "Cartridge", "Change it", "Basis"]
    (row,) = table.rows
    return ["".join(part.text for part in cell.children if hasattr(part, "text")) for cell in row.cells]


@pytest.fixture
def varnishing(tmp_path: Path) -> Judged:
    return judged(read_as_text((PROGRAMS / "varnishing.yaml").read_text(encoding="utf-8")), tmp_path)


@pytest.fixture
def figure(varnishing: Judged) -> Figure:
    (change,) = varnishing.cartridge_changes.values()
    found = breakthrough_figure(change)
    assert found is not None
    return found


def test_the_page_takes_the_drawing(figure: Figure) -> None:
    assert "<svg" in inline_svg(figure.svg, figure.id, figure.caption, figure.alternative)


def test_no_colour_carries_meaning(figure: Figure) -> None:
    colours = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]+)"', figure.svg))
    assert all(len(set(re.findall(r"[0-9a-f]", colour))) == 1 for colour in colours)
    assert figure.svg.count("stroke-dasharray") == 2


def test_everything_stands_inside_the_picture(figure: Figure) -> None:
    root = ElementTree.fromstring(figure.svg)
    _, _, width, height = (float(number) for number in root.attrib["viewBox"].split())
    points = [pair.split(",") for line in root.iter(f"{SVG}polyline") for pair in line.attrib["points"].split()]
    assert points
    assert all(0.0 <= float(x) <= width and 0.0 <= float(y) <= height for x, y in points)


def test_the_curve_only_rises(figure: Figure) -> None:
    root = ElementTree.fromstring(figure.svg)
    for line in root.iter(f"{SVG}polyline"):
        heights = [float(pair.split(",")[1]) for pair in line.attrib["points"].split()]
        assert heights == sorted(heights, reverse=True)


def test_the_words_hold_the_numbers_and_the_change(figure: Figure) -> None:
    assert "reaches 10 %" in figure.alternative
    assert "with the safety factor the service life is 242 min" in figure.alternative
    assert "Changes within the shift after 4 h" in figure.alternative
    assert ">change<" in figure.svg


def test_without_an_estimate_there_is_no_picture(tmp_path: Path) -> None:
    values = read_as_text((PROGRAMS / "varnishing.yaml").read_text(encoding="utf-8"))
    values["hazards"][0]["agent"] = "acetone"
    found = judged(values, tmp_path)
    blocks = filter_blocks(found)
    assert blocks["filter-charts"] == ()
    assert blocks["filter-estimates"] == ()
    (refusals,) = blocks["filter-refusals"]
    assert isinstance(refusals, Table) and len(refusals.rows) == 1


def test_the_table_says_task_cartridge_when_and_basis(tmp_path: Path) -> None:
    words = _change(tmp_path)
    assert words[2] == "At the lunch break and at the end of the shift; 4 h at most"
    assert words[3].startswith("published model, an estimate")


def test_a_schedule_that_is_too_long_is_not_printed_as_ours(tmp_path: Path) -> None:
    assert _change(tmp_path, after="7 h")[2] == "Computed: at the lunch break, 12:00; and at the end of every shift"
