"""Builds the wheel, installs it where no checkout is near, and does the main job there."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import venv
from importlib import metadata
from pathlib import Path

import pytest
from examples import TIMES
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A clean environment that holds the wheel, what it says it depends on, and nothing of the checkout.

    At night its dependencies are installed as a user installs them; on each change those of the tests are linked to.
    """
    here = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", here / "dist"],
        check=True,
        cwd=ROOT,
        capture_output=True,
    )
    venv.create(here / "env")
    (wheel,) = (here / "dist").glob("*.whl")
    python = here / "env/bin/python"
    options = ["--quiet", "--no-compile", "--disable-pip-version-check", *([] if TIMES > 1 else ["--no-deps"])]
    subprocess.run(
        [sys.executable, "-m", "pip", "--python", python, "install", *options, wheel],
        check=True,
        capture_output=True,
    )
    if TIMES == 1:
        _link_dependencies(next((here / "env").glob("lib/*/site-packages")))
    return here


def _link_dependencies(site: Path) -> None:
    """Link everything that the installed wheel depends on, and what that depends on, into its environment."""
    (wheel,) = metadata.distributions(path=[str(site)])
    wanted, linked = list(wheel.requires or ()), {"progdoc"}
    while wanted:
        requirement = Requirement(wanted.pop())
        name = canonicalize_name(requirement.name)
        if name in linked or (requirement.marker and not requirement.marker.evaluate({"extra": ""})):
            continue
        linked.add(name)
        found = metadata.distribution(name)
        wanted += found.requires or ()
        for top in {file.parts[0] for file in found.files or ()} - {"..", "__pycache__"}:
            (site / top).symlink_to(Path(str(found.locate_file(top))))


def _run(here: Path, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    environment = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    return subprocess.run(
        [here / "env/bin/progdoc", *arguments], cwd=here, env=environment, capture_output=True, text=True, check=False
    )


def test_installed_wheel_starts_and_builds_away_from_the_checkout(installed: Path) -> None:
    """On each change a complete sample; at night the large one, and what was started, whose gaps are many."""
    started = _run(installed, "start", "mine")
    assert started.returncode == 0, started.stderr
    sample, day = ("restoration_2026", "2026-11-24") if TIMES > 1 else ("small_shop", "2026-06-01")
    shutil.copytree(ROOT / "sample_config" / sample, installed / "sample")
    for path, on, status in (("sample", day, 0), *([("mine", "2026-11-24", 1)] if TIMES > 1 else ())):
        built = _run(installed, "build", path, "-o", f"{path}_out", "--on", on)
        assert built.returncode == status, built.stdout + built.stderr
        manifest = json.loads((installed / f"{path}_out/manifest.json").read_text(encoding="utf-8"))
        assert {"program.docx", "program.html", "program.md", "gaps.html"} <= set(manifest["files"])
        assert (installed / f"{path}_out/program.docx").stat().st_size > 10_000


def test_commands_for_contributors_are_not_installed(installed: Path) -> None:
    (package,) = (installed / "env").glob("lib/*/site-packages/progdoc")
    assert (package / "app").is_dir()
    assert not (package / "dev").exists()
