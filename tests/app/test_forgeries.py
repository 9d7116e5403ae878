"""Forgers of an issued revision, from the clumsy to the thorough, and what finds each of them out."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import pytest
from app.disk_faults import state_of
from comparison.trial import base, written

from progdoc.app.disk.issued_folder import Issued, PlacedRevision, issue_sheet, place_revision
from progdoc.app.disk.verified_revision import Proof, verify
from progdoc.app.issue import DESCRIPTION
from progdoc.app.manifest import MANIFEST, RESTRICTED_MANIFEST, SHEET, sha256
from progdoc.cli import main

LATER = "2026.2"


@pytest.fixture(scope="module")
def genuine(tmp_path_factory: pytest.TempPathFactory, base_issued: Issued) -> Path:
    """A folder of revisions: the one that will be forged, and one that was issued after it."""
    home = tmp_path_factory.mktemp("genuine")
    shutil.copytree(base_issued.folder.parent, home / "issued")
    issued = home / "issued" / base_issued.folder.name

    def later(before: object) -> Iterable[tuple[str, bytes]]:
        assert isinstance(before, list)
        after = [{"revision": e.revision, "manifest_sha256": e.manifest_sha256} for e in before]
        sheet = json.loads((issued / SHEET).read_bytes()) | {"revision": LATER, "after": after}
        manifest = json.loads((issued / MANIFEST).read_bytes()) | {"files": {SHEET: ""}}
        return {SHEET: json.dumps(sheet).encode(), MANIFEST: json.dumps(manifest).encode()}.items()

    assert isinstance(place_revision(home / "issued", LATER, {}, later), PlacedRevision)
    return home / "issued"


@pytest.fixture
def revision(genuine: Path, tmp_path: Path) -> Path:
    """A copy to be forged, with the later revision beside it."""
    shutil.copytree(genuine, tmp_path / "issued")
    return tmp_path / "issued" / "revision-2026.1"


def rewrite_manifests(folder: Path) -> None:
    """Do what a forger does who knows of the manifests: list every file with the hash that it has now."""
    for name in (RESTRICTED_MANIFEST, MANIFEST):
        file = folder / name
        if not file.exists():
            continue
        value = json.loads(file.read_bytes())
        there = {n: sha256((folder / n).read_bytes()) for n in value["files"] if (folder / n).is_file()}
        told = json.dumps({**value, "files": there}, ensure_ascii=False, indent=2)
        file.write_text(f"{told}\n", encoding="utf-8")


def put(folder: Path, name: str, key: str, value: object) -> None:
    """Change one value of a paper."""
    paper = json.loads((folder / name).read_bytes())
    (paper if key in paper else paper["program"])[key] = value
    (folder / name).write_text(json.dumps(paper), encoding="utf-8")


def alter_page(folder: Path) -> None:
    (folder / "program.html").write_text("No mask is needed.")


def alter_card(folder: Path) -> None:
    next((folder / "restricted" / "cards").iterdir()).write_text("May do everything.")


def take_page_away(folder: Path) -> None:
    (folder / "gaps.html").unlink()


def add_page(folder: Path) -> None:
    (folder / "permit.html").write_text("Everything is permitted.")
    value = json.loads((folder / MANIFEST).read_bytes())
    value["files"]["permit.html"] = ""
    (folder / MANIFEST).write_text(json.dumps(value))


def alter_description(folder: Path) -> None:
    file = folder / DESCRIPTION / "program.yaml"
    text = file.read_text(encoding="utf-8")
    assert "Ada Brook" in text
    file.write_text(text.replace("Ada Brook", "Bea Brook"), encoding="utf-8")


def tell_another_day(folder: Path) -> None:
    put(folder, SHEET, "issued_on", "2026-05-01")
    for name in (MANIFEST, RESTRICTED_MANIFEST, "gaps.json", "restricted/gaps.json"):
        put(folder, name, "on", "2026-05-01")


def other_number(folder: Path) -> None:
    put(folder, SHEET, "revision", "2026.9")


def other_number_everywhere(folder: Path) -> None:
    for name in (SHEET, MANIFEST, RESTRICTED_MANIFEST, "gaps.json", "restricted/gaps.json"):
        put(folder, name, "revision", "2026.9")


def other_day(folder: Path) -> None:
    put(folder, SHEET, "issued_on", "2026-05-01")


def other_rules(folder: Path) -> None:
    put(folder, "gaps.json", "rules", {"pack": "us-federal", "version": "2030.1"})


def other_title(folder: Path) -> None:
    put(folder, SHEET, "title", "Permit")


def no_sheet(folder: Path) -> None:
    (folder / SHEET).unlink()


def sheet_of_nothing(folder: Path) -> None:
    (folder / SHEET).write_text("{}")


def no_restricted_part(folder: Path) -> None:
    shutil.rmtree(folder / "restricted")


def no_description(folder: Path) -> None:
    shutil.rmtree(folder / DESCRIPTION)


def codes(proof: Proof) -> set[str]:
    return {fault.code for fault in proof.faults}


def test_what_was_issued_is_proved_by_all_that_can_prove_it(genuine: Path) -> None:
    folder = genuine / "revision-2026.1"
    digest = sha256((folder / MANIFEST).read_bytes())
    proof = verify(folder, digest)
    assert proof.faults == []
    assert proof.manifest_sha256 == digest
    assert len(proof.proved) == 4  # files, agreement, chain, digest
    assert [sentence for sentence in proof.not_checked if "--again" not in sentence] == []
    assert any("--sha256" in sentence for sentence in verify(folder).not_checked)


WITHOUT_MANIFESTS = [
    (alter_page, "ISSUE-006"),
    (alter_card, "ISSUE-006"),
    (alter_description, "ISSUE-006"),
    (take_page_away, "ISSUE-007"),
    (no_sheet, "ISSUE-007"),
    (other_day, "ISSUE-006"),
]


@pytest.mark.parametrize(("forge", "code"), WITHOUT_MANIFESTS, ids=lambda v: getattr(v, "__name__", ""))
def test_who_leaves_the_manifests_alone_is_found_by_the_files(
    forge: Callable[[Path], None], code: str, revision: Path
) -> None:
    forge(revision)
    assert codes(verify(revision)) == {code}


CONTRADICTING = [
    (other_number, {"ISSUE-009"}),
    (other_number_everywhere, {"ISSUE-009"}),
    (other_day, {"ISSUE-009"}),
    (other_rules, {"ISSUE-009"}),
    (other_title, {"ISSUE-009"}),
    (no_sheet, {"ISSUE-005"}),
    (sheet_of_nothing, {"ISSUE-009"}),
    (no_restricted_part, {"ISSUE-007"}),
    (no_description, {"ISSUE-007"}),
]


@pytest.mark.parametrize(("forge", "found"), CONTRADICTING, ids=lambda v: getattr(v, "__name__", ""))
def test_who_rewrites_the_manifests_too_is_found_by_what_else_tells_the_same(
    forge: Callable[[Path], None], found: set[str], revision: Path
) -> None:
    shutil.rmtree(revision.parent / f"revision-{LATER}")  # no chain: the papers alone
    forge(revision)
    rewrite_manifests(revision)
    assert codes(verify(revision)) == found


THOROUGH = [alter_page, alter_card, alter_description, take_page_away, add_page, tell_another_day]


@pytest.mark.parametrize("forge", THOROUGH)
def test_who_rewrites_all_that_tells_the_same_is_found_by_chain_and_digest(
    forge: Callable[[Path], None], revision: Path
) -> None:
    written_down = sha256((revision / MANIFEST).read_bytes())
    forge(revision)
    rewrite_manifests(revision)
    assert codes(verify(revision)) == {"ISSUE-011"}
    assert codes(verify(revision, written_down)) == {"ISSUE-010", "ISSUE-011"}
    shutil.rmtree(revision.parent / f"revision-{LATER}")
    alone = verify(revision)
    assert codes(alone) == set()  # the limit that the message names
    assert any("rewritten whole" in sentence for sentence in alone.not_checked)
    assert codes(verify(revision, written_down)) == {"ISSUE-010"}


def test_pages_that_do_not_follow_from_the_description_are_found_by_making_them_again(revision: Path) -> None:
    """Every other page comes out the same to the byte, so only what was forged is named."""
    for forge in (alter_page, take_page_away, add_page):
        forge(revision)
    rewrite_manifests(revision)
    found = [d for d in verify(revision, again=True).faults if d.code == "ISSUE-012"]
    names = {Path(d.location.file).relative_to(revision).as_posix() for d in found}
    assert names == {"program.html", "gaps.html", "permit.html", MANIFEST}


def test_a_link_to_the_same_bytes_is_not_the_file_that_was_issued(revision: Path) -> None:
    page = revision / "program.html"
    page.rename(revision.parent / "elsewhere.html")
    page.symlink_to(revision.parent / "elsewhere.html")
    assert codes(verify(revision)) == {"ISSUE-006"}


def test_a_predecessor_that_was_rewritten_is_found_from_its_successor(revision: Path) -> None:
    alter_page(revision)
    rewrite_manifests(revision)
    later = revision.parent / f"revision-{LATER}"
    (fault,) = [d for d in verify(later).faults if d.code == "ISSUE-011"]
    assert fault.location.file == str(revision / MANIFEST)


def test_the_files_of_predecessors_are_proved_too(revision: Path) -> None:
    later = revision.parent / f"revision-{LATER}"
    assert not [d for d in verify(later).faults if revision in Path(d.location.file).parents]
    alter_page(revision)
    (fault,) = [d for d in verify(later).faults if revision in Path(d.location.file).parents]
    assert (fault.code, fault.location.file) == ("ISSUE-006", str(revision / "program.html"))


def test_a_copy_for_reviewers_says_what_could_not_be_checked(
    revision: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(revision, revision.parent.parent / "handed-on")
    copy = revision.parent.parent / "handed-on"
    no_restricted_part(copy)
    assert main(["issue", "--verify", str(copy), "--sha256", sha256((copy / MANIFEST).read_bytes())]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "restricted/ is not in this copy" in told and "Its digest is the one that you gave" in told
    assert main(["issue", "--verify", str(copy), "--again"]) == 2
    assert "ISSUE-013" in capsys.readouterr().err
    alter_page(copy)
    assert main(["issue", "--verify", str(copy)]) == 1


def test_a_revision_of_another_version_is_not_made_again(revision: Path) -> None:
    for name in (SHEET, MANIFEST, RESTRICTED_MANIFEST):
        put(revision, name, "progdoc", "9.9")
    rewrite_manifests(revision)
    (fault,) = [d for d in verify(revision, again=True).faults if d.code == "ISSUE-013"]
    assert "9.9" in fault.what


@pytest.mark.parametrize("digest", ["", "12", "g" * 64])
def test_a_digest_that_is_none_is_refused(digest: str, revision: Path) -> None:
    with pytest.raises(SystemExit) as left:
        main(["issue", "--verify", str(revision), "--sha256", digest])
    assert left.value.code == 2


def test_a_folder_of_documents_that_nobody_issued_is_no_revision(revision: Path) -> None:
    no_sheet(revision)
    rewrite_manifests(revision)
    assert codes(verify(revision)) == {"ISSUE-005"}


def test_each_revision_holds_the_last_ones_before_it(revision: Path) -> None:
    """None is left out where two stand unheld, as those do that an older version issued."""
    sheet = issue_sheet(revision.parent / f"revision-{LATER}")
    assert sheet is not None and [entry.revision for entry in sheet.after] == ["2026.1"]
    shutil.copytree(revision, revision.parent / "revision-older")
    put(revision.parent / "revision-older", SHEET, "revision", "older")
    held: list[str] = []

    def files(before: object) -> Iterable[tuple[str, bytes]]:
        assert isinstance(before, list)
        held.extend(entry.revision for entry in before)
        return {SHEET: b"{}", MANIFEST: b"{}"}.items()

    done = place_revision(revision.parent, "2026.3", {}, files)
    assert isinstance(done, PlacedRevision)
    assert held == [LATER, "older"]
    assert {d.subject or d.code for d in done.told} == {"ISSUE-006"}  # both are damaged, and that is told


def test_a_page_that_cannot_be_read_is_told_with_its_cause(revision: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opening = os.open

    def locked(path: Path, *how: Any) -> int:
        if Path(path).name == "program.html":
            raise PermissionError(13, "Permission denied", str(path))
        return opening(path, *how)

    monkeypatch.setattr(os, "open", locked)
    (fault,) = verify(revision).faults
    assert (fault.code, fault.what) == ("ISSUE-014", f"{revision / 'program.html'}: Permission denied.")


def test_what_lies_beside_it_and_may_not_be_read_is_no_fault_of_a_revision(
    revision: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (revision.parent / "private").mkdir()
    opening = os.open

    def locked(path: Path, *how: Any) -> int:
        if Path(path).parent.name == "private":
            raise PermissionError(13, "Permission denied", str(path))
        return opening(path, *how)

    monkeypatch.setattr(os, "open", locked)
    assert verify(revision).faults == []


def test_a_revision_is_proved_through_a_link_to_its_folder(revision: Path, tmp_path: Path) -> None:
    (tmp_path / "current").symlink_to(revision)
    alter_page(revision)
    rewrite_manifests(revision)
    assert codes(verify(tmp_path / "current")) == {"ISSUE-011"}


def test_a_folder_that_cannot_be_listed_is_no_empty_one(revision: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    listing = os.scandir

    def locked(path: str) -> object:
        if os.fspath(path).endswith("forms"):
            raise PermissionError(13, "Permission denied", path)
        return listing(path)

    monkeypatch.setattr(os, "scandir", locked)
    (fault,) = verify(revision).faults
    assert fault.code == "ISSUE-014" and "forms: Permission denied" in fault.what


def test_nothing_is_built_over_a_revision_or_written_into_it(
    revision: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = state_of(revision)
    mine = str(written(base(), revision.parent.parent / "mine" / "program.yaml"))
    for arguments, code in (
        (["build", mine, "-o", str(revision), "--only", "md", "--replace"], "OUT-010"),
        (["check", mine, "-o", str(revision / "new.json"), "--format", "json"], "OUT-005"),
    ):
        assert main([*arguments, "--on", "2026-06-01"]) == 2
        assert code in capsys.readouterr().err
    assert state_of(revision) == before


def test_a_copy_without_its_description_is_called_so(revision: Path, capsys: pytest.CaptureFixture[str]) -> None:
    no_restricted_part(revision)
    mine = str(written(base(), revision.parent.parent / "mine" / "program.yaml"))
    for arguments in (
        ["compare", str(revision), mine, "--on", "2026-06-01"],
        ["renew", str(revision), "--effective", "2027-03-01", "-o", f"{mine}.d", "--on", "2026-06-01"],
        ["renew", mine, "--since", str(revision), "--effective", "2027-03-01", "-o", f"{mine}.d", "--on", "2026-06-01"],
    ):
        assert main(arguments) == 2
        assert "ISSUE-015" in capsys.readouterr().err
