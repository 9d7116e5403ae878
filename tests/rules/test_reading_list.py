"""Who has read which revision: asked where the firm keeps the list, due when it changes, told to the officer alone."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from document.reading import program_of
from programs.patching import AS_OF, catalogue_of, judged, judged_by, patched

from progdoc.core.diagnostics import Audience, Severity
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.tree.nodes import Document
from progdoc.model.people_table.people_columns import COLUMNS
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS

LIST = {"program.read_and_signed": "yes"}
CODES = ("PRG-069", "PRG-070", "PRG-071")


def read(*entries: tuple[str, str]) -> dict[str, Any]:
    return {"people[0].has_read": [{"revision": revision, "date": day} for revision, day in entries]}


def found(folder: Path, changes: dict[str, Any]) -> Judged:
    return judged_by(catalogue_of(CODES), patched({"set": changes}), folder)


def words(document: Document) -> str:
    return " ".join(WRITERS["md"](document).decode().split())


def of_jo(result: Judged) -> list[str]:
    return [d.code for d in result.findings if d.subject in ((), ("people.jo-marsh",)) and d.code in CODES]


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        ({}, []),
        ({"program.read_and_signed": "no"}, []),
        (LIST, ["PRG-069"]),
        ({**LIST, **read(("2026.1", "2026-02-20"))}, []),
        ({**LIST, **read(("2026.1", "2026-06-02"))}, ["PRG-069"]),  # a day to come shows nothing
        ({**LIST, **read(("2025.1", "2026-05-30"))}, ["PRG-069", "PRG-070"]),
        ({**LIST, "program.effective": "2026-09-01"}, []),  # nothing is in force yet
        (read(("2026.1", "2026-03-02")), ["PRG-071"]),
    ],
)
def test_a_revision_in_force_is_signed_for_by_everybody_where_the_firm_keeps_a_list(
    changes: dict[str, Any], codes: list[str], tmp_path: Path
) -> None:
    assert sorted(of_jo(found(tmp_path, changes))) == codes


def test_no_law_asks_for_it_and_names_stay_restricted(tmp_path: Path) -> None:
    findings = [d for d in found(tmp_path, LIST).findings if d.code == "PRG-069"]
    assert {(d.severity, d.audience) for d in findings} == {(Severity.ADVICE, Audience.RESTRICTED)}


def test_it_falls_due_when_the_next_revision_applies_and_not_after_it_is_signed(tmp_path: Path) -> None:
    def due(changes: dict[str, Any]) -> dict[str, date | None]:
        items = found(tmp_path, changes).due(60).items
        return {item.id: item.due for item in items if item.id.startswith("reading.jo")}

    assert due({}) == {}
    assert due({**LIST, "program.effective": "2026-07-01"}) == {"reading.jo-marsh": date(2026, 7, 1)}
    assert due(LIST) == {"reading.jo-marsh": date(2026, 3, 1)}  # overdue on the day of evaluation
    assert due(LIST | read(("2026.1", AS_OF.isoformat()))) == {}


def test_the_officer_gets_a_list_and_the_crew_a_form_to_sign(tmp_path: Path) -> None:
    result = judged(patched({"set": {**LIST, **read(("2026.1", "2026-03-02"))}}), tmp_path)
    assert "Read and signed" in words(annex_document(result))
    assert "2 March 2026" in words(annex_document(result))
    program = words(program_of(result))
    assert "signs to have read each revision" in program and "2 March 2026" not in program
    form = form_documents(result)["read-and-signed"]
    assert "revision 2026.1" in words(form) and "Jo Marsh" not in words(form)


def test_without_a_list_there_is_no_form_and_no_sentence(tmp_path: Path) -> None:
    result = judged(patched({}), tmp_path)
    assert "read-and-signed" not in form_documents(result)
    assert "signs to have read" not in words(program_of(result))


def test_a_spreadsheet_can_keep_it() -> None:
    assert {name for name, (records, _, _) in COLUMNS.items() if records == "has_read"} == {
        "read_revision",
        "read_date",
    }
