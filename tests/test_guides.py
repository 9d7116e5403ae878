"""What the guides say is there: every path exists, every function is taught, what the README shows is printed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from jinja2 import Environment, nodes

import progdoc
from progdoc.app.disk.description_files import check_path
from progdoc.cli.question_view import questions_text
from progdoc.core.resources import templates_root
from progdoc.dev.__main__ import main as dev

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
DEVELOPERS = ROOT / "DEVELOPERS.md"
CATALOGUE = ROOT / "progdoc" / "catalogue" / "README.md"
ENDINGS = (".py", ".yaml", ".yml", ".csv", ".md", ".j2", ".toml", ".css", ".typ", ".json", ".sh", "/")
PLACES = (
    ROOT,
    ROOT / "progdoc",
    ROOT / "progdoc" / "rules",
    ROOT / "progdoc" / "catalogue",
    ROOT / "progdoc" / "catalogue" / "us_federal",
)


def paths_in(text: str) -> Iterator[str]:
    """Yield what looks like a path: between backticks, or first in a line of an indented listing."""
    for shown in re.findall(r"`([^`\n]+)`", text) + re.findall(r"(?m)^    (\S+)(?: {2,}|$)", text):
        if shown.endswith(ENDINGS) and not shown.startswith((".", "(", "{")) and " " not in shown:
            yield shown


def places_of(path: str, folder: Path, before: Path) -> list[Path]:
    """Return what a path leads to: from the root, the guide's own folder, or beside the path named before it."""
    pattern = path.rstrip("/").replace("NAME", "*")
    return [found for place in (*PLACES, folder, before) for found in place.glob(pattern)]


@pytest.mark.parametrize("guide", [DEVELOPERS, CATALOGUE], ids=lambda guide: guide.parent.name)
def test_every_path_of_a_guide_exists(guide: Path) -> None:
    lost = []
    before = guide.parent
    named = list(paths_in(guide.read_text(encoding="utf-8")))
    for path in named:
        found = places_of(path, guide.parent, before)
        if found:
            before = found[0] if found[0].is_dir() else found[0].parent
        else:
            lost.append(path)
    assert len(named) > 5
    assert lost == []


def test_a_path_that_leads_nowhere_would_be_found() -> None:
    text = "`progdoc/rules/nowhere.py` and\n\n    nowhere.csv   a table\n"
    assert list(paths_in(text)) == ["progdoc/rules/nowhere.py", "nowhere.csv"]
    assert not any(places_of(path, ROOT, ROOT) for path in paths_in(text))


def test_every_folder_of_the_package_is_on_the_map() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    folders = [path for path in (ROOT / "progdoc").glob("*/") if (path / "__init__.py").is_file()]
    rooms = [path for path in (ROOT / "progdoc" / "rules").glob("*/") if (path / "__init__.py").is_file()]
    assert [path.name for path in folders if f"`progdoc/{path.name}/`" not in text] == []
    assert [path.name for path in rooms if f"`{path.name}/`" not in text] == []


# ---- templates ----------------------------------------------------------------------------------------


def called_in_templates() -> set[str]:
    """Return the names of all functions that the templates of the program call."""
    environment = Environment(comment_start_string="<#", comment_end_string="#>")
    texts = [file.read_text(encoding="utf-8") for file in Path(str(templates_root() / "program")).rglob("*.j2")]
    calls = (call for text in texts for call in environment.parse(text).find_all(nodes.Call))
    return {call.node.name for call in calls if isinstance(call.node, nodes.Name)}


def taught() -> set[str]:
    section = DEVELOPERS.read_text(encoding="utf-8").split("## Add a section\n")[1].split("\n## ")[0]
    return set(re.findall(r"(?m)^\| `\{[{%] (?:call |if )?(\w+)\(", section))


def test_the_functions_that_templates_call_are_those_that_are_taught() -> None:
    assert taught() == called_in_templates()


# ---- what the README shows ------------------------------------------------------------------------------


def test_the_question_that_the_readme_shows_is_asked() -> None:
    text = README.read_text(encoding="utf-8")
    found = re.search(r"Of `(sample_config/\w+)`, on (\S+):\n\n((?:        .*\n)+)", text)
    assert found is not None
    shown = re.sub(r"(?m)^ {8}", "", found[3])
    checked = check_path(ROOT / found[1], date.fromisoformat(found[2]), [])
    assert f"\n\n{shown}\n" in questions_text(checked.report, 100)


# ---- what a stranger types ----------------------------------------------------------------------------


def test_every_public_function_is_described() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    functions = [name for name in progdoc.__all__ if name.islower() and not name.startswith("_")]
    assert [name for name in functions if f"| `{name}(" not in text] == []


def test_the_command_for_contributors_is_the_one_described(capsys: pytest.CaptureFixture[str]) -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    shown = re.search(r"python -m progdoc\.dev (\S+) .*\\\n.*", text)
    assert shown is not None
    with pytest.raises(SystemExit):
        dev(["--help"])
    assert shown[1] in capsys.readouterr().out
    with pytest.raises(SystemExit):
        dev([shown[1], "--help"])
    told = capsys.readouterr().out
    assert [option for option in re.findall(r"--[a-z]+", shown[0]) if option not in told] == []
