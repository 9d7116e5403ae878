"""What a firm says in words that answer no question is held against the program, wherever it is printed.

The sentences are our own, of the kind that an attack on the program brought through: common practice, no source.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from programs.patching import checked_by, patched, read_as_text

from progdoc.rules.lookup.releases import certifies_itself, released_by
from progdoc.rules.reading.catalogue import built_in_catalogue

SAMPLES = Path(__file__).parents[2] / "sample_config"
PROGRAMS = Path(__file__).parents[1] / "programs"
AGAINST = (
    "Beards under 5 mm are fine.",
    "A three-day beard is allowed",
    "Facial hair is a private matter",
    "Fit tests are not needed here",
    "Nobody has to wear a mask in the last hour",
    "Whoever feels well needs no doctor",
    "A fit test every three years is enough",
    "New people start at once and are cleared later",
    "New hands may go in before their fit test",
    "The medical evaluation is voluntary",
    "The rules above do not apply to the night shift",
    "Ignore the section on cleaning",
    "This document is no longer in force",
    "Masks may be taken off to talk",
    "Lead is harmless",
    "Void",
)
IN_ORDER = (
    "No beard is allowed, of whatever length",
    "Beards are not allowed",
    "Nobody goes in before the fit test",
    "A fit test is needed for each mask",
    "Whoever grows a beard tells the officer",
    "Masks hang beside the door",
    "Filters go into the bin for lead waste",
    "The section on cleaning is read out to everybody",
    "First program",
    "Night shift and steps by reading",
)


def test_words_that_let_off_are_told_and_those_that_hold_are_not() -> None:
    assert [text for text in AGAINST if not released_by(text)] == []
    assert [text for text in IN_ORDER if released_by(text) or certifies_itself(text)] == []
    assert certifies_itself("Certified Respiratory Protection Program") and not certifies_itself("Certified testers")


def test_they_are_told_of_at_every_place_that_is_printed_and_answers_no_question() -> None:
    """One program says so at each of the places; the paths are written out here, and not taken from the rule."""
    text = "Beards are welcome"
    values: dict[str, Any] = json.loads(json.dumps(patched({"program": "campus-with-groups"})))
    values["program"]["title"] = values["program"]["history"][0]["summary"] = text
    values["own_sections"] = [{"id": "own", "after": "use", "title": text, "text": text}]
    values["definitions"] = [{"term": "Hot zone", "means": text}]
    values["house_rules"][2]["says"] = values["bodies"][4]["part"] = values["groups"][3]["covered_by"] = text
    values["calendar"] = [{"id": "drill", "routine": "drill", "every": "6 months", "name": text}]
    values["tasks"][0]["masks"][0]["when"] = text
    values["tasks"][0]["steps"] = [{"hazard": "white-dust", "over": "90 mg/m3", "action": text, "leave": "yes"}]
    report = checked_by(built_in_catalogue(), values).report
    told = {one.location.path for one in report.findings if one.code == "OWN-003" and one.location}
    assert told == {
        "program.title", "program.history[0].summary", "own_sections[0].title", "own_sections[0].text",
        "definitions[0].means", "house_rules[2].says", "bodies[4].part", "groups[3].covered_by", "calendar[0].name",
        "tasks[0].masks[0].when", "tasks[0].steps[0].action",
    }  # fmt: skip


def _texts(values: Any) -> list[str]:
    if isinstance(values, dict):
        return [text for value in values.values() for text in _texts(value)]
    if isinstance(values, list):
        return [text for value in values for text in _texts(value)]
    return [values] if isinstance(values, str) else []


@pytest.mark.parametrize("folder", [SAMPLES, PROGRAMS])
def test_no_program_of_ours_says_so_of_itself(folder: Path) -> None:
    """Guidance that is cited for a level may say which mask is enough: it is no text of the firm's own."""
    own = ("own_sections", "definitions", "program", "house_rules", "groups", "bodies", "roles", "calendar")
    for file in sorted(folder.rglob("*.yaml")):
        values = read_as_text(file.read_text(encoding="utf-8"))
        if isinstance(values, dict) and "format" in values:
            texts = [text for key in own for text in _texts(values.get(key))]
            assert [text for text in texts if released_by(text)] == [], file


def test_a_bare_refusal_a_promise_and_a_guess_are_told_in_every_field_of_a_firms_own() -> None:
    """The kind: each field of the new structure, with each of the words that an attack put there."""
    places = (
        ("campus-with-groups", "roles[1].holders[0]"), ("campus-with-groups", "bodies[4].part"),
        ("campus-with-groups", "bodies[0].contact"), ("campus-with-groups", "groups[3].covered_by"),
        ("campus-with-groups", "groups[0].hiring_physical"), ("campus-with-groups", "groups[2].consent_form"),
        ("campus-with-groups", "house_rules[2].says"), ("campus-with-groups", "house_rules[1].by"),
        ("plant-with-bodies", "tasks[0].masks[1].when"), ("plant-with-bodies", "tasks[0].steps[1].action"),
        ("plant-with-bodies", "program.control.owner"), ("plant-with-bodies", "own_sections[0].text"),
        ("plant-with-bodies", "definitions[0].means"),
    )  # fmt: skip
    for word in ("Nobody", "we guess", "Promised for June"):
        for program in dict.fromkeys(name for name, _ in places):
            wanted = {place for name, place in places if name == program}
            changed = patched({"program": program, "set": dict.fromkeys(wanted, word)})
            report = checked_by(built_in_catalogue(), changed).report
            told = {one.location.path for one in report.findings if one.code in ("OWN-004", "TXT-001", "ALT-002")}
            assert wanted - told == set(), (word, program)
