"""`record` on the command line: what is shown, when it is written, and with which exit status."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import pytest
from app.test_record import FIT_DAY, IN_YAML

from progdoc.app.manifest import SHEET, ManifestInfo, with_manifests
from progdoc.cli import arguments, main, recording

ON = ["--on", "2026-11-24"]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(arguments, "_clock", lambda: date(2026, 11, 24))
    for name, data in IN_YAML.items():
        (tmp_path / name).write_bytes(data)
    return tmp_path


def test_shown_first_and_written_only_when_agreed_to(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    event = ["record", str(folder), "training", "--who", "all", "--topics", "all", *ON]
    assert main(event) == 1  # gaps remain, as of any check
    told = capsys.readouterr().out
    assert "people.yaml\n" in told and " + " in told and "Add --yes to enter it." in told
    assert (folder / "people.yaml").read_bytes() == IN_YAML["people.yaml"]
    monkeypatch.setattr(recording, "_answer", lambda: "no")
    assert main(event) == 1
    assert (folder / "people.yaml").read_bytes() == IN_YAML["people.yaml"]
    monkeypatch.setattr(recording, "_answer", lambda: "yes")
    assert main(event) == 1
    assert (folder / "people.yaml").read_bytes().count(b"date: 2026-11-24") == 3
    capsys.readouterr()
    assert main([*event, "--yes"]) == 1
    assert "all of it stands there already" in capsys.readouterr().out


def test_everybody_at_a_site_is_who_does_tasks_there(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    program = folder / "program.yaml"
    sites = "organisation: {name: Tarn Tank Joiners, sites: [{id: quay, name: Quay}, {id: mere, name: Mere}]}"
    text = program.read_text("utf-8").replace("organisation: {name: Tarn Tank Joiners}", sites)
    program.write_text(text.replace("- id: line-tanks\n", "- id: line-tanks\n    sites: [quay]\n"), "utf-8")
    event = ["record", str(folder), "training", "--topics", "all", "--yes", *ON]
    for who, site, said in (
        ("all", "mere", "No task that is done at `mere`"),
        ("all", "quai", "Did you mean `quay`?"),
        ("ed-rigg", "quay", "Write `--who all`"),
    ):
        assert main([*event, "--who", who, "--site", site]) == 2
        assert said in " ".join(capsys.readouterr().err.split())
    assert main([*event, "--who", "all", "--site", "quay"]) == 1
    told = capsys.readouterr().out
    assert "Jo Fell" in told and "Ann Gill" in told and "Ed Rigg: training" not in told
    assert (folder / "people.yaml").read_bytes().count(b"date: 2026-11-24") == 2


def test_a_table_of_tests_and_its_refusals(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = folder / "day.csv"
    table.write_bytes(FIT_DAY.replace(b",S,", b",XL,"))
    command = ["record", str(folder), "fit-test", "--from", str(table), "--yes", *ON]
    assert main(command) == 2
    assert "line 3 of day.csv" in capsys.readouterr().err
    table.write_bytes(FIT_DAY)
    assert main(command) == 1
    assert b"result: fail" in (folder / "people.yaml").read_bytes()
    assert main(["record", str(folder), "fit-test", "--from", str(folder / "none.csv"), *ON]) == 2
    assert "RECORD-006" in capsys.readouterr().err


def test_a_day_after_today_s_or_the_judged_one_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    leaving = ["record", str(folder), "leaving", "--who", "ed-rigg", "--yes"]
    assert main([*leaving, "--on", "2026-11-25"]) == 2
    assert main([*leaving, "--day", "2026-11-24", "--on", "2026-11-20"]) == 2
    assert capsys.readouterr().err.count("RECORD-002") == 2
    assert main([*leaving, "--day", "2026-11-20", *ON]) == 1
    assert b"left: 2026-11-20" in (folder / "people.yaml").read_bytes()


def test_an_option_of_another_kind_leads_to_the_help_of_this_one(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main(["record", str(folder), "fit-test", "--recommendation", "cleared"])
    assert "progdoc record PATH fit-test --help" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["record", str(folder), "trainig"])
    assert "Did you mean `progdoc record training`?" in capsys.readouterr().err


def test_what_was_issued_is_not_written_over(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    issued = folder / "issued"
    copy = issued / "restricted" / "description"
    copy.mkdir(parents=True)
    for name, data in IN_YAML.items():
        (copy / name).write_bytes(data)
    listed = {**{f"restricted/description/{name}": data for name, data in IN_YAML.items()}, SHEET: b"{}"}
    made = ManifestInfo(revision="1", on=date(2026, 11, 24), version="0.1.0", rules_version="us-federal 2026.1")
    for name, data in with_manifests(listed, made).items():
        (issued / name).parent.mkdir(parents=True, exist_ok=True)
        (issued / name).write_bytes(data)
    assert main(["record", str(copy), "leaving", "--who", "ed-rigg", "--yes", *ON]) == 2
    assert "OUT-010" in capsys.readouterr().err
    assert (copy / "people.yaml").read_bytes() == IN_YAML["people.yaml"]


def test_what_is_no_table_and_what_is_no_answer_is_told_with_its_cause(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A pipe is not waited for; nothing is written."""
    os.mkfifo(folder / "pipe.csv")
    (folder / "loop.csv").symlink_to("loop.csv")
    (folder / "zip.csv").write_bytes(b"PK\x03\x04\xff")
    (folder / "wide.csv").write_bytes(b"x" * 5_000_001)
    causes = {
        "pipe.csv": "a pipe", ".": "a folder", "nope.csv": "no such file", "loop.csv": "too many levels",
        "zip.csv": "no workbook", "wide.csv": "5,000,000 bytes",
    }  # fmt: skip
    for name, cause in causes.items():
        assert main(["record", str(folder), "fit-test", "--from", str(folder / name), "--yes", *ON]) == 2
        told = capsys.readouterr().err
        assert name.strip(".") in told and cause in told, told
    left = ["record", str(folder), "leaving", "--who", "jo-fell", "--yes", *ON, "--archive"]
    assert main([*left, "perhaps"]) == 2
    assert "yes` or `no" in capsys.readouterr().err
    assert (folder / "people.yaml").read_bytes() == IN_YAML["people.yaml"]


def test_the_template_is_the_blank_workbook(folder: Path, tmp_path: Path) -> None:
    assert main(["record", str(folder), "--template", str(tmp_path / "fill-in.xlsx"), *ON]) == 0
    assert main(["sheets", str(folder), "--blank", "-o", str(tmp_path / "blank.xlsx"), *ON]) == 0
    assert (tmp_path / "fill-in.xlsx").read_bytes() == (tmp_path / "blank.xlsx").read_bytes()
    assert (tmp_path / "fill-in.xlsx").stat().st_mode & 0o077 == 0
