"""Our templates as the Python that Jinja makes of them, written when they were: to render, Jinja compiles none.

`templates/program/compiled.jsonl` has a line for each template: the version of Jinja, the hashes by which Jinja knows
its name and its text, and the Python. It counts for these very texts and that version alone; any other template is
compiled from its text. `python -m progdoc.dev prepare` writes it anew, and a test says when that is due. For each other
language such a file lies beside its catalogue, and counts for this catalogue alone.
"""

from __future__ import annotations

import json
from functools import cache
from types import CodeType

from progdoc.core.kept_lines import kept_line, kept_lines, kept_text
from progdoc.core.paper_language import ENGLISH
from progdoc.core.resources import templates_root

__all__ = ["FILE", "code_before", "line_of"]

FILE = "compiled.jsonl"  # beside the template of the program
_PLACE = "<template>"  # what Jinja calls a text that is no file


def code_before(key: str, language: str) -> CodeType | None:
    """Return what was compiled of a template, by all that its Python hangs on; None where it was not."""
    line = kept_text(_lines(language), key)
    return compile(json.loads(line), _PLACE, "exec") if line is not None else None


def line_of(key: str, python: str) -> str:
    """Return the line of a template."""
    return kept_line(key, json.dumps(python, ensure_ascii=False))


@cache
def _lines(language: str) -> dict[str, str]:
    folder = templates_root() / "program" if language == ENGLISH.code else templates_root() / "locale" / language
    return kept_lines(folder / FILE)
