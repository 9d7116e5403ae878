"""What a voluntary wearer is handed: Appendix D of 29 CFR 1910.134, whole, in our own words, with its receipt."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from document.reading import of_type, words
from programs.patching import judged, patched
from programs.whole import judged_whole

from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.handouts import handout_documents
from progdoc.document.tree.nodes import Document, FormField, ListItem, Paragraph

# The statements of Appendix D in their order, each by words that any telling of it needs.
APPENDIX_D = (
    "protect, right",  # effective where properly selected and worn
    "good thing, below, limit",  # encouraged below the limits too
    "wrong, clean, itself",  # a hazard itself where used improperly or not kept clean
    "OSHA, limits, although",  # worn to avoid exposures that stay within the limits
    "employer, bring your own, danger",  # provided or own: precautions
    "maker, use, clean, warns, cannot",  # 1
    "certified, NIOSH, label, box, protects",  # 2
    "not made for, gas, vapour, fume, smoke",  # 3
    "another person, mistake",  # 4
)


def _handout(name: str = "restoration_2026") -> Document:
    return handout_documents(judged_whole(name))["voluntary-use"]


def test_every_statement_of_appendix_d_is_told_in_its_order() -> None:
    """29 CFR 1910.134 Appendix D: five statements of its first paragraph, and its four numbered points."""
    told = [" ".join(words(part) for part in item.blocks) for item in of_type(_handout(), ListItem)]
    assert len(told) == len(APPENDIX_D)
    lost = [
        (point, word) for point, needed in zip(told, APPENDIX_D, strict=True) for word in needed.split(", ")
        if word not in point
    ]  # fmt: skip
    assert lost == []


def test_it_says_that_it_is_not_the_official_text_and_has_a_receipt() -> None:
    page = _handout()
    text = " ".join(words(paragraph) for paragraph in of_type(page, Paragraph))
    assert "not the official text" in text and "29 CFR 1910.134" in text
    labels = [field.label for field in of_type(page, FormField)]
    for asked in ("Name", "Language", "Given by", "Signature", "Date"):
        assert any(label.startswith(asked) for label in labels)


@pytest.mark.parametrize("allowed", ["yes", "no"])
def test_it_is_handed_out_where_masks_may_be_worn_by_choice(allowed: str, tmp_path: Path) -> None:
    changes: dict[str, Any] = {"set": {"procedures.voluntary_use.allowed": allowed, "tasks[1].use": "required"}}
    made = handout_documents(judged(patched(changes), tmp_path))
    assert ("voluntary-use" in made) is (allowed == "yes")


def test_nobody_types_answers_of_a_questionnaire_anywhere() -> None:
    """Appendix C keeps its official wording: no form of ours asks what it asks."""
    found = judged_whole("restoration_2026")
    for form in (*form_documents(found).values(), *handout_documents(found).values()):
        asked = " ".join(field.label for field in of_type(form, FormField))
        assert not re.search(r"seizure|asthma|diabet|smoke tobacco|heart attack|claustroph", asked, re.IGNORECASE)
