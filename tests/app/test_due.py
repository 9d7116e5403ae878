"""What falls due, as text, JSON, CSV and calendar: the same items in each."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import icalendar
import pytest
from programs.patching import judged, patched

from progdoc.app.due import DUE_FORMATS, calendar_of, due_blocks, due_report
from progdoc.cli.terminal import laid_out
from progdoc.rules.judged.result import Judged
from progdoc.writers.assignment_csv import assignment_csv


@pytest.fixture(scope="module")
def complete(tmp_path_factory: pytest.TempPathFactory) -> Judged:
    changes = {
        "people[0].name": "=cmd|' /C calc'!A0",
        "people[0].training[0].date": "2025-06-30",
        "hazards[0].exposure.results[0].date": "2026-02-10",
    }
    return judged(patched({"set": changes}), tmp_path_factory.mktemp("due"))


def test_every_format_has_the_same_items(complete: Judged) -> None:
    items = json.loads(due_report(complete, 60, "json"))["items"]
    rows = list(csv.DictReader(io.StringIO(due_report(complete, 60, "csv").decode("utf-8-sig"))))
    events = icalendar.Calendar.from_ical(due_report(complete, 60, "ics")).walk("VEVENT")
    assert [row["id"] for row in rows] == [item["id"] for item in items]
    assert [row["due"] for row in rows] == [item["due"] or "" for item in items]
    assert len(events) == len(items)
    assert b"".join(calendar_of(complete)) == due_report(complete, 60, "ics")


def test_the_text_says_first_how_much_is_due(complete: Judged) -> None:
    text = laid_out(due_blocks(complete, 60), 100)
    first, *rest = text.split("\n\n")
    assert first == "As of 1 June 2026: 1 overdue, 1 due within 60 days."
    assert rest[0].startswith("Overdue (1)\n  2026-05-10  Exposure to lead")
    assert rest[1].startswith("Due within 60 days (1)\n  2026-06-30  Training of")
    assert rest[2].startswith("Next\n")


def test_a_wider_look_moves_items_forward(complete: Judged) -> None:
    near = json.loads(due_report(complete, 0, "json"))["summary"]
    far = json.loads(due_report(complete, 3650, "json"))["summary"]
    assert near["overdue"] == far["overdue"] and far["later"] == 0
    assert near["soon"] + near["later"] == far["soon"]


def test_nothing_described_is_nothing_due(tmp_path: Path) -> None:
    changes = {"drop": ["people", "tasks", "hazards"]}
    text = laid_out(due_blocks(judged(patched(changes), tmp_path)), 100)
    assert text.startswith("Nothing that is described falls due within 60 days")


@pytest.mark.parametrize("form", DUE_FORMATS)
def test_the_bytes_repeat(complete: Judged, form: str) -> None:
    assert due_report(complete, 60, form) == due_report(complete, 60, form)


def test_no_cell_is_run_by_a_spreadsheet(complete: Judged) -> None:
    for data in (due_report(complete, 60, "csv"), assignment_csv(complete)):
        for row in csv.reader(io.StringIO(data.decode("utf-8-sig"))):
            assert not any(cell.startswith(("=", "+", "-", "@")) for cell in row)


def test_the_matrix_gives_every_reason(complete: Judged, tmp_path: Path) -> None:
    found = judged(patched({"drop": ["people[0].fit_tests", "people[0].medical"]}), tmp_path)
    rows = list(csv.DictReader(io.StringIO(assignment_csv(found).decode("utf-8-sig"))))
    row = next(row for row in rows if (row["person"], row["task"]) == ("jo-marsh", "scrape-sashes"))
    assert row["may_do_it"] == "no" and row["named_for_it"] == "yes"
    assert {"FIT-001", "MED-030"} <= set(row["codes"].split("; "))


def test_who_could_do_a_task_that_does_not_name_them_is_told_apart(complete: Judged) -> None:
    rows = list(csv.DictReader(io.StringIO(assignment_csv(complete).decode("utf-8-sig"))))
    assert {row["named_for_it"] for row in rows} == {"yes", "no"}
    assert all(("Not named for it." in row["why_not"]) is (row["named_for_it"] == "no") for row in rows)
    assert not any(" works at " in row["why_not"] for row in rows if row["named_for_it"] == "no")
    answers = {row["may_do_it"] for row in rows if row["named_for_it"] == "no"}
    assert all(answer == "no" or answer.endswith(", once named for it") for answer in answers)
