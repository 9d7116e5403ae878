"""The command line as a user meets it: exit statuses, files, refusals, and the same bytes every time."""

from __future__ import annotations

import argparse
import errno
import hashlib
import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from examples import TIMES

from progdoc.cli import commands, main

SAMPLES = Path(__file__).resolve().parents[1] / "sample_config"
COMPLETE, DRAFT, SMALL = SAMPLES / "restoration_2026", SAMPLES / "first_draft", SAMPLES / "small_shop"
DAY = "2026-11-24"
COMMANDS = (
    "start",
    "check",
    "build",
    "select",
    "due",
    "compare",
    "issue",
    "renew",
    "record",
    "explain",
    "schema",
)


def _digests(folder: Path) -> dict[str, str]:
    return {
        file.relative_to(folder).as_posix(): hashlib.sha256(file.read_bytes()).hexdigest()
        for file in sorted(folder.rglob("*"))
        if file.is_file()
    }


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The complete sample, built once: at night in every format."""
    out = tmp_path_factory.mktemp("built") / "out"
    formats = [] if TIMES > 1 else ["--only", "html"]
    assert main(["build", str(COMPLETE), "-o", str(out), "--on", DAY, *formats]) == 0
    return out


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small sample, built once: enough where the files matter and not what they say."""
    out = tmp_path_factory.mktemp("small") / "out"
    assert main(["build", str(SMALL), "-o", str(out), "--on", DAY]) == 0
    return out


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_each_command_shows_a_worked_example(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main([command, "--help"])
    assert left.value.code == 0
    assert f"example:\n  progdoc {command}" in capsys.readouterr().out


def test_complete_sample_lacks_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(COMPLETE), "--on", DAY]) == 0
    assert capsys.readouterr().out.splitlines()[-1].startswith("No required gap found")


def test_first_draft_has_gaps_and_names_the_masks_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(DRAFT), "--on", DAY]) == 1
    told = capsys.readouterr().out
    assert told.startswith("Danger: nobody may start")
    assert told.count("\n    settles ") == 10
    assert len(told.splitlines()) < 200
    assert told.split("\n\n")[-1].startswith("Not ready: ")
    assert main(["check", str(DRAFT), "--on", DAY, "--all"]) == 1
    assert capsys.readouterr().out.startswith("Not ready: nobody may start")


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", "no-such-folder"],
        ["check", str(COMPLETE), "--on", "24.11.2026"],
        ["chek", str(COMPLETE)],
        ["build", str(COMPLETE)],
        ["build", str(COMPLETE), "-o", "x", "--only", "odt"],
        ["explain", "ZZZ-999"],
    ],
)
def test_unusable_input_ends_with_2(arguments: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    try:
        status = main(arguments)
    except SystemExit as left:
        status = int(str(left.code))
    assert status == 2
    assert list(tmp_path.iterdir()) == []


def test_a_mistyped_command_is_guessed(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "argv", ["progdoc", "chek"])
    with pytest.raises(SystemExit):
        main(["chek"])
    assert "Did you mean `progdoc check`?" in capsys.readouterr().err


def test_build_writes_what_the_readme_promises(small: Path) -> None:
    names = set(_digests(small))
    promised = {"program.md", "program.html", "program.docx", "gaps.html", "gaps.md", "gaps.json", "matrix.csv"}
    assert promised | {"manifest.json", "restricted/gaps.html"} <= names
    assert any(name.startswith("tasks/") for name in names)
    listed = json.loads((small / "manifest.json").read_text(encoding="utf-8"))
    assert listed["on"] == DAY


def test_two_processes_with_different_hash_seeds_write_the_same_bytes(tmp_path: Path, small: Path) -> None:
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    subprocess.run(
        [sys.executable, "-m", "progdoc", "build", SMALL, "-o", tmp_path / "there", "--on", DAY],
        env={**os.environ, "PYTHONHASHSEED": seed},
        check=True,
        capture_output=True,
    )
    assert _digests(tmp_path / "there") == _digests(small)


def test_no_worker_is_named_outside_the_restricted_folder(built: Path) -> None:
    people = yaml.safe_load((COMPLETE / "people.yaml").read_text(encoding="utf-8"))["people"]
    texts = "".join(
        yaml.safe_dump(yaml.safe_load(file.read_text(encoding="utf-8")))
        for file in COMPLETE.glob("*.yaml")
        if file.name != "people.yaml"
    )
    workers = [p for p in people if p["name"] not in texts]  # role holders stand in the program by name
    assert len(workers) >= 4
    for file in built.rglob("*"):
        if not file.is_file() or "restricted" in file.parts:
            continue
        content = file.read_bytes()
        for person in workers:
            assert person["name"].encode() not in content, f"{person['name']} in {file.name}"
            assert person["id"].encode() not in content, f"{person['id']} in {file.name}"


def test_faulty_description_leaves_the_old_set_alone(tmp_path: Path, small: Path) -> None:
    out = shutil.copytree(small, tmp_path / "out")
    before = _digests(out)
    broken = tmp_path / "broken.yaml"
    broken.write_text("format: 1\nprogram: {titel: X}\n", encoding="utf-8")
    assert main(["build", str(broken), "-o", str(out), "--on", DAY]) == 2
    assert _digests(out) == before


def test_hand_edited_document_is_not_overwritten(
    tmp_path: Path, small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = shutil.copytree(small, tmp_path / "out")
    (out / "program.docx").write_bytes(b"edited by the officer")
    assert main(["build", str(SMALL), "-o", str(out), "--on", DAY]) == 2
    assert (out / "program.docx").read_bytes() == b"edited by the officer"
    assert "own_sections" in capsys.readouterr().err
    assert main(["build", str(SMALL), "-o", str(out), "--on", DAY, "--replace"]) == 0
    assert _digests(out) == _digests(small)


def test_final_refuses_a_draft(tmp_path: Path) -> None:
    assert main(["build", str(DRAFT), "-o", str(tmp_path / "out"), "--on", DAY, "--final"]) == 1
    assert not (tmp_path / "out").exists()
    assert main(["build", str(DRAFT), "-o", str(tmp_path / "out"), "--on", DAY, "--only", "html"]) == 1
    assert "DRAFT" in (tmp_path / "out/program.html").read_text(encoding="utf-8")


def test_complete_program_is_no_draft(built: Path) -> None:
    assert "DRAFT" not in (built / "program.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("form", ["text", "json", "sarif", "junit", "html", "md"])
def test_check_writes_each_format_to_a_file(form: str, tmp_path: Path) -> None:
    file = tmp_path / "gaps"
    assert main(["check", str(DRAFT), "--on", DAY, "--format", form, "-o", str(file)]) == 1
    assert file.stat().st_size > 1000
    assert list(tmp_path.iterdir()) == [file]


def test_nothing_is_coloured_away_from_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(DRAFT), "--on", DAY])
    assert "\x1b" not in capsys.readouterr().out


def test_started_description_is_understood_and_its_gaps_say_what_to_type(tmp_path: Path) -> None:
    assert main(["start", str(tmp_path / "mine")]) == 0
    before = _digests(tmp_path / "mine")
    assert main(["start", str(tmp_path / "mine")]) == 2
    assert _digests(tmp_path / "mine") == before
    out = tmp_path / "gaps.json"
    assert main(["check", str(tmp_path / "mine"), "--on", DAY, "--format", "json", "-o", str(out)]) == 1
    findings = json.loads(out.read_text(encoding="utf-8"))["findings"]
    assert findings
    assert all(finding["fix"] for finding in findings)


# ---- days and names that can't be meant -----------------------------------------------------------------


@pytest.mark.parametrize("command", ["check", "select", "due"])
@pytest.mark.parametrize("day", ["0001-01-01", "1998-04-07", "2019-09-25", "2101-01-01", "9999-12-31"])
def test_a_day_without_all_its_rules_is_refused(command: str, day: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Before a rule is in force nothing lacks by it: such a day would pass whatever is described."""
    with pytest.raises(SystemExit) as left:
        main([command, str(DRAFT), "--on", day])
    assert left.value.code == 2
    assert day in capsys.readouterr().err


def test_the_first_day_has_all_federal_rules() -> None:
    from progdoc.core.judged_days import FIRST_DAY
    from progdoc.rules.reading.catalogue import built_in_catalogue

    assert max(r.in_force_from for r in built_in_catalogue().requirements).isoformat() == FIRST_DAY


@pytest.mark.parametrize("arguments", [["build", str(DRAFT), "-o", ""], ["check", ""], ["check", str(DRAFT), "-o", ""]])
def test_an_empty_name_is_not_the_folder_one_stands_in(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert left.value.code == 2
    assert "the name is empty" in capsys.readouterr().err


# ---- where the output goes ------------------------------------------------------------------------------


def test_a_report_is_never_written_over_the_description(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.copytree(DRAFT, tmp_path / "d")
    file = tmp_path / "d" / "description.yaml"
    (tmp_path / "link.yaml").symlink_to(file)
    before = file.read_bytes()
    for path, out in ((file, file), (file.parent, file), (file.parent, tmp_path / "link.yaml")):
        assert main(["check", str(path), "--on", DAY, "--format", "json", "-o", str(out)]) == 2
        assert "OUT-005" in capsys.readouterr().err
        assert main(["due", str(path), "--on", DAY, "--format", "csv", "-o", str(out)]) == 2
    assert file.read_bytes() == before


def test_a_device_and_a_link_stay_what_they_are(tmp_path: Path) -> None:
    pipe, link = tmp_path / "pipe", tmp_path / "link"
    link.symlink_to(tmp_path / "report.json")
    assert main(["check", str(COMPLETE), "--on", DAY, "--format", "json", "-o", str(link)]) == 0
    assert link.is_symlink() and (tmp_path / "report.json").read_bytes().startswith(b"{")
    os.mkfifo(pipe)
    with (tmp_path / "copy").open("wb") as copy, subprocess.Popen(["cat", str(pipe)], stdout=copy):
        assert main(["check", str(COMPLETE), "--on", DAY, "--format", "json", "-o", str(pipe)]) == 0
    assert (tmp_path / "copy").read_bytes().startswith(b"{")
    assert pipe.is_fifo()


def test_an_interrupt_claims_no_more_than_is_true(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(_options: argparse.Namespace) -> int:
        raise KeyboardInterrupt

    monkeypatch.setitem(commands.COMMANDS, "schema", stopped)
    assert main(["schema"]) == 2
    told = capsys.readouterr().err
    assert "Run the same command again" in told and "nothing" not in told


def test_what_the_disk_refuses_is_told_with_path_and_cause(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refused(_options: argparse.Namespace) -> int:
        raise PermissionError(errno.EACCES, "Permission denied", "locked/people.csv")

    monkeypatch.setitem(commands.COMMANDS, "schema", refused)
    assert main(["schema"]) == 2
    assert capsys.readouterr().err == "progdoc: locked/people.csv: Permission denied.\n"


def test_full_output_is_no_fault_of_progdoc() -> None:
    with Path("/dev/full").open("wb") as full:
        command = [sys.executable, "-m", "progdoc", "check", str(SMALL), "--on", DAY]
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 2 and b"could not be written" in done.stderr


@pytest.mark.parametrize(("command", "characters"), [("check", "ascii"), ("select", "ascii")])
def test_a_terminal_with_few_characters_still_gets_the_report(
    command: str, characters: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A terminal that can't show every character is a stream that refuses the others, as Python opens it."""

    def shown(encoding: str) -> bytes:
        stream = io.BytesIO()
        monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(stream, encoding=encoding, errors="strict"))
        assert main([command, str(DRAFT), "--on", DAY]) == 1
        return stream.getvalue()

    whole = shown("utf-8").decode("utf-8")
    assert shown(characters) == whole.encode(characters, "replace") != whole.encode("utf-8")


def test_who_reads_only_the_first_lines_gets_all_files_of_a_comparison(tmp_path: Path) -> None:
    """`progdoc compare … | head`: the pipe is shut before anything is printed."""
    reads, writes = os.pipe()
    os.close(reads)
    old, out = shutil.copytree(SMALL, tmp_path / "old"), tmp_path / "changes"
    text = (old / "program.yaml").read_text(encoding="utf-8")
    (old / "program.yaml").write_text(text.replace("duration: 3 h", "duration: 7 h"), encoding="utf-8")
    arguments = ["compare", str(old), str(SMALL), "--on", DAY, "-o", str(out)]
    subprocess.run([sys.executable, "-m", "progdoc", *arguments], stdout=writes, stderr=subprocess.DEVNULL, check=False)
    os.close(writes)
    assert (out / "redline.docx").exists() and (out / "manifest.json").exists()
