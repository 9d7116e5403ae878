"""A requirement laid down on a copy of the checkout: the tests then name what is left to write, and pass once it is."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from examples import TIMES

from progdoc.dev.__main__ import main

ROOT = Path(__file__).parents[2]
PARTS = ("progdoc", "sample_config", "templates", "tests", "pyproject.toml", "CHANGELOG.md")
_TAKEN = re.findall(r"^CLN-(\d+)", (ROOT / "tests/catalogue/codes.csv").read_text(encoding="utf-8"), re.MULTILINE)
CODE = next(f"CLN-{n:03}" for n in range(2, 1000) if f"{n:03}" not in _TAKEN)  # the first free one after CLN-002
ASKED = ("new-requirement", "(h)(1)", "--beside", "CLN-002", "--name", "cleaner-not-compared")
PATH = "procedures.cleaning.evidence"


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    for part in PARTS:
        copy = shutil.copytree if (ROOT / part).is_dir() else shutil.copy
        copy(ROOT / part, tmp_path / part)
    return tmp_path


def _dev(checkout: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return _python(checkout, "-m", "progdoc.dev", *arguments)


def _python(checkout: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {"PYTHONPATH": str(checkout), "PATH": ""}
    return subprocess.run(
        [sys.executable, *arguments], cwd=checkout, env=environment, capture_output=True, text=True, check=False
    )


def _failing(checkout: Path) -> tuple[set[str], str]:
    """Return the names of the tests that fail of those that the command says to run, and what they print.

    On each change only of the files in which a new requirement shows; at night of all.
    """
    files = "complete", "every_code", "requirements"
    catalogue = ["tests/catalogue"] if TIMES > 1 else [f"tests/catalogue/test_{name}.py" for name in files]
    places = (*catalogue, "tests/document/test_assemble.py")
    only = f"({CODE} or complete or answered or seen_met) and not paragraph and not patched_programs"
    done = _python(checkout, "-m", "pytest", "-q", "-p", "no:randomly", *places, "-k", only)
    assert " passed" in done.stdout, done.stdout + done.stderr
    return set(re.findall(r"^FAILED \S+::([^\s\[]+)", done.stdout, re.MULTILINE)), done.stdout


def test_the_tests_name_what_is_left_to_write_and_then_pass(checkout: Path) -> None:
    laid = _dev(checkout, *ASKED, "--path", PATH)
    assert laid.returncode == 0, laid.stderr
    touched = {
        "CHANGELOG.md": 1,
        "progdoc/catalogue/us_federal/h_cleaning.yaml": 5,
        "templates/program/sections/cleaning.md.j2": 1,
        "tests/catalogue/codes.csv": 0,
        "tests/programs/patches/affirmed.yaml": 0,
    }
    assert set(re.findall(r"^  (\S+)$", laid.stdout, re.MULTILINE)) == set(touched)

    failing, told = _failing(checkout)
    assert failing == {
        "test_nothing_is_left_to_fill_in_before_it_is_complete",
        "test_a_complete_program_has_no_finding",  # the base program does not say it yet
        "test_a_complete_program_has_no_open_point_and_is_no_draft",
        "test_a_change_is_judged_as_the_law_asks",  # so nothing can be taken out of it
        "test_every_code_is_seen_met_and_missed_and_not_applicable",
        "test_the_complete_sample_brings_up_no_required_one",
    }
    for name, marks in touched.items():
        assert len(re.findall(rf"{re.escape(name)}:\d+: .*FILL IN", told)) >= marks, name
        text = (checkout / name).read_text(encoding="utf-8")
        assert text.count("FILL IN") == marks
        (checkout / name).write_text(re.sub(r"FILL IN( what)?", "Something", text), encoding="utf-8")
    assert PATH in told

    for file in ("tests/programs/base.yaml", "sample_config/restoration_2026/procedures.yaml"):
        text = (checkout / file).read_text(encoding="utf-8")
        said = re.sub(r"(?m)^( *)cleaning:$", r"\g<0>\n\1  evidence: The maker compared it", text)
        (checkout / file).write_text(said, encoding="utf-8")
    assert _failing(checkout)[0] == set()


def test_a_field_that_nobody_asks_for_is_asked_beside_the_known_one(checkout: Path) -> None:
    asked = ("new-requirement", "(c)(1)", "--beside", "PRG-010", "--name", "trade-not-said")
    laid = _dev(checkout, *asked, "--path", "organisation.trade")
    assert "  progdoc/catalogue/questions.yaml\n" in laid.stdout, laid.stderr
    text = (checkout / "progdoc/catalogue/questions.yaml").read_text(encoding="utf-8")
    found = re.search(r"  - id: employer\n.*?fields: \[(.*?)\]", text, re.DOTALL)
    assert found is not None
    assert "organisation.trade" in found[1]


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        ((*ASKED, "--path", "cleaning"), "field of the description"),
        ((*ASKED[:-1], "who-cleans-where-not-said", "--path", PATH), "new name"),
        (("new-requirement", "(h)(1)", "--beside", "CLN-999", "--name", "x-y", "--path", PATH), "no requirement"),
        (("new-requirement", "(h)(1)"), "--beside"),
        ((), "COMMAND"),
    ],
)
def test_what_cannot_be_laid_down_is_refused_and_nothing_changes(
    arguments: tuple[str, ...], why: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = (ROOT / "tests/catalogue/codes.csv").read_bytes()
    try:
        status: object = main(arguments)
    except SystemExit as left:  # what the reader of arguments refuses
        status = left.code
    assert status == 2
    assert why in capsys.readouterr().err
    assert (ROOT / "tests/catalogue/codes.csv").read_bytes() == before
