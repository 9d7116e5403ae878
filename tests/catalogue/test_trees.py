"""The trees of the catalogue that were read before are those that its YAML makes today, and stand for nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from progdoc.core.resources import catalogue_root, templates_root
from progdoc.dev.prepared import trees_of
from progdoc.model.yaml import read_before
from progdoc.model.yaml.read_before import FILE, _lines, lines_of, tree_read_before
from progdoc.model.yaml.yaml_file import Bounds, read_content, read_file

CATALOGUE = Path(str(catalogue_root()))
SMALL = CATALOGUE / "us_federal" / "asbestos.yaml"


def test_the_catalogue_says_what_was_read_of_it() -> None:
    written = (CATALOGUE / FILE).read_text(encoding="utf-8")
    assert written == trees_of(CATALOGUE, Path(str(templates_root()))), "run: python -m progdoc.dev prepare"


def test_a_file_says_the_same_however_it_is_read() -> None:
    for name in ("sources.yaml", "tables/fit_protocols.yaml", "states/washington/pack.yaml", "us_federal/values.yaml"):
        content, parsed, before = (CATALOGUE / name).read_bytes(), Bounds(), Bounds()
        assert tree_read_before(content) is not None, name
        assert read_file(CATALOGUE / name, name, before) == read_content(content, name, parsed), name
        assert before == parsed, name


def test_a_file_that_was_edited_is_read_anew(tmp_path: Path) -> None:
    edited = tmp_path / SMALL.name
    edited.write_bytes(SMALL.read_bytes().replace(b"source: us-", b"source: other-"))
    assert tree_read_before(edited.read_bytes()) is None
    assert read_file(edited, "x", Bounds()).top["source"].content == "other-" + _source().removeprefix("us-")


def test_a_damaged_file_of_trees_counts_for_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Missing, a folder, cut off, overwritten, another figure in it: the YAML is parsed, and says what it says."""
    content = SMALL.read_bytes()
    sound = lines_of([(content, read_content(content, "x", Bounds()))])
    places = range(0, len(sound), len(sound) // 40)
    cut, odd = ([sound[:place] for place in places], [f"{sound[:place]}7{sound[place + 1 :]}" for place in places])
    damaged = [text.encode() for text in (*cut, *odd) if text != sound]
    file = tmp_path / FILE
    monkeypatch.setattr(read_before, "catalogue_root", lambda: tmp_path)
    for data in (None, b"\xff\xfe\x00", b"\x00" * 99, *damaged):
        if data is not None:
            file.write_bytes(data)
        _lines.cache_clear()
        assert tree_read_before(content) is None, data
    file.unlink()
    file.mkdir()
    _lines.cache_clear()
    assert tree_read_before(content) is None
    file.rmdir()
    file.write_text(sound, encoding="utf-8")
    _lines.cache_clear()
    assert tree_read_before(content) == read_content(content, "x", Bounds())
    _lines.cache_clear()


def test_what_was_read_before_counts_against_the_same_bounds() -> None:
    for bounds in (Bounds(most_bytes=100), Bounds(most_values=10)):
        tree = read_file(SMALL, "x", bounds)
        assert not tree.is_complete
        assert [fault.code for fault in tree.diagnostics] == ["YAML-005" if bounds.most_bytes == 100 else "YAML-050"]


def _source() -> str:
    content = read_file(SMALL, "x", Bounds()).top["source"].content
    assert isinstance(content, str)
    return content
