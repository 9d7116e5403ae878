"""The shipped templates: every duty has its place, nothing reaches outside, a crew can follow the words."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import jinja2
import pytest
from document.reading import nodes, program_of, words
from programs.patching import BASE, PROGRAMS, judged, read_as_text

from progdoc.core.diagnostics import Audience, Scope
from progdoc.core.errors import ProgdocError
from progdoc.core.paper_language import known_languages, language_of
from progdoc.core.resources import templates_root
from progdoc.document.templating import compiled_before
from progdoc.document.templating.compiled_before import FILE
from progdoc.document.templating.templates import TemplateSet
from progdoc.document.tree.nodes import Paragraph
from progdoc.rules.reading.catalogue import built_in_catalogue

ROOT = Path(str(templates_root())) / "program"
TEXT = {file.relative_to(ROOT).as_posix(): file.read_text(encoding="utf-8") for file in sorted(ROOT.rglob("*.j2"))}
CODES = set(re.findall(r"[A-Z]{3}-\d{3}", "".join(TEXT.values())))
GROUPS = set(re.findall(r'points_of\("([A-Z]{3}-)"', "".join(TEXT.values())))


def test_every_public_duty_of_the_program_has_a_place() -> None:
    homeless = [
        requirement.code
        for requirement in built_in_catalogue().requirements
        if requirement.scope is Scope.PROGRAM and requirement.audience is Audience.PUBLIC
        if requirement.code not in CODES and requirement.code[:4] not in GROUPS
    ]
    assert homeless == []


def test_templates_name_known_duties_only() -> None:
    assert {requirement.code for requirement in built_in_catalogue().requirements} >= CODES


def test_the_outline_names_every_section_once() -> None:
    outline = TemplateSet(ROOT)
    named = [f"sections/{name}.md.j2" for name in (*outline.sections, *outline.annex)]
    assert sorted(named) == [name for name in TEXT if name.startswith("sections/")]


def test_the_words_are_not_the_regulations() -> None:
    assert [name for name, text in TEXT.items() if re.search(r"\bshall\b|\bemployee|\batmosphere", text)] == []


def _templates(folder: Path, text: str) -> TemplateSet:
    (folder / "sections").mkdir()
    (folder / "program.yaml").write_text("sections: [a]\nannex: []\n", encoding="utf-8")
    (folder / "sections" / "a.md.j2").write_text(text, encoding="utf-8")
    (folder.parent / "secret.md.j2").write_text("secret", encoding="utf-8")
    return TemplateSet(folder)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{{ ''.__class__.__mro__ }}", "unsafe"),
        ("{{ tasks.append(1) }}", "unsafe"),
        ("{% include '../secret.md.j2' %}", "secret"),
        ("{% include '/etc/passwd' %}", "passwd"),
        ("{% include 'sections/./a.md.j2' %}", "a.md.j2"),
        ("{{ nobody_said }}", "undefined"),
        ("\n\n{{ nothing }}", "line 3: prints a value that is not there"),
        ("{% if %}", "line 1"),
    ],
)
def test_a_template_reaches_nothing_but_its_own_data(tmp_path: Path, text: str, said: str) -> None:
    (tmp_path / "set").mkdir()
    templates = _templates(tmp_path / "set", text)
    with pytest.raises(ProgdocError, match=re.escape(said)):
        templates.render("sections/a", {"tasks": [], "nothing": None})


def test_a_heading_id_is_no_comment(tmp_path: Path) -> None:
    (tmp_path / "set").mkdir()
    text = _templates(tmp_path / "set", "# A {#a}\n<# a comment #>\n").render("sections/a", {})
    assert text == "# A {#a}\n"


def _sentences(folder: Path) -> list[str]:
    found = []
    for name in ("base", "fire-fighting", "oil-free-compressor"):
        values = BASE if name == "base" else read_as_text((PROGRAMS / f"{name}.yaml").read_text(encoding="utf-8"))
        for node in nodes(program_of(judged(values, folder)).blocks[:-5]):
            if isinstance(node, Paragraph):
                found += [s for s in re.split(r"(?<=[.:;!?])\s+", words(node)) if s]
    return found


def test_sentences_can_be_read_aloud(tmp_path: Path) -> None:
    """Common practice, no source: about fifteen words a sentence on average, none past fifty."""
    lengths = [len(sentence.split()) for sentence in _sentences(tmp_path)]
    assert len(lengths) > 200
    assert sum(lengths) / len(lengths) < 15
    assert max(lengths) < 50


def test_what_does_not_apply_is_not_mentioned(tmp_path: Path) -> None:
    text = " ".join(_sentences(tmp_path))
    assert not re.search(r"\bN/A\b|not applicable|None\b(?! of)|undefined|\be\.g\.", text)


@pytest.mark.parametrize("code", known_languages())
def test_templates_that_were_compiled_before_are_those_of_today(code: str) -> None:
    """What is taken from the file is what Jinja would make here: of the very text, name and version, or nothing."""
    templates = TemplateSet(ROOT).in_language(language_of(code))
    folder = ROOT if code == "en" else ROOT.parent / "locale" / code
    written = (folder / FILE).read_text(encoding="utf-8").splitlines()
    made = [line.rstrip("\n") for line in templates.compiled()]
    version = f"{jinja2.__version__}:"
    texts = [line.partition(" ")[0].partition(":")[2] for line in made]
    assert [line.partition(" ")[0].partition(":")[2] for line in written] == texts, "run: python -m progdoc.dev prepare"
    assert [line for line in written if line.startswith(version)] in ([], made)


def test_a_template_that_was_edited_is_compiled_from_its_text(tmp_path: Path) -> None:
    folder = shutil.copytree(ROOT, tmp_path / "program")
    (folder / "sections" / "records.md.j2").write_text("# Edited {#records}\n", encoding="utf-8")
    assert TemplateSet(folder).render("sections/records", {}) == "# Edited {#records}\n"


def test_a_damaged_file_of_compiled_templates_counts_for_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "program" / FILE
    file.parent.mkdir()
    monkeypatch.setattr(compiled_before, "templates_root", lambda: tmp_path)
    sound = compiled_before.line_of("a", "x = 1")
    for text, is_sound in [(sound, True)] + [
        (text, False) for text in ("", sound[:-3], sound.replace("1", "2"), "a\n")
    ]:
        file.write_text(text, encoding="utf-8")
        compiled_before._lines.cache_clear()
        assert (compiled_before.code_before("a", "en") is not None) == is_sound, text
    compiled_before._lines.cache_clear()
