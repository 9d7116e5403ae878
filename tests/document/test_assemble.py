"""The written program as a whole: what is settled is said, what is open stands out, what does not apply is absent."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from document.reading import of_type, program_of, section_ids, words
from examples import TIMES
from programs.patching import BASE, judged, one_of_each, patched, patches
from programs.whole import OF_THE_SUITE, judged_whole, written_whole

from progdoc.core.diagnostics import Audience, Scope, Severity
from progdoc.core.public_report import public_part
from progdoc.core.report import Status
from progdoc.document.papers.gap_report import gap_document
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.nodes import (
    Answer,
    CitationMark,
    Document,
    Listing,
    Notice,
    OpenPoint,
    Paragraph,
    Section,
    Signatures,
    Table,
    Text,
)
from progdoc.rules.judged.result import Judged

OTHERS = [name for name in OF_THE_SUITE if name != "base"]
# On each change one gap of every eighth family of codes, and those whose finding another one asks for; all at night.
_ASKED_ELSEWHERE = ("MED-008", "FIT-033", "IDL-002", "INS-013", "REP-005", "REC-006", "MSK-003")
_GAPS = [(code, entry) for code, entry in patches() if entry["expect"] == "gap"]
_SOME = [
    *one_of_each(_GAPS)[::8],
    *one_of_each(((code, entry) for code, entry in _GAPS if code in _ASKED_ELSEWHERE), len("MED-008")),
]
SOME_PATCHES = [
    pytest.param(entry, id=f"{i}-{code}") for i, (code, entry) in enumerate(patches() if TIMES > 1 else _SOME)
]


def _gap_anchors(found: Judged) -> set[str]:
    report = public_part(found.report("0"))
    return {section.id for section in of_type(gap_document(report, "", False), Section)} | {"summary"}


def _required(found: Judged) -> set[str]:
    """Return the anchors of the required gaps of the program; those undetermined are asked for by another finding."""
    gaps = {(v.requirement.code, v.subject.ids) for v in found.verdicts if v.status is Status.GAP}
    return {
        ".".join((d.code, *d.subject))
        for d in found.findings
        if (d.severity, d.scope, d.audience) == (Severity.REQUIRED, Scope.PROGRAM, Audience.PUBLIC)
        and (d.code, d.subject) in gaps
    }


def _check_open_points(found: Judged, document: Document) -> None:
    """Every open point leads to a finding, and every required gap of the program is an open point."""
    hrefs = {point.href for point in of_type(document, OpenPoint)}
    assert {href.partition("#")[2] for href in hrefs} <= _gap_anchors(found)
    assert {f"gaps#{anchor}" for anchor in _required(found)} <= hrefs
    assert document.draft == any(d.severity == "required" and d.scope == "program" for d in found.findings)


# ---- the complete program -----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def base() -> Judged:
    return judged_whole("base")


@pytest.fixture(scope="module")
def document() -> Document:
    return written_whole("base").program


def test_a_complete_program_has_no_open_point_and_is_no_draft(document: Document) -> None:
    assert of_type(document, OpenPoint) == []
    assert not document.draft


def test_every_duty_that_is_met_is_answered_somewhere(base: Judged) -> None:
    answers = written_whole("base").answers
    met = {
        v.requirement.code
        for v in base.verdicts
        if v.status is Status.MET and v.requirement.scope is Scope.PROGRAM
        if v.requirement.audience is Audience.PUBLIC
    }
    assert met <= set(answers)
    assert all(places for places in answers.values())


def test_the_same_description_gives_the_same_tree(base: Judged, document: Document) -> None:
    assert program_of(base) == document


def test_sections_that_do_not_apply_are_absent(document: Document) -> None:
    ids = section_ids(document)
    assert "breathing-air" not in ids
    assert "inspection.emergency" not in ids
    assert "emergencies.idlh" not in ids
    assert "breathing-air" in section_ids(written_whole("oil-free-compressor").program)
    assert "emergencies.fire" in section_ids(written_whole("fire-fighting").program)


def test_workers_are_counted_and_never_named(document: Document) -> None:
    text = " ".join(t.text for t in of_type(document, Text))
    assert "Ravi Stone" not in text
    assert "Two of our people" in text


def test_the_officer_can_sign(document: Document) -> None:
    (signatures,) = of_type(document, Signatures)
    assert signatures.lines[0] == ("Respiratory protection officer", "Ada Brook")


def test_sentences_cite_the_paragraph_they_answer(document: Document) -> None:
    (answer,) = [a for a in of_type(document, Answer) if a.id == "fit-testing.when.when"]
    assert "29 CFR 1910.134(f)(2)" in answer.citations
    assert CitationMark("(f)(2)") in of_type(answer, CitationMark)


def test_a_citation_is_not_printed_twice_running(document: Document) -> None:
    for paragraph in of_type(document, Paragraph):
        marks = of_type(paragraph, CitationMark)
        assert all(one != other for one, other in pairwise(marks))


# ---- programs with gaps -------------------------------------------------------------------------------


@pytest.mark.parametrize("name", OTHERS)
def test_open_points_of_other_programs(name: str) -> None:
    _check_open_points(judged_whole(name), written_whole(name).program)


@pytest.mark.parametrize("entry", SOME_PATCHES)
def test_open_points_of_patched_programs(entry: dict[str, Any], tmp_path: Path) -> None:
    found = judged(patched(entry), tmp_path)
    _check_open_points(found, program_of(found))


def test_an_almost_empty_description_is_a_draft_full_of_open_points(tmp_path: Path) -> None:
    found = judged({"format": "1"}, tmp_path)
    document = program_of(found)
    _check_open_points(found, document)
    assert document.draft


def test_a_mask_that_does_not_protect_is_named_first(tmp_path: Path) -> None:
    entry = {"set": {"hazards[0].exposure": {"kind": "unknown"}}}
    first = next(b for b in program_of(judged(patched(entry), tmp_path)).blocks if isinstance(b, Section))
    notice = first.blocks[0]
    assert isinstance(notice, Notice)
    assert notice.kind == "danger"
    assert "Grey half mask" in " ".join(words(p) for p in of_type(notice, Paragraph))


def test_a_text_with_a_gap_is_not_printed(tmp_path: Path) -> None:
    entry = {"drop": ["procedures.medical.confidential"]}
    document = program_of(judged(patched(entry), tmp_path))
    (answer,) = [a for a in of_type(document, Answer) if a.id == "medical.privacy.privacy"]
    assert [point.code for point in of_type(answer, OpenPoint)] == ["MED-009"]
    assert "They go to the health professional" not in " ".join(words(p) for p in of_type(answer, Paragraph))
    assert "MED-009" in answer.codes


def test_advice_is_no_open_point(tmp_path: Path) -> None:
    document = program_of(judged(patched({"drop": ["officer.phone"]}), tmp_path))
    assert of_type(document, OpenPoint) == []
    assert not document.draft


def _closing_list(values: dict[str, Any], folder: Path) -> list[str]:
    """Return what the list of cautions at the end says of this program; no caution is an open point."""
    document = program_of(judged(values, folder))
    assert of_type(document, OpenPoint) == []
    lists = [block for block in of_type(document, Listing) if block.id == "cautions.here"]
    return [" ".join(text.text for text in of_type(item, Text)) for block in lists for item in block.items]


def test_a_caution_stands_in_a_closing_list_with_who_answers_for_it(tmp_path: Path) -> None:
    assert _closing_list(BASE, tmp_path) == []
    cautious: dict[str, Any] = {"drop": ["program.jurisdiction"]}
    (open_still,) = _closing_list(patched(cautious), tmp_path)
    assert open_still == "It is not said who enforces the standard at your sites."
    accepted = {"code": "PRG-014", "reason": "Asked the agency", "by": "Ada Brook", "until": "2026-06-30"}
    cautious["set"] = {"accepted": [accepted]}
    (answered,) = _closing_list(patched(cautious), tmp_path)
    assert answered.startswith(open_still)
    assert "Accepted by Ada Brook until 30 June 2026: Asked the agency" in answered


def test_every_caution_and_advice_stands_in_the_annex_with_its_paragraph(tmp_path: Path) -> None:
    thin = judged(patched({"drop": ["officer.phone", "program.jurisdiction"]}), tmp_path)
    soft = [
        finding
        for finding in thin.findings
        if finding.severity in (Severity.CAUTION, Severity.ADVICE)
        and (finding.scope, finding.audience) == (Scope.PROGRAM, Audience.PUBLIC)
    ]
    (table,) = (
        one for one in of_type(written_program(thin, shipped_templates()).annex, Table) if one.id == "cautions.all"
    )
    told = [tuple(text.text for cell in row.cells for text in of_type(cell, Text)) for row in table.rows]
    assert [(row[0], row[3]) for row in told] == [(finding.severity.value, finding.citation) for finding in soft]
    assert {row[0] for row in told} == {"caution", "advice"}
