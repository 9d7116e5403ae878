"""What others published is kept as tables of figures, names and ids with their sources, and as nothing else."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pytest
import yaml
from published.law_tables import FOLDER, table

TABLES = sorted(FOLDER.glob("*.csv"))


def test_no_text_and_no_file_of_others_is_kept() -> None:
    kept = {file.name for file in FOLDER.iterdir() if file.is_file()}
    ours = {"law_tables.py", "law_words.py", "law-words.bits", "standard-words.bits"}
    tables = {name for file in TABLES for name in (file.name, f"{file.stem}.source.yaml")}
    assert kept == ours | tables


@pytest.mark.parametrize("file", TABLES, ids=lambda file: file.stem)
def test_every_table_names_its_source_and_is_as_it_was_taken_from_it(file: Path) -> None:
    source = yaml.safe_load(file.with_name(f"{file.stem}.source.yaml").read_text(encoding="utf-8"))
    assert all(source[key] for key in ("title", "publisher", "obtained"))
    assert source["sha256"] == sha256(file.read_bytes()).hexdigest()
    rows = table(file.stem)
    assert rows
    assert set(source.get("columns", {})) <= set(rows[0])


@pytest.mark.parametrize("file", TABLES, ids=lambda file: file.stem)
def test_no_cell_of_a_table_is_longer_than_a_name(file: Path) -> None:
    assert max(len(cell.split()) for row in table(file.stem) for cell in row.values()) <= 15
