"""All words of the desk are in its templates, where another language can take their place."""

from __future__ import annotations

import ast
import re
from pathlib import Path

DESK = Path(__file__).resolve().parents[2] / "progdoc" / "desk"
WORDS = re.compile(r"[A-Za-z]{2,} [a-z]{2,}")
OF_HEADERS = re.compile(r"default-src|attachment; ")  # of HTTP, which no reader reads


def test_no_sentence_stands_in_the_code_of_the_desk() -> None:
    found = []
    for file in sorted(DESK.glob("*.py")):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        told = {
            id(node.body[0].value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
            and isinstance(node.body[0], ast.Expr)
        }
        for node in ast.walk(tree):
            text = node.value if isinstance(node, ast.Constant) and id(node) not in told else ""
            if isinstance(text, str) and WORDS.search(text) and not OF_HEADERS.search(text):
                found.append(f"{file.name}:{node.lineno}: {text!r}")
    assert found == []
