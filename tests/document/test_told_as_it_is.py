"""What the papers say is what the description has: a text attached, all that is paid for, who repairs, what is due."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from programs.patching import judged, patched

from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.handouts import handout_documents
from progdoc.document.papers.person_card import card_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.written_program import written_program
from progdoc.document.pictures.timeline import timeline
from progdoc.document.templating.templates import shipped_templates
from progdoc.model.description.program import FreeOfCharge


def _program(folder: Path, **changed: Any) -> str:
    found = judged(patched({"set": changed.get("set", {})}), folder)
    made = written_program(found, shipped_templates()).program
    return " ".join(printed_words(made).split())


def test_the_handout_says_attached_only_where_the_text_is(tmp_path: Path) -> None:
    (tmp_path / "appendix-d.pdf").write_bytes(b"%PDF-1.7")
    place, one = "procedures.voluntary_use.", {"id": "appendix-d", "title": "Appendix D", "file": "appendix-d.pdf"}
    for listed, named, expected in (([one], "appendix-d", True), ([], None, False), ([one], None, False)):
        values = patched({"set": {f"{place}appendix_d": "attached", "attachments": listed}})
        values["procedures"]["voluntary_use"] |= {"appendix_d_attachment": named} if named else {}
        found = judged(values, tmp_path)
        words = printed_words(handout_documents(found)["voluntary-use"])
        assert ("is attached to the written program" in words) is expected, (listed, named)


def test_all_that_is_paid_for_is_printed_and_nobody_is_no_person(tmp_path: Path) -> None:
    said = {"organisation.free_of_charge": [one.value for one in FreeOfCharge]}
    nobody = {"procedures.repair.by": "Nobody of ours; a faulty mask is thrown away"}
    words = _program(tmp_path, set={**said, **nobody})
    for one in ("fit tests", "maintenance", "travel", "wages"):
        assert one in words.partition("beside them we pay for")[2][:120], one
    assert "who that is: nobody" not in words and "nobody of ours; a faulty mask" in words


def test_a_blood_test_is_no_evaluation_for_wearing_a_mask(tmp_path: Path) -> None:
    outlook = judged(patched({}), tmp_path).due(60)
    asked = [item for item in outlook.items if item.path.endswith(".surveillance")]
    figure = timeline(outlook)
    assert asked and figure is not None
    rows = dict(part.split(": ", 1) for part in str(figure.alternative).split(". ") if ": " in part)
    counted = sum(int(part.split()[0]) for part in rows["Examinations, blood tests"].rstrip(".").split(", "))
    assert counted >= len(asked)


def test_who_wears_a_mask_by_choice_alone_reads_nothing_of_duties_of_required_masks(tmp_path: Path) -> None:
    """29 CFR 1910.134(c)(2): by choice neither fit test nor seal check, and a dust mask asks for Appendix D alone."""
    values = patched({})
    (task,) = (one for one in values["tasks"] if one["use"] == "voluntary")
    person = values["people"][0]
    task["people"] = [person["id"]]
    dust = next(one["mask"] for one in task["masks"] if one["mask"] == "dust-mask")
    for one in values["tasks"]:
        one["people"] = (
            one["people"] if one is task else [name for name in one.get("people", ()) if name != person["id"]]
        )
    task["masks"] = [{"mask": dust}]
    person["masks"] = [{"mask": dust, "size": "one size"}]
    found = judged(values, tmp_path)
    for page in (card_documents(found)[person["id"]], task_documents(found)[task["id"]]):
        words = " ".join(printed_words(page).split())
        for duty in (
            "seal check",
            "check the seal",
            "be tested in it",
            "change a filter",
            "with the mask on",
            "(g)(2)(ii)",
        ):
            assert duty not in words, (page.id, duty)
    assert "(appendix d)" in printed_words(card_documents(found)[person["id"]])
