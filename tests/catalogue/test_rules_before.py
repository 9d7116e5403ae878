"""What was read of rules, questions and tables before is what their files say today, and stands for nothing else."""

from __future__ import annotations

import pickletools
from pathlib import Path

import pytest

from progdoc.core import resources
from progdoc.core.kept_lines import kept_bytes
from progdoc.core.resources import catalogue_root
from progdoc.dev.prepared import tables_of
from progdoc.rules.lookup import tables_before
from progdoc.rules.lookup.table_files import lists_of
from progdoc.rules.reading import rules_before
from progdoc.rules.reading.catalogue import read_federal
from progdoc.rules.reading.question_list import read_questions

CATALOGUE = Path(str(catalogue_root()))
PREPARE = "run: python -m progdoc.dev prepare"


def test_rules_and_questions_are_those_of_their_files() -> None:
    assert rules_before.read_before("catalogue") == read_federal(), PREPARE
    assert rules_before.read_before("questions") == read_questions(), PREPARE


def test_tables_say_what_was_read_of_them() -> None:
    assert (CATALOGUE / tables_before.FILE).read_text(encoding="utf-8") == tables_of(CATALOGUE), PREPARE
    file = CATALOGUE / "tables" / "fit_protocols.yaml"
    assert tables_before.lists_before(file) == lists_of(file)


def test_a_table_that_was_edited_is_read_anew(tmp_path: Path) -> None:
    edited = tmp_path / "own_words.yaml"
    edited.write_bytes((CATALOGUE / "tables" / edited.name).read_bytes() + b"\n")
    assert tables_before.lists_before(edited) is None
    assert tables_before.lists_before(tmp_path / "missing.yaml") is None


def test_whatever_is_kept_hangs_on_the_modules_that_it_is_made_of() -> None:
    """An edited class or reader makes it count for nothing: no answer is ever old."""
    named: set[str] = set()
    for key in filter(None, rules_before._lines()):
        kept = kept_bytes(rules_before._lines(), key) or b""
        texts = [""]
        for code, argument, _ in pickletools.genops(kept):
            texts += [argument] if isinstance(argument, str) else []
            named |= {text for text in texts if text.startswith("progdoc.")} if code.name == "STACK_GLOBAL" else set()
    assert named
    for module in named:
        file = f"{module.removeprefix('progdoc.').replace('.', '/')}.py"
        assert any(file == part or file.startswith(f"{part}/") for part in rules_before._HANGS_ON), file


def test_an_edited_file_or_module_is_another_key(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("a/x.yaml", "b.py"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("1", encoding="utf-8")
    monkeypatch.setattr(resources, "files", lambda _: tmp_path)
    before = resources.digest_of("a", "b.py")
    for name in ("a/x.yaml", "a/y.yaml", "b.py"):
        (tmp_path / name).write_text("2", encoding="utf-8")
        now = resources.digest_of("a", "b.py")
        assert now != before, name
        before = now


def test_damaged_rules_count_for_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sound = rules_before.lines_of({"questions": ("a", "b")})
    file = tmp_path / rules_before.FILE
    monkeypatch.setattr(rules_before, "catalogue_root", lambda: tmp_path)
    for text in (None, sound[:-5], sound.replace(sound[-9], "!"), sound.replace("questions:", "questions:0")):
        if text is not None:
            file.write_text(text, encoding="utf-8")
        rules_before._lines.cache_clear()
        assert rules_before.read_before("questions") is None, text
    file.write_text(sound, encoding="utf-8")
    rules_before._lines.cache_clear()
    assert rules_before.read_before("questions") == ("a", "b")
    rules_before._lines.cache_clear()
