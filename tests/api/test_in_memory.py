"""The public functions need no disk, give what the command line writes, and are typed for whoever uses them."""

from __future__ import annotations

import base64
import contextlib
import hashlib
import io
import json
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest

import progdoc
from progdoc.app.disk.made_before import NOTE
from progdoc.cli import main

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_config" / "people_table"
DESK = Path(__file__).with_name("desk.py")
DAY = date(2026, 11, 24)
ATTACHED = '\nattachments:\n  - {id: appendix-d, title: "Appendix D, our copy", file: texts/appendix-d.TXT}\n'
FILES = {
    "program.yaml": (SAMPLE / "program.yaml").read_bytes() + ATTACHED.encode(),
    "people.csv": (SAMPLE / "people.csv").read_bytes(),
    "texts/appendix-d.TXT": b"What voluntary wearers of respirators are told.\n",
}
EARLIER = {**FILES, "program.yaml": FILES["program.yaml"].replace(b"Scraping sash windows", b"Scraping windows")}


def on_disk(folder: Path, files: dict[str, bytes]) -> Path:
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder


def command(*arguments: str | Path) -> bytes:
    printed = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="")
    with contextlib.redirect_stdout(printed):
        assert main([str(argument) for argument in arguments]) in (0, 1)
    printed.flush()
    return printed.buffer.getvalue()


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the command line makes of the same files on a disk."""
    here = tmp_path_factory.mktemp("written")
    old, new = on_disk(here / "old", EARLIER), on_disk(here / "new", FILES)
    command("build", new, "-o", here / "out" / "new", "--on", DAY.isoformat())
    command("compare", old, new, "-o", here / "out" / "changes", "--on", DAY.isoformat())
    for form in ("select", "due"):
        (here / f"{form}.json").write_bytes(command(form, new, "--on", DAY.isoformat(), "--format", "json"))
    (here / "check.json").write_bytes(command("check", new, "--on", DAY.isoformat(), "--format", "json"))
    return here


def test_what_happened_is_entered_in_memory_as_on_the_disk(tmp_path: Path) -> None:
    checked = progdoc.check(progdoc.load(FILES, "firm"), on=DAY)
    event = progdoc.Event("training", DAY, {"who": "all", "topics": "all", "by": "Ada Brook"})
    done = progdoc.record(checked, [event])
    assert isinstance(done, progdoc.Recorded) and list(done.after) == ["people.csv"]
    firm = on_disk(tmp_path / "firm", FILES)
    said = ("--who", "all", "--topics", "all", "--by", "Ada Brook", "--on", DAY.isoformat(), "--yes")
    command("record", firm, "training", *said)
    assert (firm / "people.csv").read_bytes() == done.after["people.csv"]
    refused = progdoc.record(checked, [progdoc.Event("training", DAY, {"who": "nobody-known"})])
    assert isinstance(refused, list) and refused[0].code == "RECORD-001"


def test_a_program_that_holds_everything_in_memory_gets_the_same_bytes(written: Path, tmp_path: Path) -> None:
    sides = {"old": EARLIER, "new": FILES}
    asked: dict[str, Any] = {
        side: {name: base64.b64encode(data).decode() for name, data in files.items()} for side, files in sides.items()
    }
    asked["on"] = DAY.isoformat()
    done = subprocess.run(
        [sys.executable, DESK],
        input=json.dumps(asked),
        cwd=tmp_path,
        env={"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    told = json.loads(done.stdout)
    out = written / "out"
    on_the_disk = {
        file.relative_to(out).as_posix(): hashlib.sha256(file.read_bytes()).hexdigest()
        for file in out.rglob("*")
        if file.is_file()
    }
    assert on_the_disk.pop(f"new/{NOTE}")  # of the disk alone: by it the next build knows that nothing has changed
    assert told["files"] == on_the_disk
    assert {"new/manifest.json", "new/attachments/appendix-d.txt", "changes/redline.docx"} <= on_the_disk.keys()
    assert told["opened"] == []
    assert list(tmp_path.iterdir()) == []
    assert told["changes"] == ["tasks.scrape-sashes.name"]
    assert told["findings"]
    asked = json.loads((out / "new" / "restricted" / "gaps.json").read_bytes())["questions"]
    assert told["asked"] == [f"{question['id']}: {' '.join(question['settles'])}" for question in asked]
    assert asked
    selected = json.loads((written / "select.json").read_bytes())["tasks"]
    adequate = {f"{task['task']}: {mask['mask']}": mask["adequate"] for task in selected for mask in task["masks"]}
    assert told["unprotected"] == [name for name, protects in adequate.items() if not protects]
    items = json.loads((written / "due.json").read_bytes())["items"]
    assert told["overdue"] == [item["id"] for item in items if item["state"] in ("now", "overdue")]


def test_each_result_turns_into_the_bytes_of_its_command(written: Path) -> None:
    from progdoc.app.due import due_report
    from progdoc.app.report_formats import report_in
    from progdoc.app.selection_json import selection_json

    checked = progdoc.check(progdoc.load(FILES, "new"), on=DAY)
    assert checked.judged is not None
    assert report_in(checked, "json", names=False) == (written / "check.json").read_bytes()
    assert selection_json(checked) == (written / "select.json").read_bytes()
    assert due_report(checked.judged, form="json") == (written / "due.json").read_bytes()


def test_faults_are_returned_with_their_places_and_never_raised() -> None:
    loaded = progdoc.load({"shop.yaml": b"format: 1\ntaks: []\n", "notes.txt": b"\xff", "old/shop.yaml": b"%"})
    checked = progdoc.check(loaded, on=DAY)
    assert [(str(d.location), d.code) for d in checked.report.findings] == [("shop.yaml:2:1", "MODEL-001")]
    assert not checked.is_understood
    assert progdoc.select(checked) == ()
    with pytest.raises(ValueError, match="no documents"):
        progdoc.build(checked)
    with pytest.raises(ValueError, match="falls due"):
        progdoc.due(checked)
    with pytest.raises(ValueError, match="cannot be compared"):
        progdoc.compare(checked, checked)


def test_what_is_named_and_not_handed_over_is_a_fault() -> None:
    alone = {"program.yaml": FILES["program.yaml"]}
    assert {d.code for d in progdoc.load(alone).diagnostics} >= {"CSV-002"}
    checked = progdoc.check(progdoc.load({**alone, "people.csv": FILES["people.csv"]}), on=DAY)
    assert [d.code for d in checked.report.findings if d.severity == "invalid"] == ["ATT-001"]
    attached = next(name for name in FILES if name not in ("program.yaml", "people.csv"))
    empty = progdoc.check(progdoc.load({**FILES, attached: b""}), on=DAY)
    assert [d.code for d in empty.report.findings if d.severity == "invalid"] == ["ATT-001"]
    (nothing,) = progdoc.load({}).diagnostics
    assert nothing.code == "YAML-002"


def test_the_bounds_of_a_description_hold_in_memory_too() -> None:
    (fault,) = progdoc.load({"large.yaml": b"#" * 20_000_001}).diagnostics
    assert fault.code == "YAML-005"


def test_a_day_whose_rules_are_not_known_is_refused() -> None:
    with pytest.raises(ValueError, match="not known"):
        progdoc.check(progdoc.load({"a.yaml": b"format: 1"}), on=date(2010, 1, 1))


def test_descriptions_of_different_days_are_not_compared() -> None:
    old, new = (progdoc.check(progdoc.load({"a.yaml": b"format: 1"}), on=date(2026, 11, day)) for day in (23, 24))
    with pytest.raises(ValueError, match="different days"):
        progdoc.compare(old, new)


def test_importing_progdoc_imports_next_to_nothing() -> None:
    probe = (
        "import sys, progdoc; print(progdoc.__version__, *sorted(m for m in sys.modules if m.startswith('progdoc')))"
    )
    done = subprocess.run([sys.executable, "-c", probe], cwd=ROOT, capture_output=True, text=True, check=True)
    version, *modules = done.stdout.split()
    assert version == progdoc.__version__
    assert modules == ["progdoc", "progdoc.core", "progdoc.core.version"]


def test_every_public_name_is_there_and_no_other() -> None:
    assert all(getattr(progdoc, name) for name in progdoc.__all__)
    with pytest.raises(AttributeError, match="chek"):
        getattr(progdoc, "che" + "k")


WRONG_USE = """\
from datetime import date
import progdoc
from progdoc import chek  # wrong
loaded = progdoc.load("shop.yaml")  # wrong
understood = progdoc.load({"shop.yaml": b""})
progdoc.check(understood)  # wrong
checked = progdoc.check(understood, on=date(2026, 11, 24))
progdoc.build(understood)  # wrong
name: int = progdoc.build(checked)["program.md"]  # wrong
progdoc.due(checked, within_days="30")  # wrong
progdoc.compare(checked, "old")  # wrong
progdoc.select(checked, 1)  # wrong
"""


def test_the_types_help_whoever_uses_it(tmp_path: Path) -> None:
    """A type checker passes the program above, and finds each wrong use and nothing else."""
    wrong = tmp_path / "wrong_use.py"
    wrong.write_text(WRONG_USE)
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", wrong, DESK],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    found = {line for line in done.stdout.splitlines() if ": error:" in line}
    marked = {f"{wrong.name}:{n}" for n, line in enumerate(WRONG_USE.splitlines(), 1) if line.endswith("# wrong")}
    assert {":".join(Path(line).name.split(":")[:2]) for line in found} == marked, done.stdout
