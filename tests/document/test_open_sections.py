"""What is undetermined is never filed under what does not apply: its section is printed, with its open question.

So is its form, and its row in the matrix of the reviewer's annex."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from document.reading import of_type
from examples import TIMES, some
from programs.generated import checked_values
from programs.patching import patched

from progdoc.core.diagnostics import Audience, Scope, Severity
from progdoc.core.report import Status
from progdoc.document.blocks.annex_blocks import matrix_rows
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import form_plans, shipped_templates
from progdoc.document.tree.nodes import OpenPoint, Section, Table, Text
from progdoc.rules.requirement import Verdict

# What decides whether a duty applies: who wears what, in which air, on whose air supply.
DECIDING = (
    "tasks[1].use", "tasks[0].use", "tasks[0].immediately_dangerous", "tasks[0].structural_fire", "tasks[0].oxygen",
    "masks[0].facepiece", "tasks[0].confined_space", "tasks[0].industry", "masks[0].mode", "masks[0].issue",
    "hazards[0].exposure", "hazards[0].form", "procedures.air_supply.sources", "procedures.cleaning.adopt",
    "procedures.fit_testing.protocols", "procedures.voluntary_use.allowed", "program.jurisdiction",
)  # fmt: skip
NAMES = ("base", "crypt-with-airline", "fire-fighting", "half-masks-by-choice")


def open_points(block: Any) -> Iterator[OpenPoint]:
    if isinstance(block, OpenPoint):
        yield block
    for inner in (*getattr(block, "blocks", ()), *getattr(block, "items", ())):
        yield from open_points(inner)


def is_of_the_program(verdict: Verdict) -> bool:
    asked = verdict.requirement
    return (asked.scope, asked.audience, asked.severity) == (Scope.PROGRAM, Audience.PUBLIC, Severity.REQUIRED)


def asked_by(verdict: Verdict) -> set[str]:
    return {*verdict.paths, *(diagnostic.location.path for diagnostic in verdict.diagnostics)}


def values_without(name: str, place: str) -> dict[str, Any] | None:
    try:
        return patched({"drop": [place], **({} if name == "base" else {"program": name})})
    except (KeyError, IndexError):
        return None


@pytest.mark.parametrize("name", NAMES)
def test_a_section_whose_condition_is_open_is_printed_with_its_question(name: str) -> None:
    templates = shipped_templates()
    tried = 0
    for place in DECIDING if TIMES > 1 else DECIDING[NAMES.index(name) :: 2 * len(NAMES)]:
        values = values_without(name, place)
        judged = checked_values(values).judged if values else None
        if judged is None:
            continue
        lacking = [v for v in judged.verdicts if v.status in (Status.GAP, Status.UNDETERMINED)]
        written = written_program(judged, templates)
        document, answers = written.program, written.answers
        shown = {s.title: {point.code for point in open_points(s)} for s in document.blocks if isinstance(s, Section)}
        matrix = {requirement.code: status for requirement, status, *_ in matrix_rows(judged, answers)}
        for verdict in filter(is_of_the_program, lacking):
            code = verdict.requirement.code
            asking = {v.requirement.code for v in lacking if asked_by(v) & asked_by(verdict)}
            titles = templates.answered_by([code]).get(code, ())
            if titles and verdict.status is Status.UNDETERMINED:
                assert any(shown.get(title, set()) & asking for title in titles), (place, code, titles)
                tried += 1
            assert matrix[code] is not Status.NOT_APPLICABLE, (place, code)
    assert tried > 0


def forms_asking(fact: str) -> list[tuple[str, dict[str, Any]]]:
    """Every form, and every part of one, that hangs on a fact."""
    plans = form_plans()
    whole = [(plan["id"], plan) for plan in plans if fact in plan["applies"]]
    return whole + [(plan["id"], part) for plan in plans for part in plan["parts"] if part.get("when") == fact]


def test_a_form_whose_condition_is_open_is_printed_with_its_question() -> None:
    tried = 0
    for name, place in ((n, place) for i, n in enumerate(NAMES) for place in some(DECIDING[i :: len(NAMES)], 2)):
        values = values_without(name, place)
        judged = checked_values(values).judged if values else None
        if judged is None:
            continue
        forms = form_documents(judged)
        for fact in (fact for fact in judged.program_facts if judged.asks(fact)):
            for form, plan in forms_asking(fact):
                if "per" in plan or any(map(judged.holds, plan.get("applies", ()))) or "where" in plan:
                    continue
                if "applies" in plan or form in forms:
                    words = printed_words(forms[form])
                    assert any(path.lower() in words for path in judged.asks(fact)), (name, place, form, fact)
                    tried += 1
    assert tried > 0


@pytest.mark.parametrize("name", NAMES)
def test_the_matrix_has_a_row_for_each_duty_that_is_open(name: str) -> None:
    for place in some(DECIDING[NAMES.index(name) :: len(NAMES)], 2):
        values = values_without(name, place)
        judged = checked_values(values).judged if values else None
        if judged is None:
            continue
        annex = written_program(judged, shipped_templates()).annex
        rows = {row.id: row.cells[2] for table in of_type(annex, Table) for row in table.rows if len(row.cells) > 2}
        for verdict in judged.verdicts:
            if verdict.status is Status.UNDETERMINED:
                printed = of_type(rows[f"matrix.{verdict.requirement.code}"], Text)
                assert [text.text for text in printed] in (["undetermined"], ["gap"]), (place, verdict.requirement.code)
