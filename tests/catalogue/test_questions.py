"""The list of questions over the whole catalogue: each requirement has one, each settles some, no field is asked twice.

What the law asks is held by the tests of the requirements; here only that every gap leads to a question.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

from progdoc.model.description.fields import field_at
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reading.question_list import proof_fields, question_list
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


def test_a_requirement_belongs_to_one_question() -> None:
    """None without a question, and one answer settles it: the fields of its proof stand in one question."""
    astray = {}
    for requirement in REQUIREMENTS:
        asking, fields = KNOWN.of(requirement), proof_fields(requirement)
        asked_by = {found.id for field in fields if (found := KNOWN.asking(field))}
        if asking is None or not asked_by <= {asking.id}:
            astray[requirement.code] = (asking and asking.id, asked_by, fields)
    assert astray == {}


def test_a_question_settles_something() -> None:
    assert [asking.id for asking in KNOWN.questions if not BELONGING[asking.id]] == []


def test_no_field_is_asked_twice_and_no_code_settled_twice() -> None:
    for listed in ("id", "asks"):
        assert len({getattr(asking, listed) for asking in KNOWN.questions}) == len(KNOWN.questions)
    for listed in ("fields", "settles"):
        counted = Counter(entry for asking in KNOWN.questions for entry in getattr(asking, listed))
        assert [entry for entry, count in counted.items() if count > 1] == []


def test_a_question_asks_for_fields_that_the_description_has() -> None:
    for asking in KNOWN.questions:
        assert asking.per in KINDS, asking.id
        assert [field for field in asking.fields if field_at(field) is None] == [], asking.id
        assert (SECTIONS / f"{asking.section}.md.j2").is_file(), asking.id


def test_a_question_is_one_sentence_that_names_what_it_is_about() -> None:
    for asking in KNOWN.questions:
        assert asking.asks.endswith("?"), asking.id
        assert asking.why.endswith("."), asking.id
        assert ("{names}" in asking.asks) is (asking.per != "program"), asking.id


def test_a_question_cites_what_its_requirements_cite() -> None:
    for asking in KNOWN.questions:
        cited = [text for requirement in BELONGING[asking.id] for text in requirement.citations]
        assert asking.cites, asking.id
        for citation in asking.cites:
            assert any(text.startswith(citation) for text in cited), (asking.id, citation, cited)


def test_what_is_named_as_settled_is_not_told_by_its_fields_already() -> None:
    for asking in KNOWN.questions:
        for entry in asking.settles:
            by_code = [r for r in BELONGING[asking.id] if r.code.startswith(entry)]
            told = [KNOWN.asking_of_proof(requirement) for requirement in by_code]
            assert any(not one or one != asking for one in told), (asking.id, entry)


def test_what_is_called_dangerous_belongs_to_it() -> None:
    for asking in KNOWN.questions:
        for entry in asking.danger:
            assert any(r.code.startswith(entry) for r in BELONGING[asking.id]), (asking.id, entry)


def test_a_rule_that_no_question_knows_has_none() -> None:
    assert KNOWN.of(replace(REQUIREMENTS[0], code="VAL-001", proof=Proof("check", value="tasks-described"))) is None
