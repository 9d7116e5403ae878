"""Our templates as the Python that Jinja makes of them, written when they were: to render, Jinja compiles none.

`templates/program/compiled.jsonl` has a line for each template: the version of Jinja, the hashes by which Jinja knows
its name and its text, and the Python. It counts for these very texts and that version alone; any other template is
compiled from its text. `python -m progdoc.dev prepare` writes it anew, and a test says when that is due. For each other
language such a file lies beside its catalogue, and counts for this catalogue alone.

Beside it `bytecode.jsonl` has the same as the Python that wrote it compiles it, for no other Python.
"""

from __future__ import annotations

import json
import marshal
from collections.abc import Iterator
from functools import cache
from importlib.util import MAGIC_NUMBER
from types import CodeType

from progdoc.core.kept_lines import kept_bytes, kept_line, kept_lines, kept_text, line_of_bytes
from progdoc.core.paper_language import ENGLISH
from progdoc.core.resources import templates_root

__all__ = ["BYTECODE_FILE", "FILE", "bytecode_of", "code_before", "line_of"]

FILE, BYTECODE_FILE = "compiled.jsonl", "bytecode.jsonl"  # beside the template of the program
_THIS_PYTHON = MAGIC_NUMBER.hex()
_NO_SHARING = 2  # the version of marshal whose bytes hang on nothing but the code
_PLACE = "<template>"  # what Jinja calls a text that is no file


def code_before(key: str, language: str) -> CodeType | None:
    """Return what was compiled of a template, by all that its Python hangs on; None where it was not."""
    code = kept_bytes(_lines(language, BYTECODE_FILE), f"{key}:{_THIS_PYTHON}")
    if code is not None:
        found: CodeType = marshal.loads(code)
        return found
    line = kept_text(_lines(language, FILE), key)
    return compile(json.loads(line), _PLACE, "exec") if line is not None else None


def line_of(key: str, python: str) -> str:
    """Return the line of a template."""
    return kept_line(key, json.dumps(python, ensure_ascii=False))


def bytecode_of(lines: str) -> Iterator[str]:
    """Yield the line of each template as bytecode, from those of the file of templates."""
    for key, _, kept in (line.split(" ", 2) for line in lines.splitlines()):
        code = marshal.dumps(compile(json.loads(kept), _PLACE, "exec"), _NO_SHARING)
        yield line_of_bytes(f"{key}:{_THIS_PYTHON}", code)


@cache
def _lines(language: str, file: str) -> dict[str, str]:
    folder = templates_root() / "program" if language == ENGLISH.code else templates_root() / "locale" / language
    return kept_lines(folder / file)
