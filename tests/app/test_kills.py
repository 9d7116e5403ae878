"""Killed, or out of disk, at any change of the disk: the next run finishes or starts over, and nothing is lost.

Every writer is stopped at a few of its operations here, at all of them at night (`PROGDOC_EXAMPLES`).
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from app.disk_faults import PowerCut, filled_at, operations_of, state_of, stopped_at
from app.signing_keys import HERS, private_file
from examples import TIMES, some

from progdoc.app.disk.description_files import load_path
from progdoc.app.disk.interrupted import settled
from progdoc.app.disk.issued_folder import PlacedRevision, place_revision
from progdoc.app.disk.new_folder import Placed, write_new
from progdoc.app.disk.output_folder import WriteResult, verify_set, write_set
from progdoc.app.disk.placement import is_half_placed
from progdoc.app.disk.recorded_description import PutBack, put_back
from progdoc.app.disk.signatures import add_signature
from progdoc.app.disk.single_file import write_one
from progdoc.app.disk.staging import held
from progdoc.app.issue import DESCRIPTION, Predecessor
from progdoc.app.manifest import MANIFEST, SHEET, STAGING, ManifestInfo, sha256, with_manifests
from progdoc.app.ssh_signature import SIGNATURE, signer_of
from progdoc.core.diagnostics import Diagnostic

STRIDE = 1 if TIMES > 1 else 9
INFO = ManifestInfo(revision="3", on=date(2026, 11, 24), version="0.1.0", rules_version="us-federal 2026.1")
BEGUN = {"program.yaml": b"format: 1\n", "people.csv": b"id\n", "texts/letter.pdf": b"%PDF"}
KEPT = {"program.yaml": b"format: 1\n", "people.csv": b"id\n"}
RECORDED = {  # with the form that was read in, in folders that are not there yet
    **{name: data + b"# new\n" for name, data in KEPT.items()},
    "restricted/evidence/training-01234567.docx": b"PK",
    "restricted/evidence/read-in.csv": b"file\n",
}
PAGES = {"program.md": b"program", "restricted/cards/jo-marsh.html": b"card"}
FROZEN = {f"{DESCRIPTION}program.yaml": b"format: 1\n"}
SHEET_TEXT = b'{"format": "progdoc-issue/1", "revision": "3", "title": "", "rules": "us-federal 2026.1",'
SHEET_TEXT += b' "progdoc": "0.1.0", "issued_on": "2026-11-24"}'
SIGNER = signer_of(private_file(HERS))
REPORT = b'{\n  "format": "progdoc-gaps/1"}'


def _files(_before: Sequence[Predecessor]) -> Iterable[tuple[str, bytes]]:
    return with_manifests({**PAGES, **FROZEN, SHEET: SHEET_TEXT}, INFO).items()


def _issue(home: Path) -> PlacedRevision | list[Diagnostic]:
    return place_revision(home / "issued", "3", {name: sha256(data) for name, data in FROZEN.items()}, _files)


def _standing(home: Path) -> None:
    """What the user has beside what is written; the same where it comes to that."""
    (home / "mine.txt").write_bytes(b"mine")
    (home / "started").mkdir()
    (home / "started" / "notes.txt").write_bytes(b"mine too")
    (home / "empty").mkdir()
    (home / "report.json").write_bytes(REPORT)
    (home / "kept").mkdir()
    for name, data in KEPT.items():
        (home / "kept" / name).write_bytes(data)
    (home / ".report.json.new").write_bytes(b"the user's own")
    (home / "earlier" / "revision-2").mkdir(parents=True)
    (home / "earlier" / "revision-2" / MANIFEST).write_bytes(b"{}")


@dataclass(frozen=True)
class Writer:
    """A piece of work, what it says when it is done, and which files it then has made."""

    work: Callable[[Path], Any]
    is_done: Callable[[Any], bool]
    makes: dict[str, bytes]


def _below(folder: str, files: dict[str, bytes]) -> dict[str, bytes]:
    return {f"{folder}/{name}": data for name, data in files.items()}


WRITERS = {
    "issue": Writer(_issue, lambda r: isinstance(r, PlacedRevision), _below("issued/revision-3", dict(_files(())))),
    "build": Writer(
        lambda home: write_set(home / "out", PAGES, INFO),
        lambda r: isinstance(r, WriteResult),
        _below("out", with_manifests(PAGES, INFO)),
    ),
    "renew": Writer(
        lambda home: write_new(home / "next", BEGUN, "RENEW", may_hold_more=False),
        lambda r: isinstance(r, Placed),
        _below("next", BEGUN),
    ),
    "renew-into-empty": Writer(
        lambda home: write_new(home / "empty", BEGUN, "RENEW", may_hold_more=False),
        lambda r: isinstance(r, Placed),
        _below("empty", BEGUN),
    ),
    "start-beside-others": Writer(
        lambda home: write_new(home / "started", BEGUN, "START", may_hold_more=True),
        lambda r: isinstance(r, Placed),
        _below("started", BEGUN),
    ),
    "report": Writer(
        lambda home: write_one(home / "report.json", REPORT + b"\n"),
        lambda r: r is None,
        {"report.json": REPORT + b"\n"},
    ),
    "record": Writer(
        lambda home: put_back(home / "kept", KEPT, RECORDED),
        lambda r: isinstance(r, PutBack),
        _below("kept", RECORDED),
    ),
    "sign": Writer(
        lambda home: add_signature(home / "earlier" / "revision-2", SIGNER),
        lambda r: r is None,
        {f"earlier/revision-2/{SIGNATURE}": SIGNER.sign(b"{}")},
    ),
}


@pytest.fixture(autouse=True)
def _no_waiting_for_the_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "fsync", lambda descriptor: None)


def _homes(folder: Path, work: Callable[[Path], Any]) -> Iterator[tuple[int, Path]]:
    """Yield the operations at which to stop, each with a home of its own."""
    counted = folder / "counted"
    counted.mkdir()
    _standing(counted)
    total = operations_of(lambda: work(counted))
    assert total > 10
    for step in {*range(1, total + 1, STRIDE), total}:
        home = folder / str(step)
        home.mkdir()
        _standing(home)
        yield step, home


def _is_left(home: Path) -> list[str]:
    return sorted(path.relative_to(home).as_posix() for path in home.rglob(f"{STAGING}*"))


def _check_done(writer: Writer, home: Path, theirs: dict[str, bytes]) -> None:
    """The next run does all of it: nothing of the user's is lost, nothing of ours is left."""
    was_all_done = state_of(home) == {**theirs, **writer.makes} and not _is_left(home)
    result = writer.work(home)
    if was_all_done and isinstance(result, list):
        assert [d.code for d in result] == ["START-001"]  # stopped when nothing was left to do, and told so
        return
    assert writer.is_done(result), [(d.code, d.what) for d in result]
    assert state_of(home) == {**theirs, **writer.makes}
    assert _is_left(home) == []


@pytest.mark.parametrize("is_done", [False, True], ids=["before", "after"])
@pytest.mark.parametrize("name", WRITERS)
def test_a_killed_run_is_finished_or_begun_anew_by_the_next(name: str, is_done: bool, tmp_path: Path) -> None:
    writer = WRITERS[name]
    for step, home in _homes(tmp_path, writer.work):
        theirs = state_of(home)
        with pytest.raises(PowerCut), stopped_at(step, is_done):
            writer.work(home)
        assert {key: data for key, data in state_of(home).items() if key in theirs and key not in writer.makes} == {
            key: data for key, data in theirs.items() if key not in writer.makes
        }
        _check_done(writer, home, theirs)


@pytest.mark.parametrize("name", WRITERS)
def test_a_run_on_a_full_disk_says_so_and_the_next_one_does_it(name: str, tmp_path: Path) -> None:
    writer = WRITERS[name]
    for step, home in _homes(tmp_path, writer.work):
        theirs = state_of(home)
        with filled_at(step):
            result = writer.work(home)
        if not writer.is_done(result):
            (fault,) = result if isinstance(result, list) else (result,)
            assert "No space left on device" in fault.what and "Make room" in fault.fix
            assert "part of the new set" in fault.what or {**theirs, **state_of(home)} == theirs
        _check_done(writer, home, theirs)


@pytest.mark.parametrize("name", ["issue", "renew"])
def test_a_new_folder_is_there_whole_or_not_at_all(name: str, tmp_path: Path) -> None:
    writer = WRITERS[name]
    for step, home in _homes(tmp_path, writer.work):
        with pytest.raises(PowerCut), stopped_at(step, is_done=True):
            writer.work(home)
        there = {key: data for key, data in state_of(home).items() if key in writer.makes}
        assert there in ({}, writer.makes)


@pytest.mark.parametrize("name", some(WRITERS, 2))
def test_a_second_kill_while_the_first_is_mended_does_no_harm(name: str, tmp_path: Path) -> None:
    writer = WRITERS[name]
    for step, home in _homes(tmp_path, writer.work):
        theirs = state_of(home)
        for again in (step, 7, 3):
            with stopped_at(again, is_done=True):
                try:
                    writer.work(home)
                except PowerCut:
                    continue
        _check_done(writer, home, theirs)


def test_what_was_left_beside_a_folder_and_in_it_is_cleared_at_once(tmp_path: Path) -> None:
    """The first run was stopped when its folder had just taken its place, the second one at once in the new folder."""
    writer = WRITERS["renew"]
    total = operations_of(lambda: writer.work(tmp_path / "counted"))
    for step in range(total - 5, total + 1):
        home = tmp_path / str(step)
        home.mkdir()
        for again in (step, 2):
            with pytest.raises(PowerCut), stopped_at(again, is_done=True):
                writer.work(home)
        assert writer.is_done(writer.work(home))
        assert _is_left(home) == [], step


def test_an_issue_that_was_killed_keeps_its_number_and_says_what_became_of_it(tmp_path: Path) -> None:
    """Even where the description was mended in between: nobody ever held the revision that was never finished."""
    with pytest.raises(PowerCut), stopped_at(20):
        _issue(tmp_path)
    done = place_revision(tmp_path / "issued", "3", {f"{DESCRIPTION}program.yaml": "another"}, _files)
    assert isinstance(done, PlacedRevision)
    assert done.is_new and f"process {os.getpid()}" in done.left_by
    assert verify_set(done.folder) == []


def test_what_an_older_version_left_half_done_keeps_no_number(tmp_path: Path) -> None:
    old = tmp_path / "issued" / "revision-3" / STAGING / "files"
    old.mkdir(parents=True)
    (old / "program.md").write_bytes(b"half")
    done = _issue(tmp_path)
    assert isinstance(done, PlacedRevision) and done.is_new
    assert state_of(done.folder) == dict(_files(()))


# ---- a description that was half written when its writer was killed -------------------------------------

DAILY = b"format: 1\npeople:\n  - id: ann-gill\n"
TWO = {"people.yaml": DAILY + b"  - id: jo-fell\n    left: 2026-10-30\n"}
MOVED = {"people.yaml": DAILY, "gone.yaml": b"former_people:\n  - id: jo-fell\n    left: 2026-10-30\n"}


def test_whoever_reads_a_description_first_ends_what_was_begun_there(tmp_path: Path) -> None:
    """Somebody moves from one file to another: in no moment are they in both, or in none, for anybody who reads."""
    counted = _two(tmp_path / "counted")
    total = operations_of(lambda: put_back(counted, TWO, MOVED))
    for step in range(1, total + 1):
        home = _two(tmp_path / str(step))
        with pytest.raises(PowerCut), stopped_at(step, is_done=True):
            put_back(home, TWO, MOVED)
        loaded = load_path(home)
        assert loaded.program is not None, [d.what for d in loaded.diagnostics]
        assert [person.id for person in loaded.program.people] == ["ann-gill", "jo-fell"]
        assert {n: data for n, data in state_of(home).items() if not n.startswith(STAGING)} in (TWO, MOVED)
        settled(home)
        assert not _is_left(home)


def _two(home: Path) -> Path:
    home.mkdir()
    (home / "people.yaml").write_bytes(TWO["people.yaml"])
    return home


def test_what_is_half_written_and_cannot_be_ended_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("progdoc.app.disk.interrupted.sleep", lambda seconds: None)
    home = _two(tmp_path / "desc")
    for step in range(1, 60):
        with suppress(PowerCut), stopped_at(step, is_done=True):
            put_back(home, TWO, MOVED)
        if is_half_placed(home):
            break
    assert is_half_placed(home)
    with held(home):  # by another run, which is not at its end yet
        (fault,) = [d for d in load_path(home).diagnostics if d.code == "YAML-003"]
        assert f"process {os.getpid()}" in fault.what and "half written" in fault.what
    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", lambda *more: (_ for _ in ()).throw(OSError(30, "Read-only file system", "x")))
        (fault,) = [d for d in load_path(home).diagnostics if d.code == "YAML-003"]
        assert "Read-only file system" in fault.what
    assert load_path(home).program is not None


def test_a_file_that_is_begun_is_as_closed_as_the_one_it_comes_from(tmp_path: Path) -> None:
    """And it is never written over what somebody else began in the meantime."""
    home = _two(tmp_path / "desc")
    (home / "people.yaml").chmod(0o600)
    (home / "gone.yaml").write_bytes(b"mine")
    refused = put_back(home, TWO, MOVED)
    assert isinstance(refused, list) and [d.code for d in refused] == ["RECORD-007"]
    assert (home / "gone.yaml").read_bytes() == b"mine"
    (home / "gone.yaml").unlink()
    assert isinstance(put_back(home, TWO, MOVED), PutBack)
    assert {path.stat().st_mode & 0o777 for path in home.iterdir()} == {0o600}
