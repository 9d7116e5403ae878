"""Words that hold the place of an answer, and refusals, meet nothing: tried in every text a requirement asks for."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from catalogue.removals import steps_of
from examples import some
from programs.patching import AS_OF

from progdoc.app.disk.description_files import load_path
from progdoc.core.report import Status
from progdoc.model.description.fields import texts_in
from progdoc.model.description.program import Program
from progdoc.model.load import Loaded
from progdoc.rules.judge import Judged, judge
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import Proof

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_config" / "restoration_2026"
LISTS = ("placeholders", "refusals", "holds_the_place_with", "refuses_with", "repeats_the_law_with")
WORDS = [word for name in LISTS for group in table_entries("empty_answers", name) for word in group["words"]]
# Placeholders that a description may hold and that the product has to refuse: input of the tests below.
SIGNS = ["?", "???", "…", "...", "-", "–", "xxx", "XXX", "____", "[name]", "<who>", "{…}", "(tbd)", "T.B.D."]
ANSWERS = [
    "Jo Marsh",
    "No mask leaves the workshop before it is washed",
    "Nobody of the firm goes down. Call the fire service",
    "Never under a hood: a lens kit in the facepiece",
    "555-0142",
    "Each wearer",
    "Pending jobs are listed on the board in the office",
    "To be found in the red folder of the office",
    "In accordance with 29 CFR 1910.134(h)(1): Jo Marsh, at the wash stand",
    "As the maker's instructions require, each Friday",
    "Left open on the table to dry, then boxed",
]


def test_what_answers_nothing() -> None:
    for text in (*WORDS, *SIGNS):
        for written in (text, text.upper(), f"{text}.", f"  {text} !"):
            assert said_by(written) is not Said.ANSWER, written


def test_what_answers() -> None:
    assert [text for text in ANSWERS if said_by(text) is not Said.ANSWER] == []


def _asked(proof: Proof) -> Iterator[str]:
    """Yield the places of texts that are asked for, or that may stand beside what is asked."""
    if proof.kind in ("given", "may_say"):
        yield proof.path
    for part in proof.parts:
        yield from _asked(part)


def _beside(proof: Proof) -> Iterator[str]:
    """Yield the places of texts that may stand beside what is asked: empty words there are no answer either."""
    if proof.kind == "may_say":
        yield proof.path
    for part in proof.parts:
        yield from _beside(part)


@cache
def _loaded() -> Loaded:
    return load_path(SAMPLE)


def _texts(judged: Judged) -> dict[str, set[str]]:
    """Return the codes that are met by each text, by its place."""
    found: dict[str, set[str]] = {}
    judged_texts = {path.removesuffix("[0]") for path, _ in texts_in(judged.description)}
    for verdict in judged.verdicts:
        if verdict.status is not Status.MET:
            continue
        for asked in _asked(verdict.requirement.proof):
            path = verdict.subject.path + asked if asked.startswith(".") else asked
            if path in verdict.paths and path in judged_texts:
                found.setdefault(path, set()).add(verdict.requirement.code)
    return found


@cache
def _asked_texts() -> dict[str, set[str]]:
    return _texts(judge(_loaded(), built_in_catalogue(), AS_OF))


def _with(values: Any, text: str, paths: set[str]) -> Any:
    changed = copy.deepcopy(values)
    for path in paths:
        *way, last = steps_of(path)
        place = changed
        for step in way:
            place = place[step]
        place[last] = [text] if isinstance(place[last], list) else text
    return changed


@pytest.mark.parametrize(
    "text",
    some(["TBD", "to be decided", "?", "n/a", "pending", "xxx", "no", "never", "not possible", "nobody"], 3),
)
def test_none_of_them_meets_a_requirement(text: str) -> None:
    texts = _asked_texts()
    assert len(texts) > 60
    program = Program.model_validate(_with(_loaded().description.values, text, set(texts)))
    after = judge(Loaded(program, _loaded().description, ()), built_in_catalogue(), AS_OF)
    shown = {path for verdict in after.verdicts if verdict.status is Status.MET for path in verdict.evidence}
    assert sorted(shown & set(texts)) == []
    beside = {path for r in built_in_catalogue().requirements for path in _beside(r.proof)} & set(texts)
    assert len(beside) > 20
    codes = {code for path in beside for code in texts[path]}
    assert (
        sorted(v.requirement.code for v in after.verdicts if v.status is Status.MET and v.requirement.code in codes)
        == []
    )
