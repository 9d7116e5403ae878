"""What names workers is closed to others, nothing is opened wider, and what is no ordinary file makes nobody wait."""

from __future__ import annotations

import os
import shutil
import stat
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

import progdoc
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.output_folder import WriteResult, write_set
from progdoc.app.disk.single_file import write_one
from progdoc.app.issue import findings_in
from progdoc.app.manifest import ManifestInfo
from progdoc.cli import main

SHOP = Path("sample_config/small_shop/program.yaml")
DAY = "2026-06-01"
INFO = ManifestInfo(revision="3", on=date(2026, 6, 1), version="0.1.0", rules_version="us-federal 2026.1")
PAGES = {"program.md": b"program", "restricted/cards/jo.html": b"card", "restricted/people.md": b"people"}
REPORT = b'{\n  "format": "progdoc-gaps/1"}'


def _mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.fixture(params=[0o000, 0o022, 0o077], ids=oct)
def mask(request: pytest.FixtureRequest) -> Iterator[int]:
    before = os.umask(request.param)
    yield request.param
    os.umask(before)


def test_what_names_workers_is_for_its_owner_whatever_the_mask(mask: int, tmp_path: Path) -> None:
    assert isinstance(write_set(tmp_path / "out", PAGES, INFO), WriteResult)
    for path in (tmp_path / "out" / "restricted").rglob("*"):
        assert _mode(path) & 0o077 == 0, path
    assert _mode(tmp_path / "out" / "program.md") == 0o666 & ~mask
    assert write_one(tmp_path / "names.json", REPORT, owner_only=True) is None
    assert _mode(tmp_path / "names.json") == 0o600


@pytest.mark.parametrize(
    "arguments",
    [["check", str(SHOP), "--names", "--format", "json"], ["check", str(SHOP), "--names"], ["due", str(SHOP)]],
    ids=" ".join,
)
def test_each_command_that_writes_names_closes_the_file(arguments: list[str], tmp_path: Path) -> None:
    out = tmp_path / "names"
    main([*arguments, "--on", DAY, "-o", str(out)])
    assert _mode(out) == 0o600


def test_a_renewed_description_is_for_its_owner(tmp_path: Path) -> None:
    assert main(["renew", str(SHOP), "--effective", "2026-07-01", "--on", DAY, "-o", str(tmp_path / "next")]) == 0
    files = [path for path in (tmp_path / "next").rglob("*") if path.is_file()]
    assert files and {_mode(path) for path in files} == {0o600}


def test_a_file_that_was_closed_is_not_opened_by_what_replaces_it(tmp_path: Path) -> None:
    assert isinstance(write_set(tmp_path / "out", PAGES, INFO), WriteResult)
    (tmp_path / "out" / "program.md").chmod(0o600)
    assert isinstance(write_set(tmp_path / "out", {**PAGES, "program.md": b"anew"}, INFO), WriteResult)
    assert (tmp_path / "out" / "program.md").read_bytes() == b"anew"
    assert _mode(tmp_path / "out" / "program.md") == 0o600
    report = tmp_path / "report.json"
    report.write_bytes(REPORT)
    report.chmod(0o640)
    assert write_one(report, REPORT + b"\n") is None
    assert _mode(report) & 0o027 == 0


def test_what_somebody_opened_is_closed_again_even_where_nothing_else_changes(tmp_path: Path) -> None:
    assert isinstance(write_set(tmp_path / "out", PAGES, INFO), WriteResult)
    restricted = tmp_path / "out" / "restricted"
    for path in (restricted, restricted / "cards", restricted / "people.md"):
        path.chmod(0o777 if path.is_dir() else 0o644)
    done = write_set(tmp_path / "out", PAGES, INFO)
    assert isinstance(done, WriteResult) and done.written == ()
    assert {_mode(path) & 0o077 for path in (restricted, *restricted.rglob("*"))} == {0}


@pytest.mark.parametrize("name", ["pack.yaml", "rules.yaml"])
def test_a_pack_of_rules_is_not_written_over(name: str, tmp_path: Path) -> None:
    pack = tmp_path / "valley"
    shutil.copytree("tests/packs/valley", pack)
    before = (pack / name).read_bytes()
    arguments = ["check", str(SHOP), "--on", DAY, "--rules", str(pack), "--format", "json", "--replace"]
    assert main([*arguments, "-o", str(pack / name)]) == 2
    assert (pack / name).read_bytes() == before


# ---- pipes in place of files --------------------------------------------------------------------------


@pytest.fixture(scope="module")
def revision(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("issued")
    assert main(["issue", str(SHOP), "--into", str(home / "all"), "--on", DAY]) == 0
    return home / "all"


PIPES = ["program.md", "manifest.json", "issue.json", "restricted/gaps.json"]
NESTS = ["issue.json", "restricted/gaps.json"]


@pytest.mark.parametrize(
    ("name", "by"), [*((name, "a pipe") for name in PIPES), *((name, "a deep nest") for name in NESTS)]
)
def test_whatever_stands_in_place_of_an_issued_file_is_told(
    name: str, by: str, revision: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    into = tmp_path / "all"
    shutil.copytree(revision, into)
    file = into / "revision-1" / name
    file.unlink()
    if by == "a pipe":
        os.mkfifo(file)
    else:
        file.write_bytes(b"[" * 100_000)
    assert main(["issue", "--verify", str(file.parents[name.count("/")])]) in (1, 2)
    told = capsys.readouterr().err
    assert name in told and "fault of progdoc" not in told
    if name not in ("issue.json", "restricted/gaps.json"):
        return
    main(["compare", str(into / "revision-1"), str(SHOP), "--on", DAY])
    assert "fault of progdoc" not in capsys.readouterr().err


def test_a_deep_nest_is_no_report() -> None:
    assert findings_in(b"[" * 100_000) is None
    assert findings_in(b'{"findings": ' + b"[" * 100_000) is None


@pytest.mark.parametrize("name", ["lock", "journal.json", "files"])
def test_a_pipe_in_the_waiting_room_makes_nobody_wait(name: str, tmp_path: Path) -> None:
    (tmp_path / "out" / ".progdoc-new").mkdir(parents=True)
    os.mkfifo(tmp_path / "out" / ".progdoc-new" / name)
    done = write_set(tmp_path / "out", PAGES, INFO)
    assert isinstance(done, WriteResult) or [fault.code for fault in done] == ["OUT-008"]


# ---- attachments --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("program.yaml", "is part of the description"),
        ("PROGRAM.YAML", "is part of the description"),
        ("copy.yml.txt", "is part of the description"),
        ("restricted/s.txt", "lies in a restricted folder"),
        ("old/Restricted/s.txt", "lies in a restricted folder"),
        ("plain.txt", "lies in a restricted folder"),
    ],
)
def test_what_names_workers_is_no_attachment(name: str, why: str, tmp_path: Path) -> None:
    text = SHOP.read_text(encoding="utf-8").replace(
        "\npeople:", f"\nattachments: [{{id: a, file: {name}, title: A}}]\npeople:"
    )
    (tmp_path / "program.yaml").write_text(text, encoding="utf-8")
    for folder in ("restricted", "old/Restricted"):
        (tmp_path / folder).mkdir(parents=True)
        (tmp_path / folder / "s.txt").write_bytes(b"Jo")
    os.link(tmp_path / "program.yaml", tmp_path / "copy.yml.txt")
    (tmp_path / "plain.txt").symlink_to("restricted/s.txt")
    checked = check_path(tmp_path, date(2026, 6, 1))
    (fault,) = [fault for fault in checked.report.findings if fault.severity == "invalid"]
    assert fault.code == "ATT-001" and why in fault.what


def test_in_memory_too_what_is_described_is_no_attachment() -> None:
    text = SHOP.read_text(encoding="utf-8").replace(
        "\npeople:", "\nattachments: [{id: a, file: shop.yaml, title: A}]\npeople:"
    )
    checked = progdoc.check(progdoc.load({"shop.yaml": text.encode()}, "shop"), on=date(2026, 6, 1))
    assert [f.what for f in checked.report.findings if f.severity == "invalid"] == [
        "`shop.yaml` is part of the description, which names the workers."
    ]
