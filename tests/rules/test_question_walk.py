"""From an empty folder to a whole program by answering the next question: each can be answered, an evening is enough.

What is answered is copied from the small sample, place by place. Things that an answer only names (the mask of a task)
come in with their id, and are asked about next.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

from programs.patching import read_as_text

from progdoc.app.check import check
from progdoc.core.questions import Question
from progdoc.model.load import load
from progdoc.rules.reading.question_list import question_list

SHOP = read_as_text((Path(__file__).parents[2] / "sample_config/small_shop/program.yaml").read_text("utf-8"))
DAY = date(2026, 6, 1)
MOST_ANSWERS = 60  # our goal: an evening
FIELDS = {asking.id: asking.fields for asking in question_list().questions}
ENTRIES = ("tasks", "hazards", "masks", "filters", "people")


def asked_of(values: dict[str, Any]) -> list[Question]:
    checked = check(load({"program.yaml": json.dumps(values).encode()}), DAY)
    assert checked.judged is not None, [finding.what for finding in checked.report.findings]
    return [question for question in checked.questions if question.is_missing]


def answer(values: dict[str, Any], question: Question) -> None:
    """Copy from the sample what a question asks for, and what it says that may be adopted."""
    for field in FIELDS[question.id]:
        kind, inner, key = field.partition("[].")
        if inner:
            ids = {part.partition(".")[2] for part in question.subject} or {entry["id"] for entry in values[kind]}
            for entry in values[kind]:
                said = next(each for each in SHOP[kind] if each["id"] == entry["id"])
                if entry["id"] in ids and key in said:
                    entry[key] = said[key]
        elif field == "hazards":
            tasks = {part.partition(".")[2] for part in question.subject}
            named = [{k: h[k] for k in ("id", "task", "agent")} for h in SHOP["hazards"] if h["task"] in tasks]
            values["hazards"] = values.get("hazards", []) + named
        elif field == "tasks":
            values["tasks"] = [{"id": task["id"], "name": task["name"]} for task in SHOP["tasks"]]
        else:
            copied(values, field)
    if question.adopted_at:
        copied(values, question.adopted_at)
    named_alone(values)


def copied(values: dict[str, Any], place: str) -> None:
    said: Any = SHOP
    for step in place.split("."):
        said = said.get(step) if isinstance(said, dict) else None
    *above, last = place.split(".")
    for step in above if said is not None else ():
        values = values.setdefault(step, {})
    if said is not None:
        values[last] = said


def named_alone(values: dict[str, Any]) -> None:
    """Bring in by their ids the things that an answer named."""
    for kind in ENTRIES:
        known = {entry["id"] for entry in values.get(kind, [])}
        text = json.dumps([values.get("tasks"), values.get("masks")])
        fresh = [entry for entry in SHOP[kind] if entry["id"] not in known and f'"{entry["id"]}"' in text]
        if fresh and kind != "hazards":
            values[kind] = values.get(kind, []) + [{"id": e["id"], **_called(kind, e)} for e in fresh]
    if any("sites" in task for task in values.get("tasks", [])):
        values.setdefault("organisation", {})["sites"] = SHOP["organisation"]["sites"]


def _called(kind: str, entry: dict[str, Any]) -> dict[str, str]:
    return {"name": entry["name"]} if kind == "people" else {}


def test_an_evening_of_answers_makes_the_small_program_whole() -> None:
    values: dict[str, Any] = {"format": "1", "program": {"title": "Respiratory Protection Program"}}
    answers = 0
    while questions := asked_of(values):
        before = json.dumps(values)
        answer(values, questions[0])
        assert json.dumps(values) != before, (questions[0].id, questions[0].settles)
        answers += 1
    assert answers <= MOST_ANSWERS
