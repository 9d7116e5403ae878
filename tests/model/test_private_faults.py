"""Whatever shape a fault of form has: no report handed out names a worker, and nothing of health is repeated at all."""

from __future__ import annotations

import re
from datetime import date

import pytest

import progdoc
from progdoc.app.report_formats import report_in
from progdoc.model.description.fields import every_place, field_at
from progdoc.model.health_words import tells_of_health

PERSON = "id: marsh, name: Marsh, masks: [{mask: half}]"
PROGRAM = """format: 1
tasks: [{id: scrape, name: Scraping, people: [WHO]}]
masks: [{id: half, name: half mask, facepiece: half-mask, mode: air-purifying}]
people:
  - {PERSON}
"""

# What stands in place of the person, or of one word of it.
NAMED = {
    "an id with a blank": ("id: marsh,", "id: Jo Marsh,"),
    "a key": ("name: Marsh", "Jo Marsh: x"),
    "the same key twice": ("name: Marsh", "marsh: a, marsh: b"),
    "a tag": ("name: Marsh", "name: !Marsh Jo"),
    "an anchor": ("name: Marsh", "name: &Marsh Jo"),
    "an alias": ("name: Marsh", "name: *Marsh"),
    "no space after the colon": ("name: Marsh", "name:Marsh"),
    "words behind a quote": ("name: Marsh", 'name: "Jo" Marsh'),
    "a mask that is not there": ("mask: half}", "mask: marsh}"),
    "a value of another field": ("name: Marsh", "spectacles: Marsh"),
    "a group in place of the list": ("people:\n  - {", "people:\n  Jo Marsh: {"),
    "a part that is not known": ("people:\n", "Jo Marsh:\n  - x\npeople:\n"),
    "a stray line": ("people:\n", "Jo Marsh\npeople:\n"),
    "somebody who is not there": ("WHO", "jo-marsh-too"),
    "somebody who is no id": ("WHO", "Jo Marsh"),
    "two of one id": ("  - {", "  - {id: marsh, name: Jo}\n  - {"),
}
HEALTH = {
    "a key of a person": "asthma: yes",
    "a longer key": "has_asthma: yes",
    "a key nobody would know": "sarcoidosis-asthma: yes",
    "a tag": "job: !asthma x",
    "a tag of the entry": "medical: !asthma [{date: 2026-02-03}]",
    "an anchor": "job: &asthma x",
    "an alias": "job: *asthma",
    "no space after the colon": "medical:asthma",
    "a key of an entry": "medical: [{date: 2026-02-03, asthma: yes}]",
    "a key twice": "medical: [{asthma: a, asthma: b}]",
    "a date": "medical: [{date: asthma}]",
    "a recommendation": "medical: [{date: 2026-02-03, recommendation: asthma}]",
    "a limit": "medical: [{date: 2026-02-03, recommendation: cleared-with-limits, limits: [asthma]}]",
    "a text": "medical: asthma",
    "texts": "medical: [asthma]",
    "a group": "medical: {asthma: yes}",
    "a list in a list": "medical: [[asthma]]",
    "a list for a key": "medical: [{[asthma]: b}]",
    "a misspelt key": "medicals: [{asthma: yes}]",
    "a misspelt key and a text": "medcal: asthma",
    "another case": "MEDICAL: [{date: asthma}]",
    "words behind a quote": 'medical: [{date: "2026" asthma}]',
    "an examination": "surveillance: [{agent: lead, date: asthma}]",
    "a key of an examination": "surveillance: [{agent: lead, asthma: yes}]",
    "a change": "changes: [{date: asthma}]",
    "a result": "fit_tests: [{date: 2026-02-03, mask: half, result: asthma}]",
    "a topic": "training: [{date: 2026-02-03, topics: [asthma]}]",
    "an id": "id: asthma patient",
    "a pressure": "inspections: [{date: 2026-02-03, pressure: asthma}]",
    "a reading of smoke": "exposure: {kind: smoke, index: asthma}",
    "a smoke rule": "smoke: {trained: asthma}",
    "a turn": "turn: 20 min asthma",
}


def _checked(text: str) -> progdoc.Checked:
    checked = progdoc.check(progdoc.load({"shop.yaml": text.encode()}, "shop"), on=date(2026, 11, 24))
    assert not checked.is_understood
    return checked


def _program(person: str = PERSON) -> str:
    return PROGRAM.replace("PERSON", person)


def test_the_program_itself_is_understood() -> None:
    text = _program().replace("WHO", "marsh")
    assert progdoc.load({"shop.yaml": text.encode()}, "shop").program is not None


@pytest.mark.parametrize("shape", NAMED)
def test_no_worker_is_named_by_a_report_of_what_is_not_understood(shape: str) -> None:
    old, new = NAMED[shape]
    checked = _checked(_program().replace(old, new).replace("WHO", "marsh"))
    for form in ("json", "sarif", "junit", "html", "md"):
        told = report_in(checked, form, False).decode().lower()
        assert "marsh" not in told
        assert "it may name a worker" in told


def test_nothing_of_health_is_repeated_from_outside_the_people_either() -> None:
    elsewhere = (
        "format: asthma", "program: {asthma: x}", "tasks: [{id: a, asthma: x}]", "officer: {name: &asthma x}",
        "program: {effective: Marsh has asthma}", "masks: [{facepiece: asthma}]", "tasks: &asthma []",
    )  # fmt: skip
    for text in elsewhere:
        findings = _checked(f"{text}\n").report.findings
        assert not any("asthma" in str(finding).lower() for finding in findings), text
        assert any("is not repeated" in finding.what for finding in findings), text


def test_no_word_of_ours_passes_for_health() -> None:
    """Else a cure would be left out of the message for its own words."""
    fields = [field_at(place) for place in every_place()]
    ours = {name for place in every_place() for name in re.findall(r"[a-z_]+", place)}
    ours |= {word for field in fields if field for word in (*field.values, *field.examples)}
    assert [word for word in sorted(ours) if tells_of_health(re.sub(r"[_\W]+", " ", word))] == []


@pytest.mark.parametrize("shape", HEALTH)
def test_nothing_of_health_is_repeated_to_anybody(shape: str) -> None:
    checked = _checked(_program(f"{PERSON}, {HEALTH[shape]}").replace("WHO", "marsh"))
    assert "asthma" not in report_in(checked, "json", True).decode().lower()
    assert not any("asthma" in str(finding).lower() for finding in checked.report.findings)


def test_whoever_may_read_names_is_told_what_stands_there() -> None:
    checked = _checked(_program().replace("WHO", "jo-marsh-too"))
    assert "`jo-marsh-too` is no id of `people`" in report_in(checked, "json", True).decode()


def test_what_stands_elsewhere_is_told_to_everybody() -> None:
    checked = _checked(_program().replace("WHO", "marsh").replace("facepiece: half-mask", "facepiece: halfmask"))
    assert "“halfmask” is not one of the values known here" in report_in(checked, "json", False).decode()
