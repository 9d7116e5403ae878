"""The federal catalogue and the questions as they were read when they were written: to start, neither is read anew.

`catalogue/rules.jsonl` holds them under the hash of every file that they were read from and every module that they
were read by or are made of. Whatever of these was edited since, both are read from their files again, only slower.
`python -m progdoc.dev prepare` writes it anew, and a test says when that is due.
"""

from __future__ import annotations

import pickle
from collections.abc import Mapping
from functools import cache
from typing import Any

from progdoc.core.kept_lines import kept_bytes, kept_lines, line_of_bytes
from progdoc.core.resources import catalogue_root, digest_of

__all__ = ["FILE", "lines_of", "read_before"]

FILE = "rules.jsonl"  # in the catalogue
_HANGS_ON = (
    "catalogue/questions.yaml",
    "catalogue/sources.yaml",
    "catalogue/us_federal",
    "core/citations.py",
    "core/data_text.py",
    "core/diagnostics.py",
    "core/kept_lines.py",
    "core/late_dataclass.py",
    "core/said.py",
    "model/description/quantities.py",
    "model/yaml/yaml_values.py",
    "rules/in_force/law_values.py",
    "rules/judged/figure_results.py",
    "rules/reading",
    "rules/requirement.py",
)


def read_before(name: str) -> Any | None:
    """Return what was read before, "catalogue" or "questions"; None where it is not of these very files."""
    kept = kept_bytes(_lines(), _key(name))
    return pickle.loads(kept) if kept is not None else None


def lines_of(read: Mapping[str, Any]) -> str:
    """Return the line of each thing that was read, by its name."""
    return "".join(line_of_bytes(_key(name), pickle.dumps(thing, protocol=5)) for name, thing in read.items())


def _key(name: str) -> str:
    return f"{name}:{_hangs_on()}"


@cache
def _hangs_on() -> str:
    return digest_of(*_HANGS_ON)


@cache
def _lines() -> dict[str, str]:
    return kept_lines(catalogue_root() / FILE)
