"""Many descriptions in one command: each as if it stood alone, whatever befalls the others."""

from __future__ import annotations

import gc
import json
import shutil
from concurrent.futures import Executor, Future
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any, ClassVar

import pytest

from progdoc.cli import main, many
from progdoc.cli.many import Ended, summary

SHOP = Path(__file__).resolve().parents[2] / "sample_config" / "small_shop"
DAY = "2026-06-01"


@pytest.fixture(autouse=True, scope="module")
def rubbish_of_others_is_theirs() -> None:
    """A process looks for rubbish after each description: what the tests before these keep is none of its own."""
    gc.freeze()


@pytest.fixture
def firms(tmp_path: Path) -> list[str]:
    """Two firms in order, one whose description can't be understood, and one that is not there."""
    for name in ("alder", "birch"):
        shutil.copytree(SHOP, tmp_path / "firms" / name)
    (tmp_path / "firms" / "cedar.yaml").write_text("format: 1\ntasks: [x\n", encoding="utf-8")
    return [str(tmp_path / "firms" / name) for name in ("cedar.yaml", "birch", "gone", "alder")]


def _tree(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_each_is_built_as_if_it_stood_alone(
    firms: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    options = ["--on", DAY, "--only", "md"]
    firms.remove(str(tmp_path / "firms" / "birch"))
    assert main(["build", *firms, "-o", str(tmp_path / "all"), *options, "--jobs", "1"]) == 2
    told = capsys.readouterr()
    assert main(["build", firms[2], "-o", str(tmp_path / "alone"), *options]) == 0
    assert _tree(tmp_path / "all" / "alder") == _tree(tmp_path / "alone")
    assert [path.name for path in (tmp_path / "all").iterdir()] == ["alder"]
    rows = [line for line in told.out.splitlines() if str(tmp_path) in line]
    assert [row.split()[:2] for row in rows] == [
        [path, word] for path, word in zip(firms, ("refused", "refused", "done"), strict=True)
    ]
    assert told.out.endswith("3 descriptions: 1 done, 2 refused.\n")
    assert "YAML-024" in told.err and "YAML-001" in told.err


def test_processes_side_by_side_tell_the_same_as_one(
    firms: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = []
    for jobs in ("1", "2"):
        into = tmp_path / jobs
        status = main(["check", *firms[:3], "--on", DAY, "--format", "sarif", "-o", str(into), "--jobs", jobs])
        told.append((status, capsys.readouterr(), _tree(into)))
    assert told[0] == told[1]
    assert list(told[0][2]) == ["birch.sarif", "cedar.sarif", "gone.sarif"]
    assert json.loads(told[0][2]["birch.sarif"])["version"] == "2.1.0"


def test_what_falls_due_is_listed_firm_by_firm(firms: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["due", firms[1], firms[3], "--on", DAY, "--jobs", "1"]) == 0
    out = capsys.readouterr().out
    assert main(["due", firms[3], "--on", DAY]) == 0
    alone = capsys.readouterr().out
    assert out.startswith(f"{firms[1]}\n\n{alone}\n{firms[3]}\n\n{alone}")


def test_each_is_issued_among_revisions_of_its_own(
    firms: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    into: list[Path] = []
    monkeypatch.setitem(many.COMMANDS, "issue", lambda options: into.append(options.into) or 0)
    assert main(["issue", firms[1], firms[3], "--into", str(tmp_path / "issued"), "--on", DAY, "--jobs", "1"]) == 0
    assert into == [tmp_path / "issued" / "birch", tmp_path / "issued" / "alder"]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["check", "a/program.yaml", "b/program.yaml", "--format", "json", "-o", "x"], "under one name"),
        (["build", "a", "other/A", "-o", "x"], "under one name"),
        (["check", "a", "b", "--format", "sarif"], "a folder after -o"),
        (["issue", "a", "b"], "--into FOLDER"),
        (["due", "a", "b", "-o", "taken"], "is a file"),
    ],
)
def test_what_can_not_be_done_to_many_is_told_before_anything_is_done(
    typed: list[str], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "taken").write_bytes(b"")
    assert main(typed) == 2
    assert told in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["taken"]


def test_what_nobody_foresaw_in_one_leaves_the_others_alone(
    firms: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    check = many.COMMANDS["check"]

    def faulty(options: Any) -> int:
        if options.path.name == "birch":
            raise ZeroDivisionError("a fault of ours")
        return check(options)

    monkeypatch.setitem(many.COMMANDS, "check", faulty)
    assert main(["check", firms[1], firms[3], "--on", DAY, "--jobs", "1"]) == 3
    told = capsys.readouterr()
    assert told.out.endswith("2 descriptions: 1 done, 1 fault.\n")
    assert "a fault of progdoc itself: ZeroDivisionError" in told.err


class _Killed(Executor):
    """A pool whose process is killed at its first descriptions, or at every one."""

    left = 0

    def submit(self, work: Any, /, *arguments: Any, **_named: Any) -> Future[Any]:
        future: Future[Any] = Future()
        if _Killed.left > 0:
            _Killed.left -= 1
            future.set_exception(BrokenProcessPool())
        else:
            future.set_result(work(*arguments))
        return future


@pytest.mark.parametrize(("kills", "status"), [(2, 0), (3, 3)], ids=["once", "always"])
def test_a_killed_process_costs_no_other_firm_its_result(
    kills: int, status: int, firms: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(many, "_pool", lambda jobs: _Killed())
    monkeypatch.setattr(_Killed, "left", kills)
    assert main(["check", firms[1], firms[3], "--on", DAY, "--jobs", "2"]) == status
    assert ("ended from outside" in capsys.readouterr().out) is bool(status)


class _Small(Executor):
    """A pool that ends of itself after a number of descriptions, as its processes are to be replaced."""

    made: ClassVar[list[int]] = []

    def __init__(self, most: int) -> None:
        self.left = most
        _Small.made.append(most)

    def submit(self, work: Any, /, *arguments: Any, **_named: Any) -> Future[Any]:
        assert self.left > 0, "one process works on too many descriptions"
        self.left -= 1
        future: Future[Any] = Future()
        future.set_result(work(*arguments))
        return future


@pytest.mark.parametrize("count", [48, 49, 100])
def test_any_number_of_firms_comes_to_an_end(
    count: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """More than the processes of one pool may work on: a second pool does the rest, and none waits for another.

    Nothing is done to any, and no rubbish looked for: the process of the tests holds far more than one of the pool.
    """
    monkeypatch.setattr(many, "_pool", lambda jobs: _Small(jobs * many._AT_MOST))
    monkeypatch.setattr(_Small, "made", [])
    monkeypatch.setitem(many.COMMANDS, "check", lambda options: 0)
    monkeypatch.setattr(many, "_ended_here", many.ended)
    names = [f"firm-{i}" for i in range(count)]
    assert main(["check", *names, "--on", DAY, "--jobs", "2"]) == 0
    assert capsys.readouterr().out.endswith(f"{count} descriptions: {count} done.\n")
    assert _Small.made == [48] * -(-count // 48)


def test_the_readme_shows_what_is_printed(
    firms: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["check", "firms/alder", "firms/cedar.yaml", "--on", DAY, "--jobs", "1"]) == 2
    printed = "".join(f"    {line}\n" if line else "\n" for line in capsys.readouterr().out.splitlines())
    assert printed in (SHOP.parents[1] / "README.md").read_text(encoding="utf-8")


def test_the_summary_counts_what_it_lists() -> None:
    found = [Ended(0, "No gap."), Ended(1, "Three gaps."), Ended(1, "A gap."), Ended(2, "No such file.")]
    assert summary(["a", "long name", "b", "c"], found) == (
        "a          done     No gap.\n"
        "long name  gaps     Three gaps.\n"
        "b          gaps     A gap.\n"
        "c          refused  No such file.\n"
        "\n4 descriptions: 1 done, 2 gaps, 1 refused.\n"
    )
