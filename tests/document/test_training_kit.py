"""The kit for whoever trains: each topic of 29 CFR 1910.134(k)(1), asked and answered from this very program."""

from __future__ import annotations

from pathlib import Path

from document.reading import of_type, section_ids, words
from programs.patching import judged, patched
from programs.whole import judged_whole

from progdoc.document.papers.training_kit import training_documents
from progdoc.document.tree.nodes import Document, ListItem, Strong
from progdoc.model.description.people import Topic

# 29 CFR 1910.134(k)(1)(i) to (vii), in the law's order.
TOPICS = [Topic.WHY_AND_FIT, Topic.LIMITS, Topic.EMERGENCIES, Topic.INSPECT_WEAR_CHECK, Topic.MAINTENANCE_STORAGE]
TOPICS += [Topic.MEDICAL_SIGNS, Topic.STANDARD]


def _said(kit: Document) -> list[str]:
    return [" ".join(words(block) for block in item.blocks) for item in of_type(kit, ListItem)]


def test_every_topic_of_the_law_has_a_part_in_its_order() -> None:
    kit = training_documents(judged_whole("restoration_2026"))["kit"]
    ids = section_ids(kit)
    named = {Topic.LIMITS: "limits", Topic.STANDARD: "the-standard"}
    assert ids == ["plan", *(named.get(topic, topic.value) for topic in TOPICS)]


def test_no_question_is_without_an_answer() -> None:
    kit = training_documents(judged_whole("restoration_2026"))["kit"]
    asked = [
        (words(strong), said) for item in of_type(kit, ListItem) for strong in of_type(item, Strong)[:1]
        if (said := " ".join(words(block) for block in item.blocks))
    ]  # fmt: skip
    assert len(asked) > 20
    assert [question for question, said in asked if len(said) < len(question) + 6] == []


def test_answers_are_those_of_the_firm(tmp_path: Path) -> None:
    told = " ".join(_said(training_documents(judged(patched({}), tmp_path))["kit"]))
    for words_of_the_firm in (
        "grey half mask with magenta disc",
        "2.1 times its limit",
        "the wearer walks out and changes the battery outside",
        "Ada Brook, 555-0142",
    ):
        assert words_of_the_firm in told
    assert "Ravi Stone" not in told


def test_a_task_without_a_mask_that_protects_is_not_taught_as_done(tmp_path: Path) -> None:
    entry = {"set": {"hazards[0].exposure": {"kind": "unknown"}}}
    told = " ".join(_said(training_documents(judged(patched(entry), tmp_path))["kit"]))
    assert "None that is named is shown to protect: nobody starts." in told


def test_there_is_none_where_nobody_has_to_wear_a_mask(tmp_path: Path) -> None:
    entry = {"set": {"tasks[0].done_by": "others", "tasks[0].others": "Deepwell Access"}}
    assert training_documents(judged(patched(entry), tmp_path)) == {}
