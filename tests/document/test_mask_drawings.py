"""Drawings of kinds of masks: one for every kind, each told apart, black lines alone, and the same in words."""

from __future__ import annotations

import itertools
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from document.reading import of_type, words
from programs.patching import judged, patched
from programs.whole import judged_whole

from progdoc.document.blocks.mask_picture_blocks import mask_picture_blocks
from progdoc.document.papers.task_page import task_documents
from progdoc.document.pictures.mask_drawings import check_pieces, drawn, known_pieces, mask_pieces
from progdoc.document.tree.nodes import Figure, FormField, Paragraph
from progdoc.model.description.masks import Facepiece, Filter, Mask, Mode, Mount

DISC = Filter(id="disc", particulate="P100")
FITTED: tuple[tuple[Filter, ...], ...] = (
    (),
    (DISC,),
    (Filter(id="gas", gases=("organic-vapour",)),),
    *((Filter(id="can", gases=("ammonia",), mount=mount),) for mount in Mount),
)
KINDS = [
    (Mask(id="one", facepiece=facepiece, mode=mode, auxiliary_air=more), fitted)
    for facepiece, mode, fitted, more in itertools.product(Facepiece, Mode, FITTED, (True, False))
]


def test_every_kind_of_mask_can_be_drawn_and_no_piece_lies_about() -> None:
    used = {piece for mask, fitted in KINDS for piece in mask_pieces(mask, fitted)}
    used |= {piece for mask, fitted in KINDS for shown in check_pieces(mask, fitted) for piece in shown}
    assert used == known_pieces()


def test_what_differs_in_kind_is_drawn_differently() -> None:
    bare = [mask_pieces(Mask(id="one", facepiece=facepiece, mode="air-purifying"), ()) for facepiece in Facepiece]
    assert len(set(bare)) == len(Facepiece)
    half = [mask_pieces(Mask(id="one", facepiece="half-mask", mode="air-purifying"), fitted) for fitted in FITTED[:3]]
    assert len(set(half)) == 3


def test_drawings_are_lines_in_black_on_white_without_words() -> None:
    for mask, fitted in KINDS[:: len(KINDS) // 40]:
        root = ElementTree.fromstring(drawn((mask_pieces(mask, fitted), *check_pieces(mask, fitted))))
        colours = {value for part in root.iter() for name in ("fill", "stroke") if (value := part.get(name))}
        assert colours <= {"#1a1a1a", "#ffffff", "none"}
        assert [part.text for part in root.iter() if part.text] == ["A", "B", "C"]


def test_a_mask_of_no_kind_is_not_drawn(tmp_path: Path) -> None:
    found = judged(patched({"drop": ["masks[0].facepiece", "masks[1].facepiece"]}), tmp_path)
    assert mask_picture_blocks(found)["pictures.scrape-sashes"] == ()


def test_only_masks_that_protect_are_drawn(tmp_path: Path) -> None:
    found = judged(patched({"set": {"hazards[0].exposure": {"kind": "unknown"}}}), tmp_path)
    assert mask_picture_blocks(found)["pictures.scrape-sashes"] == ()


@pytest.mark.parametrize(("check", "pictures"), [("appendix-b1", 3), ("maker", 1)])
def test_the_check_of_appendix_b1_is_drawn_where_it_is_the_one_done(check: str, pictures: int, tmp_path: Path) -> None:
    entry: dict[str, Any] = {
        "set": {
            "procedures.use.seal_check.adopt": check,
            "tasks[0].masks": [{"mask": "half-mask", "filters": ["p100-disc"]}],
        }
    }
    figure = mask_picture_blocks(judged(patched(entry), tmp_path))["pictures.scrape-sashes"][0]
    assert isinstance(figure, Figure)
    assert len(re.findall(r"<g transform", figure.svg)) == pictures
    assert ("both hands cover the filters" in figure.alternative) is (check == "appendix-b1")


def test_the_colour_of_a_filter_stands_in_words_and_the_label_decides() -> None:
    """P100 is magenta: 42 CFR 84.179(b)(3); black against organic vapour is from memory of ANSI K13.1."""
    pages = task_documents(judged_whole("restoration_2026"))
    said = {name: " ".join(words(p) for p in of_type(page, Paragraph)) for name, page in pages.items()}
    assert "filter colour magenta (the label decides)" in said["scrape-sashes"]
    assert "filter colour black and magenta (the label decides)" in said["spray-varnish"]


def test_a_page_ends_with_a_line_to_sign_in_a_language() -> None:
    judged = judged_whole("restoration_2026")
    named = {task.id: len(task.people) for _, task in judged.index.tasks.values()}
    pair = ["Explained by", "In which language", "Name and signature", "Name and signature", "Date"]
    assert max(named.values()) in range(2, 7), "a place for each of them"
    for name, page in task_documents(judged).items():
        asked = [field.label for field in of_type(page, FormField)]
        expected = ["Explained by", "In which language", "To whom", "Signature", "Date"]
        assert asked == (
            [] if name == "enter-crypt" else pair * ((named[name] + 1) // 2) if named[name] > 1 else expected
        ), name
