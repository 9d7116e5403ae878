"""Cards and labels: the same days as the list of what is due, nothing of health, plain words in the code."""

from __future__ import annotations

import re
import subprocess
from io import BytesIO
from pathlib import Path

import pikepdf
from programs.patching import judged, patched
from programs.whole import judged_whole, written_whole

from progdoc.core.numbers import long_date
from progdoc.document.papers.mask_labels import Label, labels
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.result import Judged
from progdoc.writers.labels_pdf import labels_pdf

NAME = "restoration_2026"


def _days(found: Judged) -> set[str]:
    items = found.due(0).items
    return {long_date(item.due) for item in items if item.kind is Kind.FIT_TEST and item.due is not None}


def test_each_wearer_has_a_card_and_a_label_for_each_mask() -> None:
    found = judged_whole(NAME)
    wearers = [person for _, person in found.index.present if person.masks]
    made = list(labels(found))
    assert [one.title for one in made if one.is_card] == [person.name for person in wearers]
    boxes = [one for one in made if not one.is_card and one.lines[0][0] == "Mask"]
    assert len(boxes) == sum(len(person.masks) for person in wearers)


def test_the_next_fit_test_is_that_of_the_list_of_what_is_due() -> None:
    found = judged_whole(NAME)
    told = {day for one in labels(found) for _, value in one.lines for day in re.findall(r"by (\d+ \w+ \d{4})", value)}
    assert told and told <= _days(found)


def test_a_test_that_no_longer_counts_is_no_leave_to_wear_the_mask(tmp_path: Path) -> None:
    found = judged(patched({"drop": ["people[0].fit_tests"]}), tmp_path)
    card = next(one for one in labels(found) if one.is_card)
    assert "now: not worn before it is passed" in card.plain


def test_a_code_holds_plain_words_and_nothing_of_health() -> None:
    for one in labels(judged_whole(NAME)):
        assert "://" not in one.plain and not re.search(r"clear|medical|doctor|health", one.plain, re.IGNORECASE)


def test_cards_are_printed_in_the_size_of_a_bank_card() -> None:
    """ISO/IEC 7810 ID-1: 85.60 mm × 53.98 mm."""
    layout = (Path(__file__).parents[2] / "templates" / "labels.typ").read_text(encoding="utf-8")
    assert "width: 85.6mm" in layout and "calc.max(53.98mm" in layout


def test_words_of_the_user_are_printed_as_words_and_nothing_is_cut() -> None:
    lines = tuple((f"Mask {n}", "#panic(1) *half* mask, size L; next fit test by 3 May 2027") for n in range(14))
    label = Label("<b>Ann \\ #x</b>", lines, "Firm", is_card=True)
    data = labels_pdf("Cards and labels", "Locked away.", [("Cards", [label])], written_whole(NAME).program)
    assert data == labels_pdf("Cards and labels", "Locked away.", [("Cards", [label])], written_whole(NAME).program)
    told = subprocess.run(["pdftotext", "-raw", "-", "-"], input=data, capture_output=True, check=True).stdout.decode()
    assert "#x</b>" in told and told.count("#panic(1)") == 14
    with pikepdf.open(BytesIO(data)) as file:
        assert file.Root.MarkInfo.Marked
