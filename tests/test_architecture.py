"""The arrows point down, third-party packages keep to their folders, and the help needs none of them."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from source_trees import nodes_of

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "progdoc"
MODULES = sorted(PACKAGE.rglob("*.py"))
_MOST_LINES = 400

# Which folders may import what: swapping a library out then touches one place.
FENCED = {
    "pydantic": ("model", "document/tree/tokens.py"),
    "pydantic_core": ("model",),
    "yaml": ("model/yaml/",),
    "jinja2": (
        "document/templating/templates.py",
        "document/templating/own_templates.py",
        "document/templating/said_templates.py",
        "desk/shown.py",
    ),
    "babel": ("core/paper_language.py", "dev/messages.py"),
    "starlette": ("desk/",),
    "uvicorn": ("desk/",),
    "markdown": ("document/tree/markdown_tree.py",),
    "docx": (),  # only tests read a Word file by it
    "lxml": ("writers/docx",),
    "cryptography": ("app/ssh_signature.py",),
    "argparse": ("cli/", "dev/"),
    "textwrap": ("cli/",),  # whoever breaks lines knows how wide the window is
}


@cache
def _imports(module: Path) -> frozenset[str]:
    found: set[str] = set()
    for node in nodes_of(module):
        if isinstance(node, ast.Import):
            found.update(name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            found.add(node.module)
    return frozenset(found)


def test_imports_point_down() -> None:
    lint = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run([lint, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_papers_read_the_judged_result_and_nothing_else_of_the_rules() -> None:
    """A new room of the rules is out of reach of whoever prints until somebody opens it on purpose."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"][
        "contracts"
    ]
    (contract,) = (c for c in contracts if c["name"] == "what is printed was worked out before")
    rooms = {f"progdoc.rules.{path.stem}" for path in (PACKAGE / "rules").iterdir() if not path.name.startswith("__")}
    assert rooms - set(contract["forbidden_modules"]) == {"progdoc.rules.judged", "progdoc.rules.requirement"}


@pytest.mark.parametrize("library", FENCED)
def test_third_party_packages_keep_to_their_folders(library: str) -> None:
    strays = [
        module.relative_to(PACKAGE).as_posix()
        for module in MODULES
        if any(name.split(".")[0] == library for name in _imports(module))
        and not module.relative_to(PACKAGE).as_posix().startswith(FENCED[library])
    ]
    assert strays == []


def test_no_two_modules_share_a_name() -> None:
    """Whoever says "look in levels.py" names one file."""
    names = Counter(module.name for module in MODULES if not module.name.startswith("__"))
    assert [name for name, times in names.items() if times > 1] == []


def test_no_module_is_longer_than_one_idea_takes() -> None:
    """House style: 80 to 300 lines, and at 400 a module holds more than one idea."""
    lengths = {module: module.read_bytes().count(b"\n") for module in MODULES}
    too_long = [
        f"{module.relative_to(ROOT).as_posix()} has {lines} lines: split it along its ideas, into files found by name"
        for module, lines in lengths.items()
        if lines > _MOST_LINES
    ]
    assert too_long == [], "\n".join(too_long)


def test_only_the_command_line_reads_the_clock() -> None:
    readers = [
        module.relative_to(PACKAGE).as_posix()
        for module in MODULES
        for node in nodes_of(module)
        if isinstance(node, ast.Attribute) and node.attr in ("today", "now", "utcnow", "environ", "getenv")
    ]
    assert {reader.partition("/")[0] for reader in readers} == {"cli"}


def test_only_the_edge_touches_the_disk() -> None:
    """Every use case works on bytes: a program that holds a description in memory calls the same functions."""
    doors = {"os", "shutil", "tempfile", "glob", "pathlib.Path", "io.FileIO"}
    # The last but one finds our own templates and tables, the last hands its paths to `app/disk/`.
    at_the_edge = ("app/disk/", "cli/", "dev/", "core/resources.py", "desk/session.py")
    found = {
        module.relative_to(PACKAGE).as_posix(): sorted(names)
        for module in MODULES
        if not module.relative_to(PACKAGE).as_posix().startswith(at_the_edge)
        and (names := (_imports(module) | _imported_names(module)) & doors)
    }
    assert found == {}


def _imported_names(module: Path) -> set[str]:
    return {
        f"{node.module}.{name.name}"
        for node in nodes_of(module)
        if isinstance(node, ast.ImportFrom)
        for name in node.names
    }


def test_no_stray_copy_of_the_templates_shadows_the_real_ones() -> None:
    assert not (PACKAGE / "_templates").exists()


def test_help_imports_no_heavy_package() -> None:
    probe = (
        "import sys\nfrom progdoc.cli import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "heavy = {'pydantic', 'yaml', 'jinja2', 'markdown', 'docx', 'lxml', 'cryptography', 'starlette', 'uvicorn'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"
