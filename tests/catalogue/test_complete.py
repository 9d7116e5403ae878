"""Nothing that was begun is left half-done: `python -m progdoc.dev` marks what a person has yet to write."""

from __future__ import annotations

import csv
from pathlib import Path

from progdoc.dev.new_requirement import FILL_IN
from progdoc.rules.reading.catalogue import catalogue_with, states_that_ship

ROOT = Path(__file__).parents[2]
WRITTEN = ("progdoc/catalogue", "templates", "tests/programs", "tests/catalogue", "CHANGELOG.md")


def test_nothing_is_left_to_fill_in_before_it_is_complete() -> None:
    files = [file for place in WRITTEN for file in sorted((ROOT / place).rglob("*")) or [ROOT / place]]
    left = [
        f"{file.relative_to(ROOT).as_posix()}:{number}: {line.strip()}"
        for file in files
        if file.suffix in (".yaml", ".j2", ".csv", ".md")
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1)
        if FILL_IN in line
    ]
    assert not left, "\n".join(left)


def test_the_list_of_codes_is_complete() -> None:
    with Path(__file__).with_name("codes.csv").open(encoding="utf-8", newline="") as file:
        listed = {row["code"] for row in csv.DictReader(file)}
    assert sorted({r.code for r in catalogue_with((), states_that_ship())[0].requirements} - listed) == []
