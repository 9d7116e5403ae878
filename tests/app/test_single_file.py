"""One file after -o: never over what progdoc did not write, whatever it is called; and never two runs at once."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from comparison.trial import AS_OF, base, written

from progdoc.app.disk import single_file, staging
from progdoc.app.disk.output_folder import WriteResult, write_set
from progdoc.app.disk.placement import holding
from progdoc.app.disk.refusals import refusal
from progdoc.app.disk.single_file import write_one
from progdoc.app.manifest import STAGING, ManifestInfo
from progdoc.cli import main

DAY = AS_OF.isoformat()
INFO = ManifestInfo(revision="3", on=AS_OF, version="0.1.0", rules_version="2026.1")
REPORT = b'{\n  "format": "progdoc-gaps/1",\n  "about": "whatever somebody saved under such a name"\n}\n'


@pytest.fixture
def description(tmp_path: Path) -> Path:
    """A program with attachments whose names a terminal cannot show, or that look like reports of ours."""
    values = base()
    names = ["Screen\u202fshot.txt", "appendix\u00a0d.txt", "last year.json"]
    values["attachments"] = [{"id": f"a{i}", "title": f"Text {i}", "file": name} for i, name in enumerate(names)]
    home = written(values, tmp_path / "d" / "program.yaml").parent
    for name in names:
        (home / name).write_bytes(REPORT)
    return home


def _wrote(status: int) -> bool:
    """Whether the report was written: gaps are no hindrance."""
    return status in (0, 1)


@pytest.mark.parametrize("form", ["json", "sarif", "junit"])
def test_a_report_for_programs_is_written_anew_each_day(form: str, description: Path, tmp_path: Path) -> None:
    out = tmp_path / "report"
    for day in (DAY, "2026-07-01"):
        assert _wrote(main(["check", str(description), "--on", day, "--format", form, "-o", str(out)]))
    assert b"2026-07-01" in out.read_bytes()


def test_a_calendar_is_written_anew(description: Path, tmp_path: Path) -> None:
    for day in (DAY, "2026-07-01"):
        arguments = ["due", str(description), "--on", day, "--format", "ics", "-o", str(tmp_path / "due.ics")]
        assert main(arguments) == 0


def test_a_table_that_somebody_filled_in_is_kept(
    description: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "to_confirm.csv"
    arguments = ["unconfirmed", str(description), "--on", DAY, "--format", "csv", "-o", str(out)]
    assert main(arguments) == 0
    assert main(arguments) == 0  # the very same again is no loss
    filled_in = out.read_bytes() + b"idlh-x,confirmed by the hygienist\n"
    out.write_bytes(filled_in)
    assert main(arguments) == 2
    assert "OUT-005" in (told := capsys.readouterr().err) and "--replace" in told
    assert out.read_bytes() == filled_in
    assert main([*arguments, "--replace"]) == 0
    assert out.read_bytes() != filled_in


@pytest.mark.parametrize("name", ["program.yaml", "Screen\u202fshot.txt", "appendix\u00a0d.txt", "last year.json"])
@pytest.mark.parametrize("by", ["name", "link", "hard link"])
def test_nothing_that_was_read_is_written_over_whatever_its_name(
    name: str, by: str, description: Path, tmp_path: Path
) -> None:
    out = description / name
    if by == "link":
        out = tmp_path / "link"
        out.symlink_to(description / name)
    elif by == "hard link":
        out = tmp_path / "hard"
        os.link(description / name, out)
    before = out.read_bytes()
    arguments = ["check", str(description), "--on", DAY, "--format", "json", "--replace", "-o", str(out)]
    assert main(arguments) == 2
    assert out.read_bytes() == before


def test_a_description_whose_name_no_terminal_can_show_is_not_written_over(tmp_path: Path) -> None:
    file = written(base(), tmp_path / "d" / os.fsdecode(b"caf\xe9.yaml"))
    before = file.read_bytes()
    for path in (file, file.parent):
        arguments = ["check", str(path), "--on", DAY, "--format", "json", "--replace", "-o", str(file)]
        assert main(arguments) == 2
    assert file.read_bytes() == before


def test_a_link_that_somebody_planted_leads_to_no_file_of_the_user(tmp_path: Path) -> None:
    victim, out = tmp_path / "victim", tmp_path / "out" / "report.json"
    victim.write_bytes(b"precious")
    out.parent.mkdir()
    planted = [out, out.with_name(".report.json.new"), out.with_name(".report.json.tmp")]
    for link in planted:
        link.symlink_to(victim)
    fault = write_one(out, REPORT)
    assert fault is not None and fault.code == "OUT-005"
    fault = write_one(out, REPORT, replace=True)
    assert fault is not None and fault.code == "OUT-004" and victim.read_bytes() == b"precious"
    victim.unlink()
    assert write_one(out, REPORT, replace=True) is not None and not victim.exists()
    victim.write_bytes(b"precious")
    out.unlink()
    assert write_one(out, REPORT) is None
    assert out.read_bytes() == REPORT and not out.is_symlink()
    assert victim.read_bytes() == b"precious"


def test_a_page_of_a_set_of_documents_is_not_written_over(tmp_path: Path) -> None:
    files = {"gaps.json": REPORT, "restricted/gaps.json": REPORT}
    assert isinstance(write_set(tmp_path / "out", files, INFO), WriteResult)
    for name in (*files, "manifest.json"):
        before = (tmp_path / "out" / name).read_bytes()
        fault = write_one(tmp_path / "out" / name, REPORT + b"\n", replace=True)
        assert fault is not None and fault.code == "OUT-005", name
        assert (tmp_path / "out" / name).read_bytes() == before


def test_a_link_in_place_of_the_waiting_room_is_not_followed(tmp_path: Path) -> None:
    with holding(tmp_path, "report.json") as place:
        waiting = place.staging
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "files").write_bytes(b"precious")
    waiting.symlink_to(tmp_path / "elsewhere")
    fault = write_one(tmp_path / "report.json", REPORT)
    assert fault is not None and fault.code == "OUT-005"
    assert (tmp_path / "elsewhere" / "files").read_bytes() == b"precious"


def test_what_the_user_keeps_under_our_name_is_not_cleared_away(tmp_path: Path) -> None:
    (tmp_path / "out" / STAGING).mkdir(parents=True)
    (tmp_path / "out" / STAGING / "notes.txt").write_bytes(b"mine")
    (fault,) = faults = write_set(tmp_path / "out", {"program.md": b"x"}, INFO)
    assert isinstance(faults, list) and fault.code == "OUT-005" and "notes.txt" in fault.what
    assert (tmp_path / "out" / STAGING / "notes.txt").read_bytes() == b"mine"


# ---- two at once ----------------------------------------------------------------------------------------


def test_of_two_at_once_one_works_and_the_other_says_who_does(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    for target, name in ((folder, ""), (tmp_path / "new", ""), (tmp_path, "report.json")):
        with holding(target, name):
            done = write_set(target, {"a.md": b"x"}, INFO) if not name else [write_one(target / name, REPORT)]
            assert isinstance(done, list) and done[0] is not None
            assert done[0].code == "OUT-009"
            assert f"process {os.getpid()} on " in done[0].what
    assert isinstance(write_set(folder, {"a.md": b"x"}, INFO), WriteResult)
    assert isinstance(write_set(tmp_path / "new", {"a.md": b"x"}, INFO), WriteResult)
    assert write_one(tmp_path / "report.json", REPORT) is None
    assert sorted(path.name for path in tmp_path.iterdir()) == ["new", "out", "report.json"]


def test_a_run_that_has_only_just_got_the_lock_is_told_by_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with holding(tmp_path, "report.json") as place:
        lock = place.staging / "lock"
        signed = lock.read_bytes()
        lock.write_bytes(b"")
        monkeypatch.setattr(staging, "sleep", lambda _moment: lock.write_bytes(signed))
        fault = write_one(tmp_path / "report.json", REPORT)
    assert fault is not None and f"process {os.getpid()} on " in fault.what


def test_two_reports_in_one_folder_do_not_wait_for_each_other(tmp_path: Path) -> None:
    with holding(tmp_path, "one.json"):
        assert write_one(tmp_path / "two.json", REPORT) is None


def test_a_lock_that_nobody_holds_is_told_and_mended(tmp_path: Path) -> None:
    staging = tmp_path / "out" / STAGING
    staging.mkdir(parents=True)
    (staging / "lock").write_text("process 17 on the-old-machine")
    (staging / "files").mkdir()
    (staging / "files" / "half.md").write_bytes(b"half")
    done = write_set(tmp_path / "out", {"a.md": b"x"}, INFO)
    assert isinstance(done, WriteResult)
    assert (done.left_by, done.mended) == ("process 17 on the-old-machine", False)
    assert not staging.exists()


@pytest.mark.parametrize("name", ["x" * 300, "y/" * 2500])
def test_a_name_too_long_for_the_disk_is_told_with_its_cause(
    name: str, description: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    long = str(tmp_path / name)
    for arguments in (
        ["check", str(description), "--on", DAY, "--format", "json", "-o", long],
        ["issue", str(description), "--on", DAY, "--into", long],
        ["issue", "--verify", long],
        ["renew", str(description), "--on", DAY, "--effective", "2027-03-01", "-o", long],
        ["start", long],
    ):
        assert main(arguments) == 2, arguments
        told = capsys.readouterr().err
        assert "File name too long" in told and "a fault of progdoc" not in told, told


def test_a_report_that_another_run_places_in_between_is_known_for_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And a file of the user's that comes to stand there while the place is waited for is not written over."""
    file, asked = tmp_path / "report.json", single_file._in_the_way
    for meanwhile, code in ((REPORT, None), (b"the user's own", "OUT-005")):
        file.unlink(missing_ok=True)
        came = iter([True])

        def looked(*arguments: Any, said: bytes = meanwhile, came: Iterator[bool] = came) -> Any:
            found = asked(*arguments)
            if next(came, False):
                file.write_bytes(said)
            return found

        monkeypatch.setattr(single_file, "_in_the_way", looked)
        fault = write_one(file, REPORT + b"\n")
        assert (fault.code if fault else None) == code
        assert file.read_bytes() == (meanwhile if fault else REPORT + b"\n")


def test_a_limit_of_the_size_of_files_is_told_with_what_to_do(tmp_path: Path) -> None:
    found = refusal(tmp_path, OSError(errno.EFBIG, os.strerror(errno.EFBIG)))
    assert f"{tmp_path}: File too large" in found.what and "larger files" in found.fix
