"""Issuing: complete or refused, never written over, and nothing altered unseen."""

from __future__ import annotations

import hashlib
import json
import shutil
import sys
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from app.signing_keys import HERS, HIS, private_file, public_line
from comparison.trial import AS_OF, base, written

from progdoc.app.disk.issued_folder import Issued, PlacedRevision, issue, issue_sheet, place_revision
from progdoc.app.disk.signatures import add_signature, proved_signer, signer_at
from progdoc.app.disk.verified_chain import verify_all
from progdoc.app.disk.verified_revision import verify
from progdoc.app.issue import DESCRIPTION, OPENED, Predecessor
from progdoc.app.manifest import MANIFEST, SHEET
from progdoc.app.ssh_signature import SIGNATURE, Signer
from progdoc.cli import main
from progdoc.core.diagnostics import Diagnostic, Severity


def _issued(values: Any, folder: Path, on: date = AS_OF, key: Path | None = None) -> Issued:
    result = issue(written(values, folder / "program.yaml"), folder / "issued", on, key=key)
    assert isinstance(result, Issued), [(d.code, d.what) for d in result]
    return result


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Issued:
    """The base program, issued and signed once for all that look at it or go on from it."""
    folder = tmp_path_factory.mktemp("once")
    (folder / "her key").write_bytes(private_file(HERS))
    (folder / "allowed").write_bytes(b"ada@firm.example " + public_line(HERS))
    return _issued(base(), folder, key=folder / "her key")


@pytest.fixture
def issued(once: Issued, tmp_path: Path) -> Path:
    """Return a copy of the issued folder, to be gone on from, beside the description that it was issued from."""
    shutil.copytree(once.folder.parents[1], tmp_path, dirs_exist_ok=True)
    return tmp_path / "issued" / once.folder.name


def _refused(values: Any, folder: Path) -> list[Diagnostic]:
    before = sorted((folder / "issued").rglob("*"))
    result = issue(written(values, folder / "program.yaml"), folder / "issued", AS_OF)
    assert isinstance(result, list)
    assert sorted((folder / "issued").rglob("*")) == before
    return result


def test_a_revision_holds_its_description_every_file_and_their_checksums(once: Issued) -> None:
    result = once
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


def test_the_same_content_again_changes_nothing(once: Issued, issued: Path, tmp_path: Path) -> None:
    before = {file: file.read_bytes() for file in issued.rglob("*") if file.is_file()}
    again = _issued(base(), tmp_path, date(2026, 7, 1))
    assert (again.folder, again.placed.is_new) == (issued, False)
    assert again.placed.manifest_sha256 == once.placed.manifest_sha256
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


# ---- signed -------------------------------------------------------------------------------------------


def test_a_revision_is_signed_as_it_is_issued_and_the_key_stays_where_it_is(once: Issued) -> None:
    here = once.folder.parents[1]
    proof = verify(once.folder, allowed=here / "allowed")
    assert proof.faults == []
    assert any(f"signed by ada@firm.example ({once.signed_by})" in sentence for sentence in proof.proved)
    assert any("--signed-by" in sentence for sentence in verify(once.folder).not_checked)
    secrets = (HERS, (here / "her key").read_bytes())
    assert not [f for f in once.folder.rglob("*") if f.is_file() and any(s in f.read_bytes() for s in secrets)]


def test_a_revision_can_be_signed_later_and_by_one_alone(
    issued: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    signature = (issued / SIGNATURE).read_bytes()
    again = ["issue", str(tmp_path / "program.yaml"), "--into", str(issued.parent), "--on", "2026-06-01"]
    (issued / SIGNATURE).unlink()
    assert main([*again, "--sign-with", str(tmp_path / "her key")]) == 0
    assert "Signed with the key SHA256:" in capsys.readouterr().out
    assert (issued / SIGNATURE).read_bytes() == signature
    (tmp_path / "his key").write_bytes(private_file(HIS))
    assert main([*again, "--sign-with", str(tmp_path / "his key")]) == 2
    assert "ISSUE-018" in capsys.readouterr().err
    assert (issued / SIGNATURE).read_bytes() == signature


def test_a_signature_that_proves_nothing_is_told(issued: Path, tmp_path: Path) -> None:
    def told(allowed: str = "allowed") -> str:
        found = proved_signer(issued, tmp_path / allowed)
        return found.code if isinstance(found, Diagnostic) else found

    (tmp_path / "his").write_bytes(public_line(HIS))
    (tmp_path / "none").write_bytes(b"nothing")
    assert [told("his"), told("none"), told("not there")] == ["ISSUE-020", "ISSUE-021", "ISSUE-021"]
    assert told().startswith("ada@firm.example (SHA256:")
    text = (issued / MANIFEST).read_bytes()
    (issued / MANIFEST).write_bytes(text.replace(b'"files"', b'"files" '))  # as whoever rewrites it whole would do
    assert [d.code for d in verify(issued, allowed=tmp_path / "allowed").faults] == ["ISSUE-020"]
    (issued / MANIFEST).write_bytes(text)
    (issued / SIGNATURE).unlink()
    assert told() == "ISSUE-019"


def test_a_key_that_will_not_do_issues_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    program = written(base(), tmp_path / "program.yaml")
    (tmp_path / "public").write_bytes(public_line(HERS))
    (tmp_path / "private").write_bytes(private_file(HERS))
    asked = ["issue", str(program), "--into", str(tmp_path / "issued"), "--on", "2026-06-01", "--sign-with"]
    for key in ("public", "not there"):
        assert main([*asked, str(tmp_path / key)]) == 2, key
        assert "ISSUE-016" in capsys.readouterr().err, key
    for module in [name for name in sys.modules if name.partition(".")[0] == "cryptography"]:
        monkeypatch.setitem(sys.modules, module, None)
    assert main([*asked, str(tmp_path / "private")]) == 2
    told = capsys.readouterr().err
    assert "ISSUE-017" in told and "pip install cryptography" in told
    assert not (tmp_path / "issued").exists()


def test_signing_and_proving_are_asked_for_one_at_a_time(issued: Path, tmp_path: Path) -> None:
    key, keys = str(tmp_path / "her key"), str(tmp_path / "allowed")
    assert main(["issue", "--verify", str(issued), "--sign-with", key]) == 2
    assert main(["issue", str(tmp_path), "--into", str(issued.parent), "--signed-by", keys]) == 2


def test_one_signature_stands_for_all_revisions_before_it(once: Issued, issued: Path, tmp_path: Path) -> None:
    """The later revision has two papers alone: what is missing of it is not what is asked here."""
    (tmp_path / "his").write_bytes(public_line(HIS))
    signer = signer_at(tmp_path / "her key")
    assert isinstance(signer, Signer)

    def papers(before: Sequence[Predecessor]) -> Iterable[tuple[str, bytes]]:
        after = [{"revision": e.revision, "manifest_sha256": e.manifest_sha256} for e in before]
        sheet = json.loads((once.folder / SHEET).read_bytes()) | {"revision": "2026.2", "after": after}
        return {SHEET: json.dumps(sheet).encode(), MANIFEST: (once.folder / MANIFEST).read_bytes() + b" "}.items()

    def told(allowed: str) -> set[str]:
        chain = verify_all(issued.parent, allowed=tmp_path / allowed)
        assert chain is not None
        assert "Revision 2026.2 holds the digest of revision 2026.1." in chain.proved
        return {d.code for d in chain.faults} & {"ISSUE-019", "ISSUE-020"}

    later = place_revision(issued.parent, "2026.2", {}, papers)
    assert isinstance(later, PlacedRevision)
    assert told("allowed") == {"ISSUE-019"}  # whatever stands for those before it has to be signed itself
    assert add_signature(later.folder, signer) is None
    (issued / SIGNATURE).unlink()
    assert (told("allowed"), told("his")) == (set(), {"ISSUE-020"})
