"""Issuing: complete or refused, never written over, and nothing altered unseen."""

from __future__ import annotations

import hashlib
import json
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from comparison.trial import AS_OF, base, written

from progdoc.app.disk.issued_folder import Issued, issue, issue_sheet
from progdoc.app.disk.verified_revision import verify
from progdoc.app.issue import DESCRIPTION, OPENED
from progdoc.core.diagnostics import Diagnostic, Severity


def _issued(values: Any, folder: Path, on: date = AS_OF) -> Issued:
    result = issue(written(values, folder / "program.yaml"), folder / "issued", on)
    assert isinstance(result, Issued), [(d.code, d.what) for d in result]
    return result


@pytest.fixture
def issued(base_issued: Issued, tmp_path: Path) -> Path:
    """Return a copy of the issued folder, to be gone on from, beside the description that it was issued from."""
    shutil.copytree(base_issued.folder.parents[1], tmp_path, dirs_exist_ok=True)
    return tmp_path / "issued" / base_issued.folder.name


def _refused(values: Any, folder: Path) -> list[Diagnostic]:
    before = sorted((folder / "issued").rglob("*"))
    result = issue(written(values, folder / "program.yaml"), folder / "issued", AS_OF)
    assert isinstance(result, list)
    assert sorted((folder / "issued").rglob("*")) == before
    return result


def test_a_revision_holds_its_description_every_file_and_their_checksums(base_issued: Issued) -> None:
    result = base_issued
    here = result.folder.parents[1]
    assert (result.folder, result.placed.is_new) == (here / "issued" / "revision-2026.1", True)
    for name in ("program.docx", "program.html", "program.md", "gaps.json", "matrix.csv", "restricted/gaps.json"):
        assert (result.folder / name).is_file(), name
    frozen = result.folder / DESCRIPTION / "program.yaml"
    assert frozen.read_bytes() == (here / "program.yaml").read_bytes()
    manifest = json.loads((result.folder / "manifest.json").read_bytes())
    assert (manifest["revision"], manifest["on"]) == ("2026.1", "2026-06-01")
    assert manifest["rules"].startswith("us-federal")
    for name, told in manifest["files"].items():
        assert hashlib.sha256((result.folder / name).read_bytes()).hexdigest() == told
    sheet = issue_sheet(result.folder)
    assert sheet is not None
    assert (sheet.revision, sheet.issued_on) == ("2026.1", AS_OF)
    assert verify(result.folder).faults == []


def test_the_same_content_again_changes_nothing(base_issued: Issued, issued: Path, tmp_path: Path) -> None:
    before = {file: file.read_bytes() for file in issued.rglob("*") if file.is_file()}
    again = _issued(base(), tmp_path, date(2026, 7, 1))
    assert (again.folder, again.placed.is_new) == (issued, False)
    assert again.placed.manifest_sha256 == base_issued.placed.manifest_sha256
    assert {file: file.read_bytes() for file in issued.rglob("*") if file.is_file()} == before


@pytest.mark.usefixtures("issued")
def test_a_number_that_stands_for_other_content_is_refused(tmp_path: Path) -> None:
    values = base()
    values["officer"]["phone"] = "555-0100"
    assert [d.code for d in _refused(values, tmp_path)] == ["ISSUE-003"]
    values["program"]["revision"] = "2026.2"
    values["program"]["history"].append(
        {"revision": "2026.2", "date": "2026-06-01", "by": "Ada Brook", "summary": "Another telephone number"}
    )
    assert _issued(values, tmp_path).folder.name == "revision-2026.2"


def test_a_folder_that_is_in_the_way_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "issued" / "revision-2026.1"
    folder.mkdir(parents=True)
    (folder / "mine.txt").write_text("mine")
    assert [d.code for d in _refused(base(), tmp_path)] == ["ISSUE-003"]


def test_gaps_of_the_program_refuse_and_gaps_of_records_do_not(tmp_path: Path) -> None:
    values = base()
    values["people"][0]["fit_tests"] = []
    assert any(d.severity is Severity.REQUIRED for d in _issued(values, tmp_path / "record").report.findings)
    values = base()
    del values["procedures"]["cleaning"]
    refused = _refused(values, tmp_path / "program")
    assert refused
    assert {d.severity for d in refused} == {Severity.REQUIRED}


@pytest.mark.parametrize(
    ("history", "code"),
    [
        ([], "ISSUE-002"),
        ([{"revision": "2025.1", "date": "2025-03-01", "by": "Ada Brook", "summary": "First"}], "ISSUE-002"),
        ([{"revision": "2026.1", "date": "2026-03-01", "by": "Ada Brook", "summary": OPENED}], "ISSUE-002"),
    ],
)
def test_without_a_word_on_what_changed_nothing_is_issued(history: Any, code: str, tmp_path: Path) -> None:
    values = base()
    values["program"]["history"] = history
    assert code in [d.code for d in _refused(values, tmp_path)]


def test_the_missing_history_entry_is_shown_as_it_would_be_typed(tmp_path: Path) -> None:
    values = base()
    values["program"]["history"] = []
    (missing,) = [d for d in _refused(values, tmp_path) if d.code == "ISSUE-002"]
    assert "program:\n  history:\n    - revision: " in missing.fix
    assert [line.split(":")[0].strip() for line in missing.fix.splitlines()[-3:]] == ["date", "by", "summary"]


@pytest.mark.parametrize("revision", [None, "../up", "a/b", "con:1"])
def test_a_revision_needs_a_number_that_can_name_a_folder(revision: str | None, tmp_path: Path) -> None:
    values = base()
    values["program"]["revision"] = revision
    assert {"ISSUE-001", "ISSUE-004"} & {d.code for d in _refused(values, tmp_path)}


def test_every_alteration_is_found_and_named(issued: Path) -> None:
    folder = issued
    (folder / "program.md").write_text("short")
    (folder / "gaps.md").unlink()
    (folder / "tasks" / "new.html").write_text("new")
    (folder / DESCRIPTION / "program.yaml").write_text("format: 1")
    found = {(d.code, Path(d.location.file).relative_to(folder).as_posix()) for d in verify(folder).faults}
    assert found == {
        ("ISSUE-006", "program.md"),
        ("ISSUE-007", "gaps.md"),
        ("ISSUE-008", "tasks/new.html"),
        ("ISSUE-006", f"{DESCRIPTION}program.yaml"),
    }


def test_a_damaged_manifest_is_an_alteration_and_a_plain_folder_no_revision(issued: Path, tmp_path: Path) -> None:
    (issued / "manifest.json").write_text("{")
    assert [d.code for d in verify(issued).faults] == ["ISSUE-006"]
    assert [d.code for d in verify(tmp_path).faults] == ["ISSUE-005"]
