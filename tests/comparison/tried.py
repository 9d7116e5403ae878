"""Edits that are tried: the sample they are put into, what the summary has to say of one, and what it says."""

from __future__ import annotations

import copy
import json
import random
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from programs.patching import read_as_text, written

from progdoc.app.check import check
from progdoc.app.compare import Version, meaning_of, names_of
from progdoc.comparison.changes import Comparison
from progdoc.comparison.public_part import public_part
from progdoc.comparison.summary import told_shortly
from progdoc.model.description.program import Program
from progdoc.model.load import Loaded, load
from progdoc.model.yaml.yaml_reader import Description

__all__ = ["ON", "Case", "Summary", "Values", "format_only", "merged", "sample", "summary_of", "version"]

SAMPLE = Path(__file__).resolve().parents[2] / "sample_config" / "restoration_2026"
ON = date(2026, 11, 24)

Values = dict[str, Any]


@dataclass(frozen=True)
class Case:
    """An edit, and what the summary has to say of it.

    `says`: by the beginning of a part's heading, words of which each has to stand in it. `is_silent_on`: parts that
    must not be there.
    """

    old: Values
    new: Values
    says: dict[str, tuple[str, ...]]
    is_silent_on: tuple[str, ...] = ()
    is_empty: bool = False


@dataclass(frozen=True)
class Summary:
    """A summary by its parts, and the comparison behind it."""

    comparison: Comparison
    parts: dict[str, str]

    def part(self, beginning: str) -> str:
        return " ".join(text for heading, text in self.parts.items() if heading.startswith(beginning))


@cache
def _sample() -> Values:
    values: Values = {}
    for file in sorted(SAMPLE.glob("*.yaml")):
        values |= read_as_text(file.read_text(encoding="utf-8"))
    del values["program"]["look"]
    return values


def sample() -> Values:
    """Return the complete sample's values, without its look, to be changed."""
    return copy.deepcopy(_sample())


def version(values: Values | dict[str, bytes]) -> Version:
    """Return a description, judged: of values, or of files as they are."""
    if all(isinstance(data, bytes) for data in values.values()):
        return _checked(load(values, "shop"))
    return _unchanged() if values == _sample() else _checked(_loaded(values))


@cache
def _unchanged() -> Version:
    return _checked(_loaded(_sample()))


def _loaded(values: Values) -> Loaded:
    return Loaded(Program.model_validate(values), Description("shop"), ())


def _checked(loaded: Loaded) -> Version:
    checked = check(loaded, ON)
    assert checked.judged is not None, [d.what for d in checked.report.findings]
    return Version("shop", checked)


def summary_of(old: Version, new: Version) -> Summary:
    comparison = meaning_of(old, new)
    parts: dict[str, str] = {}
    for block in told_shortly(public_part(comparison), names_of(old, new)):
        heading, *lines = [line.text for line in block]
        parts[heading] = " ".join((heading, *lines))
    return Summary(comparison, parts)


def merged(was: Any, one: Any, other: Any) -> Any:
    """Return what two editions of the same values come to together; None where both edited one of them."""
    if one in (was, other):
        return other
    if other == was:
        return one
    sides = (was, one, other)
    if all(isinstance(side, list) and all(isinstance(e, dict) and "id" in e for e in side) for side in sides):
        found = merged(*({entry["id"]: entry for entry in side} for side in sides))
        return None if found is None else list(found.values())
    if not all(isinstance(side, dict) for side in sides):
        return None
    nothing = object()
    together = {key: merged(*(side.get(key, nothing) for side in sides)) for key in {**one, **other}}
    if None in together.values():
        return None
    return {key: value for key, value in together.items() if value is not nothing}


def format_only(values: Values, rng: random.Random) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """Return one description as one file, and the same with all that says nothing changed: files, quotes, keys."""
    plain = {"shop.yaml": written(values).encode()}
    keys = list(values)
    rng.shuffle(keys)
    half = len(keys) // 2
    dressed = {
        name: ("# Only another dress.\n" + _as_yaml({key: _shuffled(values[key], rng) for key in part}, 0)).encode()
        for name, part in (("a.yaml", keys[:half]), ("b.yaml", keys[half:]))
    }
    return plain, dressed


def _shuffled(value: Any, rng: random.Random) -> Any:
    """Return a value with its keys in another order; lists keep theirs."""
    if isinstance(value, dict):
        keys = list(value)
        rng.shuffle(keys)
        return {key: _shuffled(value[key], rng) for key in keys}
    return [_shuffled(item, rng) for item in value] if isinstance(value, list) else value


def _as_yaml(value: Any, depth: int) -> str:
    """Return a value in lines, every text in single quotes, with a comment behind it."""
    if isinstance(value, dict):
        lines = (f"{'  ' * depth}{key}:{_below(inner, depth)}" for key, inner in value.items())
        return "".join(lines)
    return "".join(f"{'  ' * depth}-{_below(inner, depth)}" for inner in value)


def _below(value: Any, depth: int) -> str:
    if isinstance(value, dict | list) and value:
        return f"\n{_as_yaml(value, depth + 1)}"
    if isinstance(value, dict | list):
        return " []\n" if isinstance(value, list) else " {}\n"
    quoted = json.dumps(value, ensure_ascii=False) if "\n" in value else "'" + value.replace("'", "''") + "'"
    return f" {quoted}  # as before\n"
