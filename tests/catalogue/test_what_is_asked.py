"""No required finding asks for more than its paragraph: what that asks, and the fields it takes to show it.

`what_is_asked.csv` has a row for each required requirement, in our own words from the text of the law. A field that a
proof asks for beyond its row fails here: then the paragraph names it, or it may only stand beside.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path

from published_value import published

from progdoc.core.diagnostics import Severity
from progdoc.model.description.fields import field_at
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import Requirement

ROWS: list[Mapping[str, str]] = list(
    csv.DictReader(Path(__file__).with_name("what_is_asked.csv").read_text(encoding="utf-8").splitlines())
)
BY_CODE = {row["code"]: row for row in ROWS}
REQUIRED = [r for r in built_in_catalogue().requirements if r.severity is Severity.REQUIRED]
LOOKED_AT = ("check", "reason")  # their fields are those that the requirement says it reads


def asked_by(requirement: Requirement) -> set[str]:
    """Return the fields without which a requirement is not met; what may stand beside is none of them."""
    found: set[str] = set()
    for proof in requirement.proof.singles():
        if proof.kind in LOOKED_AT:
            found.update(requirement.reads)
        elif proof.kind != "may_say":
            found.add(proof.path)
    return found


def test_every_required_requirement_has_its_row_and_no_other_has() -> None:
    codes = [row["code"] for row in ROWS]
    assert codes == sorted(set(codes))
    assert codes == sorted(r.code for r in REQUIRED)


@published("29 CFR 1910.134 and the standards cited with each code: read paragraph by paragraph for what they ask")
def test_a_proof_asks_for_nothing_beyond_its_paragraph() -> None:
    beyond = {r.code: asked_by(r) - set(BY_CODE[r.code]["fields"].split(";")) for r in REQUIRED}
    assert {code: fields for code, fields in beyond.items() if fields} == {}
    assert [row["code"] for row in ROWS if len(row["asks"].split()) < 3] == []


def test_the_fields_of_a_row_are_fields_of_the_description() -> None:
    group = {"task": "tasks[]", "mask": "masks[]", "filter": "filters[]", "wearer": "people[]"}
    for requirement in REQUIRED:
        start = group.get(requirement.per, "procedures.filter_changes.schedules[]")
        for path in filter(None, BY_CODE[requirement.code]["fields"].split(";")):
            place = start + path if path.startswith(".") else path
            assert field_at(place) is not None, (requirement.code, path)


def test_what_no_paragraph_names_is_asked_by_nobody() -> None:
    # A phone number, who inspects, who trains and how, what the officer may decide: no paragraph names them.
    unnamed = {
        "officer.authority",
        "procedures.inspection.by",
        "procedures.medical.professional.phone",
        "procedures.records.medical",
        "procedures.training.by",
        "procedures.training.method",
    }
    asked = {path for requirement in REQUIRED for path in asked_by(requirement)}
    assert unnamed & asked == set()
    every = {path for r in built_in_catalogue().requirements for path in asked_by(r)}
    assert unnamed <= every  # as advice or a caution they are still asked for
