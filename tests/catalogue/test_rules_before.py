"""What was worked out before of rules, questions, tables and the model is what stands today, and no more."""

from __future__ import annotations

import pickletools
from pathlib import Path

import pydantic
import pytest

from progdoc.core import resources
from progdoc.core.kept_lines import kept_bytes, kept_lines
from progdoc.core.resources import catalogue_root
from progdoc.dev.prepared import tables_of
from progdoc.model.description import program_reader
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


def test_how_a_description_is_read_is_what_its_classes_say() -> None:
    of_these_modules = program_reader.schema_line().partition(" ")[0].rpartition(":")[2]
    shipped = kept_lines(catalogue_root() / program_reader.FILE)
    assert of_these_modules in {key.rpartition(":")[2] for key in shipped}, PREPARE
    made = {key: rest for key, _, rest in [program_reader.schema_line().rstrip("\n").partition(" ")]}
    assert repr(program_reader.schema_kept(made)) == repr(program_reader.schema_of_program())


def test_another_pydantic_works_out_anew_how_a_description_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = {key: rest for key, _, rest in [program_reader.schema_line().rstrip("\n").partition(" ")]}
    program_reader._key.cache_clear()
    monkeypatch.setattr(pydantic, "VERSION", "2.7.0")
    assert program_reader.schema_kept(lines) is None
    program_reader._key.cache_clear()


@pytest.mark.parametrize(
    ("file", "hangs_on"),
    [(rules_before.FILE, rules_before._HANGS_ON), (program_reader.FILE, program_reader._HANGS_ON)],
    ids=["rules", "description"],
)
def test_whatever_is_kept_hangs_on_the_modules_that_it_is_made_of(file: str, hangs_on: tuple[str, ...]) -> None:
    """An edited class or reader makes it count for nothing: no answer is ever old."""
    named: set[str] = set()
    lines = kept_lines(catalogue_root() / file)
    for key in filter(None, lines):
        kept = kept_bytes(lines, key) or b""
        texts = [""]
        for code, argument, _ in pickletools.genops(kept):
            texts += [argument] if isinstance(argument, str) else []
            named |= {text for text in texts if text.startswith("progdoc.")} if code.name == "STACK_GLOBAL" else set()
    assert named
    for module in named:
        name = f"{module.removeprefix('progdoc.').replace('.', '/')}.py"
        assert any(name == part or name.startswith(f"{part}/") for part in hangs_on), name


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
