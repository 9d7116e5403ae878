"""The restricted papers: annex and cards hold what the officer needs, the picture names nobody."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from xml.etree import ElementTree

import pytest
from document.reading import of_type
from document.reading import words as spoken
from programs.patching import judged, patched

from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.person_card import card_documents
from progdoc.document.pictures.timeline import KIND_WORDS, timeline
from progdoc.document.tree.nodes import Block, Document, Figure, Listing, Notice, Paragraph, Section, Table
from progdoc.rules.due.due_items import DueItem, outlook
from progdoc.rules.in_force.intervals import Cycle
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS

READINGS = ["310", "280", "250", "265", "240", "9", "300", "320"]


@pytest.fixture(scope="module")
def complete(tmp_path_factory: pytest.TempPathFactory) -> Judged:
    changes = {
        "people[1].fit_tests[0].readings": READINGS,
        "people[0].training[0].date": "2025-05-31",
        "people[0].medical[0].next_review": "2026-07-01",
    }
    return judged(patched({"set": changes}), tmp_path_factory.mktemp("annex"))


@pytest.fixture(scope="module")
def annex(complete: Judged) -> Document:
    return annex_document(complete)


def tables(blocks: tuple[Block, ...]) -> dict[str, Table]:
    found: dict[str, Table] = {}
    for block in blocks:
        match block:
            case Table():
                found[block.id] = block
            case Section() | Notice():
                found |= tables(block.blocks)
            case Listing():
                for one in block.items:
                    found |= tables(one.blocks)
    return found


def words(table: Table) -> list[list[str]]:
    def text(node: object) -> str:
        return getattr(node, "text", "") + "".join(map(text, getattr(node, "children", ())))

    return [["".join(map(text, cell.children)) for cell in row.cells] for row in table.rows]


def test_the_matrix_answers_for_everybody_and_every_task(annex: Document) -> None:
    matrix = tables(annex.blocks)["matrix.1"]
    assert [column.title for column in matrix.columns] == ["Person", "Scraping sash windows", "Sorting old books"]
    assert words(matrix) == [
        ["Jo Marsh", "no", "yes, in grey half mask M or white dust mask"],
        ["Ravi Stone", "no", "yes, without a mask, once named for it"],
    ]


def test_reasons_stand_beside_the_answer(annex: Document) -> None:
    jo, ravi = words(tables(annex.blocks)["may.scrape-sashes"])
    assert jo[:2] == ["Jo Marsh", "no"] and "31 May 2025" in jo[3] and "29 CFR 1910.134(k)" in jo[3]
    assert ravi[:2] == ["Ravi Stone", "no"] and "its readings give" in ravi[3]


def test_records_are_listed_with_their_working(annex: Document) -> None:
    found = tables(annex.blocks)
    (jo, ravi) = words(found["fit-tests"])
    assert jo[2] == "Hallam H-40 silicone, M" and jo[4] == "passed"
    assert "fit factor 277 (needs 500)" in ravi[4] and ravi[4].startswith("failed")
    medical = words(found["medical"])
    assert medical[1][3] == "powered mask only"
    assert "review by 1 July 2026" in medical[0][4]
    assert (
        WRITERS["md"](annex).decode("utf-8").count("7 ÷ (1/310 + 1/280 + 1/250 + 1/265 + 1/240 + 1/300 + 1/320)") == 1
    )


@pytest.mark.parametrize("form", sorted(WRITERS))
def test_every_format_prints_annex_and_cards(complete: Judged, annex: Document, form: str) -> None:
    cards = card_documents(complete)
    assert list(cards) == ["jo-marsh", "ravi-stone"]
    for document in (annex, *cards.values()):
        assert WRITERS[form](document)
        assert WRITERS[form](document) == WRITERS[form](document)


def test_a_card_is_about_one_person_alone(complete: Judged) -> None:
    text = WRITERS["md"](card_documents(complete)["jo-marsh"]).decode("utf-8")
    assert "Jo Marsh" in text and "Ravi Stone" not in text
    assert "Scraping sash windows" in text and "31 May 2026" in text


def test_nobody_described_is_said(tmp_path: Path) -> None:
    changes = {"drop": ["people"], "set": {"tasks[0].people": [], "tasks[1].people": []}}
    text = WRITERS["md"](annex_document(judged(patched(changes), tmp_path))).decode("utf-8")
    assert "Nobody is described" in text


# ---- the picture --------------------------------------------------------------------------------------

ON = date(2026, 1, 31)


def picture(*items: DueItem) -> Figure:
    found = timeline(outlook(items, ON, 60))
    assert found is not None
    return found


def item(kind: Kind, due: date | None, cycle: Cycle | None = None) -> DueItem:
    return DueItem(f"{kind}.{due}", kind, due, "Training of Jo Marsh", "", "", "", (), cycle)


def test_the_picture_counts_by_kind_and_month() -> None:
    figure = picture(
        item(Kind.TRAINING, date(2026, 3, 1)),
        item(Kind.TRAINING, date(2026, 3, 31)),
        item(Kind.FIT_TEST, date(2026, 1, 30)),
        item(Kind.CYLINDER, None),
        item(Kind.EVALUATION, date(2028, 1, 1)),
    )
    assert "Trainings: 2 in Mar 2026." in figure.alternative
    assert "Fit tests: 1 overdue." in figure.alternative
    assert "Cylinder requalifications: 1 overdue." in figure.alternative
    assert "evaluation" not in figure.alternative


def test_what_comes_round_each_month_is_drawn_each_month() -> None:
    figure = picture(item(Kind.INSPECTION, date(2026, 2, 28), Cycle(1, 0, "")))
    assert figure.alternative.count("1 in ") == 12


def test_the_picture_is_well_formed_grey_and_names_nobody(complete: Judged) -> None:
    figure = timeline(complete.due(60))
    assert figure is not None
    root = ElementTree.fromstring(figure.svg)
    colours = {
        value
        for node in root.iter()
        for key, value in node.attrib.items()
        if key in ("fill", "stroke") and value != "none"
    }
    assert all(value[1:3] == value[3:5] == value[5:7] for value in colours)
    for name in ("Jo", "Marsh", "jo-marsh", "Ravi", "Stone"):
        assert name not in figure.svg + figure.alternative + figure.caption


def test_every_kind_has_words_and_nothing_due_has_no_picture() -> None:
    assert set(KIND_WORDS) == set(Kind)
    assert timeline(outlook([], ON, 60)) is None


def test_a_card_says_what_stands_in_the_way_in_words(tmp_path: Path) -> None:
    """No place in the description, no code; each reason once, and the owner of the card is not named in every line."""
    entry = {"drop": ["people[0].fit_tests", "people[0].training", "masks[0].approval"]}
    cards = card_documents(judged(patched(entry), tmp_path))
    told = 0
    for card in cards.values():
        lists = [one for one in of_type(card, Listing) if one.id.startswith("why-not.")]
        lines = [spoken(p) for one in lists for p in of_type(one, Paragraph)]
        told += len(lines)
        assert len(lines) == len({(one.id, spoken(p)) for one in lists for p in of_type(one, Paragraph)})
        name = card.title.removeprefix("Mask card: ")
        for line in lines:
            assert not re.search(r"`|\w\[\d*\]|[a-z]_[a-z]|\b[A-Z]{3}-\d{3}\b", line), line
            assert not line.startswith(f"{name}:"), line
    assert told > 2
