"""The gap report as a document: worst first, an anchor for every finding, no person's name in the public one."""

from __future__ import annotations

from pathlib import Path

from document.reading import of_type, words
from programs.patching import judged, patched
from writers.sample_report import sample_report

from progdoc.cli.question_view import questions_text
from progdoc.core.public_report import public_part
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.papers.gap_report import gap_document
from progdoc.document.tree.nodes import Document, Formula, Listing, Notice, Paragraph, Reference, Section, Text
from progdoc.rules.judged.result import Judged

SEVERAL = {
    "drop": [
        "procedures.records.program_copy",
        "masks[0].weight",
        "masks[1].weight",
        "people[0].medical",
        "officer.phone",
    ],
    "set": {"hazards[0].exposure": {"kind": "unknown"}},
}


def _judged(folder: Path) -> Judged:
    return judged(patched(SEVERAL), folder)


def _titles(document: Document) -> list[str]:
    return [section.title for section in document.blocks if isinstance(section, Section)]


def test_dangers_come_first_then_answers_then_records_then_cautions(tmp_path: Path) -> None:
    titles = _titles(gap_document(_judged(tmp_path).report("0"), "Brook & Lintel", True))
    assert titles == ["Dangers", "Answers for the program", "Records of people and devices", "Cautions and advice"]


def test_the_first_notice_lists_what_keeps_people_from_work_and_the_outline_leads_to_every_group(
    tmp_path: Path,
) -> None:
    document = gap_document(_judged(tmp_path).report("0"), "Brook & Lintel", True)
    first = document.blocks[0]
    assert isinstance(first, Notice)
    assert first.kind == "danger"
    assert words(of_type(first, Paragraph)[1]).startswith(("Nobody may start", "Not every wearer may start"))
    (outline,) = [block for block in document.blocks if isinstance(block, Listing)]
    sections = [block for block in document.blocks if isinstance(block, Section)]
    assert [r.target for r in of_type(outline, Reference)] == [section.id for section in sections]
    counts = [int(words(item).rpartition(": ")[2]) for item in of_type(outline, Paragraph)]
    assert counts == [sum(inner.id.startswith("asked.") for inner in section.blocks) for section in sections]
    assert sum(counts) == len(_judged(tmp_path).questions)


def test_questions_stand_in_the_order_in_which_they_are_asked_each_over_its_findings(tmp_path: Path) -> None:
    found = _judged(tmp_path)
    document = gap_document(found.report("0"), "Brook & Lintel", True)
    for section in [block for block in document.blocks if isinstance(block, Section)]:
        asked = [inner.title for inner in section.blocks if isinstance(inner, Section)]
        in_turn = [question.asks for question in found.questions if question.asks in asked]
        assert asked == in_turn
    for question in found.questions:
        (shown,) = [s for s in of_type(document, Section) if s.title == question.asks]
        assert words(shown.blocks[0]).startswith(question.why)
        (settled,) = [inner for inner in shown.blocks if isinstance(inner, Section)]
        assert settled.is_folded
        told = [p for p in of_type(settled, Paragraph) if p.id.endswith(".what")]
        assert len(told) == len(question.findings)


def test_what_is_found_is_told_in_the_open_where_it_is_dangerous(tmp_path: Path) -> None:
    document = gap_document(_judged(tmp_path).report("0"), "Brook & Lintel", True)
    (dangers,) = [block for block in document.blocks if isinstance(block, Section) and block.title == "Dangers"]
    for question in [inner for inner in dangers.blocks if isinstance(inner, Section)]:
        assert any(isinstance(block, Listing) and block.id.endswith(".found") for block in question.blocks)


def test_what_adopting_would_answer_is_said(tmp_path: Path) -> None:
    values = patched({"drop": ["procedures.storage.covered", "procedures.storage.keeps_shape"]})
    document = gap_document(judged(values, tmp_path).report("0"), "Brook & Lintel", True)
    (asked,) = [s for s in of_type(document, Section) if s.id == "asked.storage"]
    said = [words(p) for p in of_type(asked, Paragraph) if p.id == "asked.storage.adopt"]
    assert ["“(h)(2)” under procedures.storage" in text for text in said] == [True]


def test_faults_of_form_and_what_was_accepted_stand_without_a_question() -> None:
    titles = _titles(gap_document(sample_report(), "Brook & Lintel", True))
    assert titles[-2:] == ["The description cannot be understood", "Accepted for the time being"]


def test_every_finding_has_an_anchor_of_its_own(tmp_path: Path) -> None:
    found = _judged(tmp_path)
    document = gap_document(found.report("0"), "Brook & Lintel", True)
    told = [p.id.removesuffix(".what") for p in of_type(document, Paragraph) if p.id.endswith(".what")]
    anchors = {section.id for section in of_type(document, Section)}
    assert len(told) == len(set(told)) == len(found.findings)
    assert set(told) <= anchors
    assert {"REC-005", "MSK-011.masks.half-mask", "MSK-011.masks.powered-mask"} <= anchors


def test_findings_with_one_cure_are_told_together(tmp_path: Path) -> None:
    entry = {"set": {"tasks[0].controls": [], "tasks[0].immediately_dangerous": "yes"}}
    document = gap_document(judged(patched(entry), tmp_path).report("0"), "Brook & Lintel", True)
    (together,) = [section for section in of_type(document, Section) if section.id.startswith("all.SEL-001")]
    titles = [section.title for section in together.blocks if isinstance(section, Section)]
    assert titles == ["Scraping sash windows, grey half mask", "Scraping sash windows, blower mask"]
    assert sum(words(p).startswith("What to do: ") for p in of_type(together, Paragraph)) == 1


def test_a_finding_says_what_why_what_to_do_and_where(tmp_path: Path) -> None:
    document = gap_document(_judged(tmp_path).report("0"), "Brook & Lintel", True)
    (section,) = [s for s in of_type(document, Section) if s.id == "REC-005"]
    text = [words(p) for p in of_type(section, Paragraph)]
    assert text[1].startswith("What to do: ")
    assert text[2].startswith("Why: ")
    assert "29 CFR 1910.134(m)(3)" in text[2]
    assert text[-1].startswith("Where: ")
    assert "program_copy:" in of_type(section, Formula)[0].text


def test_the_public_report_names_no_wearer(tmp_path: Path) -> None:
    report = _judged(tmp_path).report("0")
    restricted = " ".join(t.text for t in of_type(gap_document(report, "", True), Text))
    public = " ".join(t.text for t in of_type(gap_document(public_part(report), "", True), Text))
    assert "Jo Marsh" in restricted
    assert "Jo Marsh" not in public
    assert "Ravi Stone" not in public
    withheld = public_part(report).withheld_questions
    assert f"Questions about people, in the restricted report: {len(withheld)}; " in public


def test_no_gap_is_good_news_that_certifies_nothing(tmp_path: Path) -> None:
    document = gap_document(judged(patched({}), tmp_path).report("0"), "Brook & Lintel", False)
    text = " ".join(t.text for t in of_type(document, Text))
    assert _titles(document) == []
    assert "No required gap found" in text
    assert "certifies nothing" in text


def test_what_to_do_stands_under_its_question_as_on_the_terminal(tmp_path: Path) -> None:
    report = judged(patched({"set": {"masks[0].weight": "0 g"}, "drop": ["officer.phone"]}), tmp_path).report("0")
    texts = [words(item) for item in of_type(gap_document(report, "Brook & Lintel", True), Paragraph)]
    shown = [text.removeprefix("What to do: ") for text in texts if text.startswith("What to do: ")]
    wanted = [do for question in report.questions for do in question.to_do(question.told_in_full)]
    assert "Correct masks[0].weight; look at its unit." in [do.replace("`", "") for do in wanted]
    assert [do.replace("`", "") for do in wanted if in_quotes(do) not in shown] == []
    on_terminal = " ".join(questions_text(report, 200).replace("do      ", "").split())
    assert [do for do in wanted if do.split("`")[0].strip() not in on_terminal] == []
