"""Every sentence that Python puts into the papers has a ground, as those of the templates have: `block_sentences.yaml`.

What is read is the source: each text of the blocks, papers and pictures that is a sentence, with a blank for what is
filled in. A new sentence fails until somebody has said what it rests on.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from source_trees import tree_of

import progdoc.document
from progdoc.model.description.fields import field_at

ROOT = Path(progdoc.document.__file__).parent
REVIEWED: list[dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("block_sentences.yaml").read_text(encoding="utf-8")
)
GROUNDS = {"affirmed", "quoted", "law", "computed", "about", "warning"}
BLANK = "□"


def sentences(file: Path) -> Iterator[str]:
    """Yield every text of a module that is a sentence or a lead-in, with blanks; docstrings are none."""
    tree = tree_of(file)
    of_code = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    inside = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
    for node in ast.walk(tree):
        if id(node) in of_code | inside:
            continue
        text = ""
        if isinstance(node, ast.JoinedStr):
            parts = (part.value if isinstance(part, ast.Constant) else BLANK for part in node.values)
            text = "".join(map(str, parts))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = re.sub(r"%\(\w+\)s", BLANK, node.value)
        if re.search(rf"[A-Za-z]{{2,}} [a-z]{{2,}} [a-z{BLANK}]+", text) and re.search(r"[.:!?](\s|$)", text.strip()):
            yield text.strip()


@cache
def found() -> dict[str, str]:
    """Return every such sentence with its module."""
    return {
        sentence: file.relative_to(ROOT).as_posix()
        for folder in ("blocks", "papers", "pictures")
        for file in sorted((ROOT / folder).glob("*.py"))
        for sentence in sentences(file)
    }


def test_every_sentence_has_a_ground_and_none_is_listed_in_vain() -> None:
    listed = [sentence for entry in REVIEWED for sentence in entry["sentences"]]
    assert len(found()) > 50
    assert sorted(set(found()) - set(listed)) == []
    assert sorted(set(listed) - set(found())) == []
    assert len(listed) == len(set(listed))


@pytest.mark.parametrize("entry", REVIEWED, ids=lambda entry: entry["ground"])
def test_a_ground_holds_what_it_says(entry: dict[str, Any]) -> None:
    assert entry["ground"] in GROUNDS
    for sentence in entry["sentences"]:
        if entry["ground"] == "affirmed":
            assert all((field := field_at(place)) and field.values for place in entry["by"]), entry["by"]
        if entry["ground"] == "law":
            assert re.search(r"\b(law|standard|CFR)\b|\([a-z]\)\(\d\)", sentence), sentence
        if entry["ground"] == "quoted":
            assert re.search(rf":\s*{BLANK}|{BLANK}", sentence), sentence
        if entry["ground"] not in ("affirmed", "quoted"):
            assert not re.search(r"\b(we|our|us)\b", sentence, re.IGNORECASE) or entry.get("because"), sentence
