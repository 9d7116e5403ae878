"""The lists of our tables that are no grid, as they were read when they were written: to start, none is parsed.

`catalogue/tables.jsonl` has a line for each file, under the hash of its bytes: what was edited since is read from its
YAML, only slower. `python -m progdoc.dev prepare` writes it anew, and a test says when that is due.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from importlib.resources.abc import Traversable
from typing import Any

from progdoc.core.kept_lines import kept_line, kept_lines, kept_text
from progdoc.core.resources import catalogue_root

__all__ = ["FILE", "lines_of", "lists_before"]

FILE = "tables.jsonl"  # in the catalogue


def lists_before(file: Traversable) -> Any | None:
    """Return the lists of a file that ships with progdoc, by its bytes; None of any other."""
    try:
        key = sha256(file.read_bytes()).hexdigest()
    except OSError:
        return None
    line = kept_text(_lines(), key)
    return json.loads(line) if line is not None else None


def lines_of(files: Iterable[tuple[bytes, dict[str, Any]]]) -> str:
    """Return the lines of files and their lists, in the order given."""
    return "".join(
        kept_line(sha256(content).hexdigest(), json.dumps(lists, ensure_ascii=False, separators=(",", ":")))
        for content, lists in files
    )


@cache
def _lines() -> dict[str, str]:
    return kept_lines(catalogue_root() / FILE)
