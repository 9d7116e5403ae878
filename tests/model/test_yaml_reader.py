"""The strict reader: each trap by code, line and column; properties; limits. Codes are our own contract."""

from __future__ import annotations

import os
import random
from functools import partial
from pathlib import Path

import pytest
import yaml
from calls import calls_in
from examples import TIMES, examples
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from model.long_inputs import roster

from progdoc.app.disk.description_files import parsed_path
from progdoc.core.diagnostics import Severity
from progdoc.model.yaml import yaml_tree
from progdoc.model.yaml.yaml_faults import YAML_FAULTS
from progdoc.model.yaml.yaml_file import Bounds
from progdoc.model.yaml.yaml_reader import Description

RELAXED = settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])


def read(folder: Path, text: str | bytes, name: str = "site.yaml") -> Description:
    file = folder / name
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return parsed_path(file)


def places(description: Description) -> list[tuple[str, int, int]]:
    return [(d.code, d.location.line, d.location.column) for d in description.diagnostics]


SYNTAX = {
    "a line between two columns": ("a:\n  b: 1\n c: 2\n", "YAML-021", 3, 2),
    "a list entry's names out of line": ("tasks:\n- id: x\n  name: y\n name: z\n", "YAML-021", 4, 2),
    "a first line indented more than the rest": ("  a: 1\nb: 2\n", "YAML-021", 2, 1),
    "a name among list entries": ("a:\n  - b\n  c: 1\n", "YAML-021", 3, 3),
    "a name below a value": ("a: foo\n  bar: 1\n", "YAML-021", 2, 3),
    "no space after the colon, block": ("program:\n  title:Foo\n  x: 1\n", "YAML-022", 2, 8),
    "no space after the colon, alone": ("program:\n  title:Foo\nx: 1\n", "YAML-022", 2, 3),
    "no space after the colon, whole file": ("title:Foo\n", "YAML-022", 1, 1),
    "no space after the colon, among others": ("a: 1\ntitle:Foo\nb: 1\n", "YAML-022", 2, 6),
    "no space after the colon, brackets": ("a: {b:1}\n", "YAML-022", 1, 5),
    "a quote never closed": ('a: "foo\nb: 1\nc: 3\n', "YAML-023", 1, 4),
    "a quote closed by the next one": ('a: "foo\nb: "bar"\n', "YAML-023", 1, 4),
    "a quote closed by an apostrophe": ("x: 1\na: 'foo\nb: it's\n", "YAML-023", 2, 4),
    "a bracket never closed": ("x: 1\na: [1, 2\nb: 3\n", "YAML-024", 2, 4),
    "a bracket open at the end": ("a: [1, 2\n", "YAML-024", 1, 4),
    "a brace never closed": ("a: {x: 1\nb: 3\n", "YAML-024", 1, 4),
    "a bracket too many": ("a: [x, y]]\n", "YAML-024", 1, 10),
    "a tab before a name": ("a:\n\tb: 1\n", "YAML-025", 2, 1),
    "a tab after good lines": ("a:\n  b: 1\n\tc: 2\n", "YAML-025", 3, 1),
    "a percent sign": ("a: %foo\n", "YAML-026", 1, 4),
    "an at sign": ("a: @foo\n", "YAML-026", 1, 4),
    "a backtick": ("a: `foo\n", "YAML-026", 1, 4),
    "a comma": ("a: ,b\n", "YAML-026", 1, 4),
    "stars around a word": ("a: **foo**\n", "YAML-026", 1, 4),
    "an ampersand": ("a: & b\n", "YAML-026", 1, 4),
    "more than a limit": ("a: >5 mg/m3\n", "YAML-026", 1, 4),
    "a bar": ("a: |foo\n", "YAML-026", 1, 4),
    "a directive": ("%YAML 9.9\n---\na: 1\n", "YAML-026", 1, 1),
    "a colon in a text": ("a: foo: bar\n", "YAML-027", 1, 7),
    "two colons in a text": ("x: 1\na: note: 5: 3\n", "YAML-027", 2, 8),
    "words after a quote": ('a: "foo" bar\n', "YAML-028", 1, 10),
    "an apostrophe in single quotes": ("a: 'O'Hara'\n", "YAML-028", 1, 7),
    "a backslash": ('a: "C:\\path"\n', "YAML-029", 1, 7),
    "a line without a colon": ("a: 1\nfoo\nb: 2\n", "YAML-030", 2, 1),
    "a list on the name's line": ("a: - b\n", "YAML-031", 1, 4),
}

STRUCTURE = {
    "a list without spaces": ("a:\n  -b\n  -c\n", "YAML-032", 2, 3),
    "a list of rules without spaces": ("a:\n  " + "-" * 4000 + "\n  -c\n", "YAML-032", 2, 3),
    "a text cut at a number sign": ("a: Shop #2\n", "YAML-033", 1, 8),
    "a value that is only a number sign": ("a: #2\nb: 1\n", "YAML-033", 1, 3),
    "a name twice": ("a: 1\nb: 2\na: 3\n", "YAML-040", 3, 1),
    "a name twice, quoted": ("a: 1\n'a': 3\n", "YAML-040", 2, 1),
    "a name twice in a list entry": ("t:\n- id: x\n  id: y\n", "YAML-040", 3, 3),
    "an alias without anchor": ("a: *foo\n", "YAML-042", 1, 4),
    "an alias as a name": ("*foo : 1\n", "YAML-042", 1, 1),
    "an anchor": ("a: &x 1\n", "YAML-042", 1, 4),
    "a merge key": ("a:\n  <<: {b: 1}\n", "YAML-043", 2, 3),
    "a tag of Python": ("a: !!python/object/apply:os.system ['x']\n", "YAML-044", 1, 4),
    "a binary": ("a: !!binary aGk=\n", "YAML-044", 1, 4),
    "an own tag": ("a: !important read\n", "YAML-044", 1, 4),
    "a bare exclamation mark": ("a: ! b\n", "YAML-044", 1, 4),
    "an unknown tag handle": ("a: !x!foo b\n", "YAML-044", 1, 4),
    "a list as a name": ("? [a]\n: 1\n", "YAML-045", 1, 3),
    "braces as a name": ("{a: 1}: 2\n", "YAML-045", 1, 1),
    "a template's braces": ("a: {{ b }}\n", "YAML-045", 1, 5),
    "a question mark before a name": ("? abc\n: 1\n", "YAML-045", 1, 3),
    "nothing as a name": ("~: a\n", "YAML-045", 1, 1),
    "a colon alone": (": a\n", "YAML-045", 1, 1),
    "a name over a thousand long": ("x" * 1100 + ": 1\n", "YAML-045", 1, 1),
    "two documents": ("a: 1\n---\nb: 2\n", "YAML-046", 2, 1),
    "three dashes at the end": ("a: 1\n---\n", "YAML-046", 2, 1),
    "a list at the top": ("- a\n", "YAML-047", 1, 1),
    "only a text": ("foo\n", "YAML-047", 1, 1),
    "text of ten thousand words": ("a: " + "x" * 20_001 + "\n", "YAML-049", 1, 4),
    "a control character": ("a: b\x07\n", "YAML-012", 1, 5),
    "a null character": ("x: 1\r\na: b\x00\r\n", "YAML-012", 2, 5),
    "a control character as a code": ('a: "b\\0"\n', "YAML-012", 1, 4),
    "a Unicode line separator": ("a: b\u2028c\n", "YAML-012", 1, 5),
    "a zero-width space": ("a: b\u200bc\n", "YAML-013", 1, 5),
    "text that runs backwards": ("a: b\u202ec\n", "YAML-013", 1, 5),
    "a no-break space in the indentation": ("a:\n \u00a0b: 1\n", "YAML-013", 2, 2),
    "a no-break space after the colon": ("a:\u00a0b\n", "YAML-013", 1, 3),
    "Windows-1252": (b"x: 1\na: caf\xe9\n", "YAML-011", 2, 7),
    "UTF-16": ("a: 1\n".encode("utf-16"), "YAML-010", 0, 0),
    "UTF-16 without a mark": ("a: 1\n".encode("utf-16-be"), "YAML-010", 0, 0),
    "UTF-32": ("a: 1\n".encode("utf-32"), "YAML-010", 0, 0),
    "an empty file": ("", "YAML-006", 0, 0),
    "only a comment": ("# nothing\n", "YAML-006", 0, 0),
}


@pytest.mark.parametrize(
    ("text", "code", "line", "column"), [*SYNTAX.values(), *STRUCTURE.values()], ids=[*SYNTAX, *STRUCTURE]
)
def test_each_trap_has_its_code_and_place(tmp_path: Path, text: str | bytes, code: str, line: int, column: int) -> None:
    found = places(read(tmp_path, text))
    assert found == [(code, line, column)]


@pytest.mark.parametrize(("text", "code", "line", "column"), SYNTAX.values(), ids=SYNTAX)
def test_the_slower_parser_gives_the_same_code_and_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, code: str, line: int, column: int
) -> None:
    monkeypatch.setattr(yaml_tree, "_LOADER", yaml.SafeLoader)
    assert [(c, at) for c, at, _ in places(read(tmp_path, text))] == [(code, line)]


def test_every_finding_says_why_and_what_to_type() -> None:
    assert list(YAML_FAULTS) == sorted(YAML_FAULTS)
    assert len({kind.name for kind in YAML_FAULTS.values()}) == len(YAML_FAULTS)
    assert all(kind.why.endswith(".") and kind.fix.endswith((".", "!")) for kind in YAML_FAULTS.values())


def test_nothing_is_typed(tmp_path: Path) -> None:
    text = (
        "a: NO\nb: 010\nc: 1:30\nd: 1_000\ne: 2026-03-04\nf: .inf\ng: 'null'\nh: Null\ni: 0x1F\nj: =\nk: yes\n12: x\n"
    )
    description = read(tmp_path, text)
    assert description.diagnostics == []
    assert list(description.values.values()) == [
        "NO", "010", "1:30", "1_000", "2026-03-04", ".inf", "null", "Null", "0x1F", "=", "yes", "x",
    ]  # fmt: skip
    assert list(description.values)[-1] == "12"


def test_only_nothing_is_nothing(tmp_path: Path) -> None:
    assert read(tmp_path, "a:\nb: ~\nc: null\nd: ''\ne: []\nf: {g: }\n").values == {
        "a": None, "b": None, "c": None, "d": "", "e": [], "f": {"g": None},
    }  # fmt: skip


def test_forms_of_text_that_are_fine(tmp_path: Path) -> None:
    text = (
        '\ufeffa: http://b.example/c  # comment\nb: "x: #1 y"\nc: |\n  Note: #1\n  * two\nd: >-\n  one\n  two\ne: a-b'
    )
    description = read(tmp_path, text)
    assert description.diagnostics == []
    assert description.values == {
        "a": "http://b.example/c", "b": "x: #1 y", "c": "Note: #1\n* two\n", "d": "one two", "e": "a-b",
    }  # fmt: skip


def test_windows_line_ends_count_once(tmp_path: Path) -> None:
    assert places(read(tmp_path, "a: 1\r\nb: 2\r\na: 3\r\n")) == [("YAML-040", 3, 1)]


def test_many_faults_in_one_run(tmp_path: Path) -> None:
    description = read(tmp_path, "a: *x\nb: !t 1\nc: 1\nc: 2\nd: &y 1\ne: foo: bar\nf: *z\n")
    assert [code for code, _, _ in places(description)] == ["YAML-042", "YAML-044", "YAML-040", "YAML-042", "YAML-027"]
    assert not description.is_complete
    assert all(d.severity is Severity.INVALID for d in description.diagnostics)


def test_a_byte_is_named_with_what_it_probably_was(tmp_path: Path) -> None:
    what = read(tmp_path, b"a: Jos\xe9\n").diagnostics[0].what
    assert "0xE9" in what
    assert "é" in what


def test_text_under_medical_is_not_repeated(tmp_path: Path) -> None:
    for line in (
        "    note: asthma: severe",
        "    note: 'asthma' severe",
        "    asthma severe\n    x: 1",
        "    note: %asthma",
    ):
        description = read(tmp_path, f"people:\n- id: p\n  medical:\n{line}\n")
        assert len(description.diagnostics) == 1
        diagnostic = description.diagnostics[0]
        assert "asthma" not in diagnostic.what + diagnostic.fix


def test_duplicate_names_give_both_places(tmp_path: Path) -> None:
    diagnostic = read(tmp_path, "t:\n  a: 1\n  b: 2\n  a: 3\n").diagnostics[0]
    assert "line 2" in diagnostic.what
    assert diagnostic.location.path == "t.a"


def test_too_many_faults_are_cut_and_counted(tmp_path: Path) -> None:
    description = read(tmp_path, "a: 1\n" * 1000)
    assert len(description.diagnostics) == 101
    assert description.diagnostics[-1].code == "YAML-051"
    assert "899" in description.diagnostics[-1].what


# Places


def test_places_of_values_and_names(tmp_path: Path) -> None:
    description = read(tmp_path, "people:\n- id: a\n  fit_tests:\n  - date: 2026-01-02\n- {id: b}\n")
    assert str(description.locate("people[0].fit_tests[0].date")) == "site.yaml:4:11"
    assert str(description.locate_key("people[0].fit_tests[0].date")) == "site.yaml:4:5"
    assert str(description.locate("people[1].id")) == "site.yaml:5:8"


def test_a_missing_value_is_looked_for_where_it_belongs(tmp_path: Path) -> None:
    description = read(tmp_path, "people:\n- id: a\n")
    missing = description.locate("people[0].fit_tests[2].date")
    assert (missing.line, missing.column, missing.path) == (2, 3, "people[0].fit_tests[2].date")
    assert str(description.locate("officer.name")) == "site.yaml"
    assert str(description.locate("")) == "site.yaml"


def test_names_with_dots_do_not_hide_others(tmp_path: Path) -> None:
    description = read(tmp_path, 'a.b: 1\na: {b: 2}\n"q\\"[0]": 3\n')
    assert len(description.positions) == 4
    assert [p.line for p in description.positions.values()] == [1, 2, 2, 3]


# Files


def test_lists_are_joined_over_files_in_order_of_name(tmp_path: Path) -> None:
    (tmp_path / "b.yml").write_text("tasks:\n- id: two\n- id: three\nofficer: {name: x}\n")
    (tmp_path / "a.yaml").write_text("tasks:\n- id: one\n")
    (tmp_path / ".hidden.yaml").write_text("%%%")
    (tmp_path / "people.csv").write_text("%%%")
    (tmp_path / "deeper").mkdir()
    (tmp_path / "deeper" / "c.yaml").write_text("%%%")
    description = parsed_path(tmp_path)
    assert description.diagnostics == []
    assert description.files == ("a.yaml", "b.yml")
    assert description.values["tasks"] == [{"id": "one"}, {"id": "two"}, {"id": "three"}]
    assert str(description.locate("tasks[0].id")) == "a.yaml:2:7"
    assert str(description.locate("tasks[2].id")) == "b.yml:3:7"
    assert str(description.locate("tasks[3].id")) == "a.yaml:2:1"


def test_anything_but_lists_in_two_files_is_refused_with_both_places(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("format: 1\nofficer:\n  name: x\n")
    (tmp_path / "b.yaml").write_text("tasks: []\n\nofficer:\n  name: y\n")
    diagnostic = parsed_path(tmp_path).diagnostics[0]
    assert (diagnostic.code, str(diagnostic.location)) == ("YAML-041", "b.yaml:3:1")
    assert "a.yaml, line 2" in diagnostic.what


def test_a_broken_file_does_not_hide_the_faults_of_the_next(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("a: 'x\n")
    (tmp_path / "b.yaml").write_text("b: *x\n")
    assert [(d.location.file, d.code) for d in parsed_path(tmp_path).diagnostics] == [
        ("a.yaml", "YAML-023"), ("b.yaml", "YAML-042"),
    ]  # fmt: skip


def test_paths_that_hold_no_description(tmp_path: Path) -> None:
    (tmp_path / "word.docx").write_bytes(b"PK")
    (tmp_path / "folder.yaml").mkdir()
    (tmp_path / "loop.yaml").symlink_to(tmp_path / "loop.yaml")
    (tmp_path / "empty").mkdir()
    codes = {
        name: [d.code for d in parsed_path(tmp_path / name).diagnostics]
        for name in ("missing.yaml", "word.docx", "folder.yaml", "loop.yaml", "empty", "x/y", "a" * 300)
    }
    assert codes == {
        "missing.yaml": ["YAML-001"],
        "word.docx": ["YAML-004"],
        "folder.yaml": ["YAML-002"],
        "loop.yaml": ["YAML-003"],
        "empty": ["YAML-002"],
        "x/y": ["YAML-001"],
        "a" * 300: ["YAML-003"],
    }


def test_things_in_a_folder_that_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").mkdir()
    (tmp_path / "b.yaml").symlink_to(tmp_path / "nowhere")
    (tmp_path / "c.yaml").symlink_to(tmp_path / "c.yaml")
    os.mkfifo(tmp_path / "d.yaml")
    (tmp_path / "e.yaml").write_text("a: 1\n")
    description = parsed_path(tmp_path)
    assert [d.code for d in description.diagnostics] == ["YAML-003"] * 4
    assert description.values == {"a": "1"}
    assert not description.is_complete


# Limits: what is too much is not read to its end


@pytest.mark.parametrize("unit", ["[", "[a: ", "{a: ", "- ", "[[[{"])
def test_deep_nesting(tmp_path: Path, unit: str) -> None:
    def calls(times: int) -> int:
        return calls_in(lambda: read(tmp_path, "a:\n " + unit * times))

    assert [d.code for d in read(tmp_path, "a:\n " + unit * 100_000).diagnostics] == ["YAML-048"]
    assert calls(100_000) == calls(1_000)


def test_deep_nesting_of_names(tmp_path: Path) -> None:
    assert [d.code for d in read(tmp_path, "a:\n " + "? " * 100_000).diagnostics] == ["YAML-045", "YAML-048"]


def test_nesting_just_over_and_under_the_limit(tmp_path: Path) -> None:
    assert read(tmp_path, "a: " + "[" * 39 + "]" * 39).diagnostics == []
    assert [d.code for d in read(tmp_path, "a: " + "[" * 40 + "]" * 40).diagnostics] == ["YAML-048"]


def test_alias_bomb(tmp_path: Path) -> None:
    lines = ["a0: &a0 [x, x, x]"] + [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 10)]
    found = read(tmp_path, "\n".join(lines)).diagnostics
    assert {d.code for d in found} == {"YAML-042"}


def test_too_many_values(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a million are read, at night all of them; on each change the bound is a hundredth of it."""
    assert Bounds().most_values == 500_000
    of_it = 1 if TIMES > 1 else 100
    monkeypatch.setattr("progdoc.model.yaml.yaml_reader.Bounds", partial(Bounds, most_values=500_000 // of_it))
    assert read(tmp_path, "a: [" + "b," * (490_000 // of_it) + "]").diagnostics == []
    found = read(tmp_path, "a: [" + "b," * (600_000 // of_it) + "]").diagnostics
    assert [d.code for d in found] == ["YAML-050"]


def test_too_large_a_file(tmp_path: Path) -> None:
    assert [d.code for d in read(tmp_path, b"#" * 20_000_001).diagnostics] == ["YAML-005"]


def test_the_work_grows_with_the_length_of_a_roster(tmp_path: Path) -> None:
    def calls(count: int) -> int:
        text = roster(count)
        return calls_in(lambda: read(tmp_path, text))

    assert calls(600) < 5 * calls(150)  # four times the people; a square would be sixteen


def test_a_long_roster_is_read_to_its_end(tmp_path: Path) -> None:
    description = read(tmp_path, roster(10_000))
    assert description.diagnostics == []
    assert description.locate("people[9999].fit_tests[0].factor").line == 50_001


# Properties


class PlainDumper(yaml.SafeDumper):
    def ignore_aliases(self, data: object) -> bool:
        return True


printable = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Cf", "Cn", "Zl", "Zp", "Zs"], include_characters=" "), max_size=20
)
names = printable.filter(lambda name: bool(name.strip()))
trees = st.recursive(
    st.none() | printable,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(names, inner, max_size=4),
    max_leaves=20,
)


@RELAXED
@given(st.dictionaries(names, trees, min_size=1, max_size=4), st.booleans())
def test_dump_and_read_is_the_identity(tmp_path: Path, tree: dict[str, object], flow: bool) -> None:
    text = yaml.dump(
        tree, Dumper=PlainDumper, allow_unicode=True, sort_keys=False, default_flow_style=flow, width=10_000
    )
    description = read(tmp_path, text)
    codes = {d.code for d in description.diagnostics}
    assert codes <= {"YAML-022", "YAML-032", "YAML-045"}  # refusals that are stricter than YAML
    if not codes:
        assert description.values == tree


def leaves(path: str, value: object) -> list[str]:
    if isinstance(value, list):
        return [path] + [p for i, v in enumerate(value) for p in leaves(f"{path}[{i}]", v)]
    if isinstance(value, dict):
        return [path] + [p for k, v in value.items() for p in leaves(f"{path}.{yaml_tree.dotted([k])}", v)]
    return [path]


@RELAXED
@given(st.dictionaries(names, trees, min_size=1, max_size=4))
def test_every_value_has_its_own_place(tmp_path: Path, tree: dict[str, object]) -> None:
    description = read(tmp_path, yaml.dump(tree, Dumper=PlainDumper, allow_unicode=True))
    expected = {p for k, v in description.values.items() for p in leaves(yaml_tree.dotted([k]), v)}
    positions = description.positions
    assert set(positions) == expected
    assert all(place.line > 0 and place.path == path for path, place in positions.items())


@RELAXED
@given(st.binary(max_size=300) | st.text(max_size=300).map(lambda text: text.encode(errors="surrogatepass")))
def test_no_bytes_crash_the_reader(tmp_path: Path, data: bytes) -> None:
    description = read(tmp_path, data)
    assert description.diagnostics or (description.values and description.is_complete)
    for diagnostic in description.diagnostics:
        assert diagnostic.code in YAML_FAULTS
        assert diagnostic.what.isprintable()
        lines = data.count(b"\n") + data.count(b"\r") + 1
        assert 0 <= diagnostic.location.line <= lines


yaml_like = st.lists(
    st.sampled_from(
        ["a", "b", "medical", ": ", ":", "\n", "\n  ", "\n- ", "- ", "[", "]", "{", "}", ", ", '"', "'", "#", " #1",
         "|", ">", "&a ", "*a", "!t ", "!!str ", "%", "@", "`", "? ", "~", "---\n", "...\n", "<<",
         "\\", "\r\n", "\u00a0", "1", "="]
    ),
    max_size=40,
).map("".join)  # fmt: skip


@examples(200, suppress_health_check=RELAXED.suppress_health_check)
@given(yaml_like)
def test_both_parsers_agree_on_what_may_stand(tmp_path: Path, text: str) -> None:
    """PyYAML's Python parser and composer are never contradicted (but on tabs, where they stay behind YAML 1.2.2)."""
    description = read(tmp_path, text)
    assert description.diagnostics or description.values or "".join(text.split()) in ("{}", "---{}")
    if description.diagnostics:
        return
    loaded = yaml.BaseLoader(text).get_single_data()
    assert without_nothing(loaded) == without_nothing(description.values)


def without_nothing(value: object) -> object:
    """Nothing is an empty text to PyYAML's base loader, and None to ours."""
    if isinstance(value, dict):
        return {name: without_nothing(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [without_nothing(inner) for inner in value]
    return "" if value in (None, "~", "null") else value


def test_mutated_descriptions_never_crash(tmp_path: Path) -> None:
    seed = (
        "program:\n  title: 'A'\ntasks:\n  - id: a\n    masks: [x, 'y']\n    note: |\n      text\npeople:\n- {id: b}\n"
    )
    chooser = random.Random(20261124)
    for _ in range(1500):
        characters = list(seed)
        for _ in range(chooser.randint(1, 4)):
            at = chooser.randrange(len(characters))
            choice = chooser.random()
            if choice < 0.4:
                del characters[at]
            elif choice < 0.8:
                characters.insert(at, chooser.choice("\t :-[]{}\"'#&*!|>%@`\n,?\\"))
            else:
                characters[at : at + 5] = characters[at : at + 5][::-1]
        description = read(tmp_path, "".join(characters))
        assert description.diagnostics or description.values
