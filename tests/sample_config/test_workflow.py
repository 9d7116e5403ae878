"""The workflow for many firms: what it runs is run here, word for word, and what it uploads is there."""

from __future__ import annotations

import json
import os
import shlex
import shutil
import subprocess
from pathlib import Path
from string import Template
from typing import Any

import pytest
import yaml

from progdoc.cli import main

SAMPLES = Path(__file__).resolve().parents[2] / "sample_config"
JOBS = yaml.safe_load((SAMPLES / "many_firms" / "programs.yml").read_text(encoding="utf-8"))["jobs"]
FIRM = "alder"


def _steps(job: str, key: str) -> list[dict[str, Any]]:
    return [step for step in JOBS[job]["steps"] if key in step]


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(SAMPLES / "small_shop", tmp_path / "firms" / FIRM)
    shutil.copytree(SAMPLES / "small_shop", tmp_path / "firms" / "birch & sons")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_every_firm_gets_a_job_of_its_own(repository: Path) -> None:
    (step,) = _steps("firms", "run")
    told = repository / "told"
    subprocess.run(["sh", "-c", step["run"]], env={**os.environ, "GITHUB_OUTPUT": str(told)}, check=True)
    name, _, value = told.read_text(encoding="utf-8").partition("=")
    assert (name, json.loads(value)) == ("names", [FIRM, "birch & sons"])
    assert JOBS["firms"]["outputs"][name] == f"${{{{ steps.{step['id']}.outputs.{name} }}}}"
    assert JOBS["program"]["strategy"] == {
        "fail-fast": False,
        "matrix": {"firm": f"${{{{ fromJSON(needs.firms.outputs.{name}) }}}}"},
    }


def test_its_commands_make_what_it_uploads(repository: Path) -> None:
    assert JOBS["program"]["env"] == {"FIRM": "${{ matrix.firm }}"}
    typed = [shlex.split(Template(step["run"]).safe_substitute(FIRM=FIRM)) for step in _steps("program", "run")]
    ours = [words[1:] for words in typed if words[0] == "progdoc"]
    assert [words[0] for words in ours] == ["check", "build"]
    for words in ours:
        only = ["--only", "md"] if words[0] == "build" else []
        assert main([*words, "--on", "2026-06-01", *only]) == 0

    uploads = [step["with"] for step in _steps("program", "uses") if "upload" in step["uses"]]
    sarif, papers = (json.loads(json.dumps(upload).replace("${{ matrix.firm }}", FIRM)) for upload in uploads)
    report = json.loads((repository / sarif["sarif_file"]).read_text(encoding="utf-8"))
    assert report["version"] == "2.1.0"
    people = yaml.safe_load((SAMPLES / "small_shop" / "program.yaml").read_text(encoding="utf-8"))["people"]
    assert not [one["name"] for one in people if one["name"] in json.dumps(report)]
    kept, left_out = papers["path"].split()
    assert (repository / kept / "program.md").is_file()
    assert left_out.startswith("!") and (repository / left_out[1:] / "people.html").is_file()


def test_a_gap_keeps_nothing_from_being_built_and_uploaded() -> None:
    names = [step.get("name") for step in JOBS["program"]["steps"]]
    later = JOBS["program"]["steps"][names.index("check") + 1 :]
    assert [step["if"] for step in later] == ["always()"] * len(later)
