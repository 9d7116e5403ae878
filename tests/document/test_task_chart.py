"""The picture of a task: what is drawn, in greys, the same in words, and the same bytes again."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import Any
from xml.etree import ElementTree

import pytest
from rules.workplaces import judged, sample, samples
from writers.docx_sample import nodes_below

from progdoc.document.pictures.svg_png import with_pictures
from progdoc.document.pictures.task_chart import task_figure
from progdoc.document.tree.nodes import Answer, Document, Figure, Listing, ListItem, Notice, Section
from progdoc.writers.inline_svg import inline_svg

HALF = {"facepiece": "half-mask", "mode": "air-purifying", "name": "grey half mask"}


def charts(hazards: list[dict[str, Any]], **more: Any) -> list[Figure]:
    chart = judged(hazards, HALF, **more).charts["t"]
    return [] if chart is None else [task_figure(chart)]


def lead(level: str) -> list[dict[str, Any]]:
    return [{"agent": "lead", "irritates_eyes": "no", "exposure": samples(sample(level))}]


def test_words_say_what_the_picture_shows() -> None:
    [figure] = charts(lead("240 ug/m3"))
    for words in (
        *("level TWA 240 µg/m³", "limit TWA 50 µg/m³", "action level 30 µg/m³", "IDLH 100,000 µg/m³"),
        "grey half mask may be worn up to 500 µg/m³ and protects",
    ):
        assert words in figure.alternative
    drawn = "".join(ElementTree.fromstring(figure.svg).itertext())
    for words in ("240 µg/m³", "50 µg/m³", "30 µg/m³", "100,000 µg/m³", "500 µg/m³", "✓ grey half mask"):
        assert words in drawn
    assert figure.id == "chart.t"
    assert figure.caption == ("lead: 240 µg/m³ where the limit is 50 µg/m³; grey half mask may be worn up to 500 µg/m³")


def test_a_mask_that_does_not_protect_is_hatched_and_crossed() -> None:
    [figure] = charts(lead("900 ug/m3"))
    assert "url(#hatch)" in figure.svg
    assert "✗ grey half mask" in figure.svg
    assert "does not protect" in figure.alternative
    assert figure.caption.endswith("; no mask here protects")


def test_only_greys_are_used() -> None:
    [figure] = charts(lead("240 ug/m3"))
    colours = re.findall(r"#[0-9a-f]{6}", figure.svg)
    assert colours
    assert all(c[1:3] == c[3:5] == c[5:7] for c in colours)


def test_positions_follow_the_logarithm() -> None:
    [figure] = charts(lead("240 ug/m3"))
    root = ElementTree.fromstring(figure.svg)
    ticks = {
        (node.text or ""): float(node.attrib["x"]) for node in root.iter() if node.attrib.get("text-anchor") == "middle"
    }
    assert ticks["1,000"] - ticks["100"] == pytest.approx(ticks["100,000"] - ticks["10,000"], abs=0.2)
    limit = next(n for n in root.iter() if n.attrib.get("stroke-width") == "1.8").attrib["d"]
    x = float(limit[1:].split()[0])
    # log10(50) = 1.69897
    assert x == pytest.approx(ticks["10"] + 0.69897 * (ticks["100"] - ticks["10"]), abs=0.2)
    bar = next(n for n in root.iter() if n.attrib.get("fill") == "#d9d9d9")
    assert float(bar.attrib["x"]) == pytest.approx(x, abs=0.1)  # it begins at the limit, not where the axis does


def test_the_agent_that_is_the_most_times_over_its_limit_is_drawn_alone() -> None:
    judgment = {"kind": "judgment", "by": "A", "guidance": "B", "needed_apf": "10"}
    droppings = {
        "agent": "bird droppings",
        "limit": "none published",
        "law_looked_up": "yes",
        "looked_up_as": "Looked up by what it is, no CAS number",
        "exposure": judgment,
    }
    worse = {"agent": "nickel", "form": "dust", "exposure": samples(sample("8 mg/m3"))}
    [figure] = charts([*lead("60 ug/m3"), droppings, worse])
    assert figure.caption.startswith("nickel: 8 mg/m³ where the limit is 1 mg/m³")


def test_the_conclusion_sets_a_level_against_the_limit_of_its_own_kind() -> None:
    """An hour at 900 µg/m³ is 112.5 µg/m³ over eight: that is what the 8-hour limit is for, not the level at work."""
    shift = samples(sample("900 ug/m3", 60, rest_of_shift="zero"))
    [figure] = charts([{**lead("60 ug/m3")[0], "exposure": shift}], task={"duration": "1 h"})
    assert "highest at work 900 µg/m³" in figure.alternative
    assert figure.caption.startswith("lead: 113 µg/m³ where the limit is 50 µg/m³")  # 900 × 60 / 480, rounded up


def test_there_is_no_picture_where_it_decides_nothing() -> None:
    vapour = {"agent": "toluene", "form": "vapour", "exposure": samples(sample("754 mg/m3"))}
    assumed = {"agent": "lead", "exposure": {"kind": "lead-task", "group": "iii", "task": "x"}}
    assert charts(lead("240 ug/m3"))
    for hazards in (lead("40 ug/m3"), [{"agent": "lead"}], [assumed], [vapour]):  # under the limit … no mask reaches
        assert charts(hazards) == []


def test_the_page_takes_the_drawing_and_names_are_escaped() -> None:
    hazard = {**lead("60 ug/m3")[0], "limit": {"value": "20 ug/m3", "source": "<us> & them"}}
    selection = judged([hazard], {**HALF, "name": "a <b> & 'c'"})
    chart = selection.charts["t"]
    assert chart is not None
    figure = task_figure(chart)
    markup = inline_svg(figure.svg, figure.id, figure.caption, figure.alternative)
    assert "url(#chart.t.h0--hatch)" in markup or "hatch" in markup
    assert "&lt;b&gt;" in figure.svg


def test_pictures_for_word_are_drawn_wherever_a_drawing_stands_and_repeat_their_bytes() -> None:
    [chart] = charts(lead("240 ug/m3"))
    assert chart.png == b""
    inside = Listing("l", False, (ListItem("l.1", (Notice("n", "note", (Answer("a", (), (), (chart,)),)),)),))
    given = replace(chart, png=b"drawn before")
    document = Document("d", "D", "", "", date(2026, 11, 24), False, (Section("s", "S", (inside,)), given))
    one, other = with_pictures(document), with_pictures(document)
    assert one == other
    drawn, kept = (node for node in nodes_below(one.blocks) if isinstance(node, Figure))
    assert drawn.png.startswith(b"\x89PNG\r\n")
    assert kept.png == b"drawn before"
