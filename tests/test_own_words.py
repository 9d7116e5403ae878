"""No file of the project says a dozen words in a row as a text of the law says them.

The law's texts are not kept; see `published/law_words.py` for how its words are known again. Looked at is every file
that is handed on: the package, its templates, samples and tests, and what stands beside them. A CSV file is looked at
cell by cell, since its rows put names and figures side by side that make no sentence.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest
from published.law_words import copied, false_alarm, fingerprints, law_text, runs_of_the_law, runs_of_the_standard

ROOT = Path(__file__).resolve().parents[1]
HANDED_ON = ("progdoc", "templates", "sample_config", "tests")
NOT_TEXT = (".docx", ".bits", ".pyc")
A_DOZEN = 12


def files(folder: Path) -> list[Path]:
    here = (file for file in sorted(folder.rglob("*")) if file.is_file() and file.suffix not in NOT_TEXT)
    return [file for file in here if "_templates" not in file.parts]


def cells(file: Path) -> Iterator[str]:
    text = file.read_text(encoding="utf-8")
    if file.suffix == ".csv":
        for row in csv.reader(text.splitlines()):
            yield from row
    else:
        yield text


def passages(where: list[Path]) -> list[tuple[str, str]]:
    found = ((file, copied(text, runs_of_the_law(), A_DOZEN)) for file in where for text in cells(file))
    return [(file.relative_to(ROOT).as_posix(), passage) for file, said in found for passage in said]


@pytest.mark.parametrize("folder", HANDED_ON)
def test_no_dozen_words_in_a_row_are_the_laws(folder: str) -> None:
    where = files(ROOT / folder)
    assert where
    assert passages(where) == []


def test_no_dozen_words_in_a_row_are_the_laws_beside_the_folders() -> None:
    where = [file for file in sorted(ROOT.iterdir()) if file.is_file() and file.name != ".git"]
    assert {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "pyproject.toml"} <= {file.name for file in where}
    assert passages(where) == []


# ---- the fingerprints ---------------------------------------------------------------------------------

RULE = """Each of the bells in the old tower must be rung by hand every evening before
# the gate is closed, unless the keeper has written down that a bell is cracked."""


def test_a_copied_passage_is_found_and_one_in_other_words_is_not() -> None:
    of = fingerprints([RULE], 16, 5)
    copy = 'fix: "the OLD tower must be rung, by hand; every evening before the gate"'
    assert copied(copy, of, A_DOZEN) == ["the old tower must be rung by hand every evening before the gate"]
    assert copied(copy.removesuffix(' gate"').replace("the OLD", "THAT"), of, A_DOZEN) == []
    assert copied(copy.replace("by hand", "with the hand"), of, A_DOZEN) == []
    assert copied("Every evening, someone rings all bells. Then the gate is closed.", of, A_DOZEN) == []


def test_a_passage_runs_on_over_the_lines_of_a_comment() -> None:
    of = fingerprints([RULE.replace("\n# ", " ")], 16, 5)
    assert len(copied(RULE, of, A_DOZEN)) == 1


def test_rows_of_an_exposure_table_and_a_collectors_notes_are_not_the_laws_sentences(tmp_path: Path) -> None:
    file = tmp_path / "29CFR-0000.txt"
    rows = "Agent one 50-00-0 5 10 Agent two, all of its salts 64-17-5 1 2 Agent three 67-64-1 3 1 The limits hold."
    file.write_text(f"# a collector's note\n[0000.1(a)] Nobody enters.\n{rows}\n", encoding="utf-8")
    assert law_text(file) == "Nobody enters.\nAgent one \n 3 1 The limits hold."


def test_the_kept_fingerprints_know_the_law_and_are_sure_of_it() -> None:
    for known in (runs_of_the_law(), runs_of_the_standard()):
        assert copied("the National Institute for Occupational Safety and Health", known, 7)
        assert copied("we like bells that ring in the old tower at night", known, 7) == []
    assert false_alarm(runs_of_the_law(), A_DOZEN) < 1e-12
    assert false_alarm(runs_of_the_standard(), 7) < 1e-5
