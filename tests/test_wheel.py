"""Builds the wheel, installs it where no checkout is near, and does the main job there."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A clean environment that holds the wheel and nothing of the checkout."""
    here = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", here / "dist", ROOT],
        check=True,
        capture_output=True,
    )
    venv.create(here / "env")
    (wheel,) = (here / "dist").glob("*.whl")
    subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "--python",
            here / "env/bin/python",
            "install",
            "--quiet",
            "--no-compile",
            "--disable-pip-version-check",
            wheel,
        ],
        check=True,
        capture_output=True,
    )
    return here


def _run(here: Path, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    environment = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    return subprocess.run(
        [here / "env/bin/progdoc", *arguments], cwd=here, env=environment, capture_output=True, text=True, check=False
    )


def test_installed_wheel_starts_and_builds_away_from_the_checkout(installed: Path) -> None:
    started = _run(installed, "start", "mine")
    assert started.returncode == 0, started.stderr
    built = _run(installed, "build", "mine", "-o", "out", "--on", "2026-11-24")
    assert built.returncode == 1, built.stderr
    manifest = json.loads((installed / "out/manifest.json").read_text(encoding="utf-8"))
    assert {"program.docx", "program.html", "program.md", "gaps.html"} <= set(manifest["files"])


def test_commands_for_contributors_are_not_installed(installed: Path) -> None:
    (package,) = (installed / "env").glob("lib/*/site-packages/progdoc")
    assert (package / "app").is_dir()
    assert not (package / "dev").exists()


def test_installed_wheel_builds_the_complete_sample(installed: Path) -> None:
    shutil.copytree(ROOT / "sample_config/restoration_2026", installed / "sample")
    built = _run(installed, "build", "sample", "-o", "sample_out", "--on", "2026-11-24")
    assert built.returncode == 0, built.stdout + built.stderr
    assert (installed / "sample_out/program.docx").stat().st_size > 10_000
