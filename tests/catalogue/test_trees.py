"""The trees of the catalogue that were read before are those that its YAML makes today, and stand for nothing else."""

from __future__ import annotations

from pathlib import Path

from progdoc.core.resources import catalogue_root
from progdoc.dev.prepared import trees_of
from progdoc.model.yaml.read_before import FILE, tree_read_before
from progdoc.model.yaml.yaml_file import Bounds, read_content, read_file

CATALOGUE = Path(str(catalogue_root()))
SMALL = CATALOGUE / "us_federal" / "asbestos.yaml"


def test_the_catalogue_says_what_was_read_of_it() -> None:
    written = (CATALOGUE / FILE).read_text(encoding="utf-8")
    assert written == trees_of(CATALOGUE), "run: python -m progdoc.dev prepare"


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


def test_what_was_read_before_counts_against_the_same_bounds() -> None:
    for bounds in (Bounds(most_bytes=100), Bounds(most_values=10)):
        tree = read_file(SMALL, "x", bounds)
        assert not tree.is_complete
        assert [fault.code for fault in tree.diagnostics] == ["YAML-005" if bounds.most_bytes == 100 else "YAML-050"]


def _source() -> str:
    content = read_file(SMALL, "x", Bounds()).top["source"].content
    assert isinstance(content, str)
    return content
