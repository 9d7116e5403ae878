"""The list of questions over the whole catalogue: each requirement has one, each settles some, no field is asked twice.

What the law asks is held by the tests of the requirements; here only that every gap leads to a question.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from progdoc.model.description.fields import field_at
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reading.question_list import Asking, proof_fields, question_list
from progdoc.rules.requirement import Proof, Requirement

REQUIREMENTS = built_in_catalogue().requirements
KNOWN = question_list()
SECTIONS = Path(__file__).parents[2] / "templates/program/sections"
KINDS = {"program", "task", "hazard", "mask", "filter", "schedule", "person"}


def belongings() -> dict[str, list[Requirement]]:
    found: dict[str, list[Requirement]] = {asking.id: [] for asking in KNOWN.questions}
    for requirement in REQUIREMENTS:
        asking = KNOWN.of(requirement)
        if asking is not None:
            found[asking.id].append(requirement)
    return found


BELONGING = belongings()
EACH = pytest.mark.parametrize("asking", KNOWN.questions, ids=lambda asking: asking.id)


@pytest.mark.parametrize("requirement", REQUIREMENTS, ids=lambda r: r.code)
def test_a_requirement_belongs_to_one_question(requirement: Requirement) -> None:
    asking = KNOWN.of(requirement)
    assert asking is not None, f"{requirement.code}: no question of questions.yaml asks for {proof_fields(requirement)}"
    asked_by = {found.id for field in proof_fields(requirement) if (found := KNOWN.asking(field))}
    assert asked_by <= {asking.id}, "one answer settles it: its fields stand in one question"


@EACH
def test_a_question_settles_something(asking: Asking) -> None:
    assert BELONGING[asking.id]


def test_no_field_is_asked_twice_and_no_code_settled_twice() -> None:
    for listed in ("id", "asks"):
        assert len({getattr(asking, listed) for asking in KNOWN.questions}) == len(KNOWN.questions)
    for listed in ("fields", "settles"):
        counted = Counter(entry for asking in KNOWN.questions for entry in getattr(asking, listed))
        assert [entry for entry, count in counted.items() if count > 1] == []


@EACH
def test_a_question_asks_for_fields_that_the_description_has(asking: Asking) -> None:
    assert asking.per in KINDS
    assert [field for field in asking.fields if field_at(field) is None] == []
    assert (SECTIONS / f"{asking.section}.md.j2").is_file()


@EACH
def test_a_question_is_one_sentence_that_names_what_it_is_about(asking: Asking) -> None:
    assert asking.asks.endswith("?")
    assert asking.why.endswith(".")
    assert ("{names}" in asking.asks) is (asking.per != "program")


@EACH
def test_a_question_cites_what_its_requirements_cite(asking: Asking) -> None:
    cited = [text for requirement in BELONGING[asking.id] for text in requirement.citations]
    assert asking.cites
    for citation in asking.cites:
        assert any(text.startswith(citation) for text in cited), (citation, cited)


@EACH
def test_what_is_named_as_settled_is_not_told_by_its_fields_already(asking: Asking) -> None:
    for entry in asking.settles:
        by_code = [r for r in BELONGING[asking.id] if r.code.startswith(entry)]
        assert any(not KNOWN.asking_of_proof(r) or KNOWN.asking_of_proof(r) != asking for r in by_code), entry


@EACH
def test_what_is_called_dangerous_belongs_to_it(asking: Asking) -> None:
    for entry in asking.danger:
        assert any(requirement.code.startswith(entry) for requirement in BELONGING[asking.id]), entry


def test_a_rule_that_no_question_knows_has_none() -> None:
    assert KNOWN.of(replace(REQUIREMENTS[0], code="VAL-001", proof=Proof("check", value="tasks-described"))) is None
