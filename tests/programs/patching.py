"""Changes the base program as an entry of `patches/` says, and judges what comes of it through the public door."""

from __future__ import annotations

import json
import re
from collections.abc import Container, Iterable
from dataclasses import replace
from datetime import date
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import yaml

from progdoc.app.check import Checked, check
from progdoc.app.disk.description_files import load_path
from progdoc.model.description.program import Program
from progdoc.model.load import FORMAT, Beside, Loaded, named_beside, parsed, understood
from progdoc.model.yaml.yaml_reader import Description
from progdoc.rules.adoption import adoptions_in
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import Catalogue, built_in_catalogue
from progdoc.rules.requirement import is_under

__all__ = [
    "AS_OF",
    "BASE",
    "PROGRAMS",
    "catalogue_of",
    "checked_by",
    "judged",
    "judged_by",
    "loaded",
    "one_of_each",
    "patched",
    "patches",
    "read_as_text",
    "written",
]

AS_OF = date(2026, 6, 1)
PROGRAMS = Path(__file__).parent
_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


def read_as_text(text: str) -> Any:
    """Return YAML with every value as it is written: `yes` stays yes, and a date stays text.

    The fast loader is taken where there is one: much of the tests' time goes into it.
    """
    loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    return loader(text).get_single_data()


def written(values: Any) -> str:
    """Return values as YAML in its short form, which JSON is: written in a tenth of the time."""
    return json.dumps(values, ensure_ascii=False)


def _program(name: str) -> dict[str, Any]:
    values: dict[str, Any] = read_as_text((PROGRAMS / f"{name}.yaml").read_text(encoding="utf-8"))
    return values


BASE: dict[str, Any] = _program("base")
_BASE_TEXT = json.dumps(BASE)  # reading it is a quicker copy than a copy


@cache
def patches() -> tuple[tuple[str, dict[str, Any]], ...]:
    """Return every entry of `patches/` with the one code it is about."""
    found: list[tuple[str, dict[str, Any]]] = []
    for file in sorted((PROGRAMS / "patches").glob("*.yaml")):
        for entry in read_as_text(file.read_text(encoding="utf-8")):
            codes = entry["code"]
            found += [(code, entry) for code in ([codes] if isinstance(codes, str) else codes)]
    return tuple(found)


def one_of_each(entries: Iterable[tuple[str, dict[str, Any]]], letters: int = 3) -> list[tuple[str, dict[str, Any]]]:
    """Return the first of the patches whose codes begin alike: what a change is tried with where the night has all."""
    first: dict[str, tuple[str, dict[str, Any]]] = {}
    for code, entry in entries:
        first.setdefault(code[:letters], (code, entry))
    return list(first.values())


def patched(entry: dict[str, Any]) -> dict[str, Any]:
    """Return the base program, or the one it names, changed as an entry says: first set, then dropped."""
    values = _program(entry["program"]) if "program" in entry else json.loads(_BASE_TEXT)
    for path, value in json.loads(json.dumps(entry.get("set", {}))).items():
        *way, last = _steps(path)
        place = _walk(values, way)
        if isinstance(last, int) and last == len(place):
            place.append(value)
        else:
            place[last] = value
    for path in entry.get("drop", ()):
        *way, last = _steps(path)
        del _walk(values, way)[last]
    return values


def catalogue_of(codes: Container[str], program: Program | None = None) -> Catalogue:
    """Return the built-in catalogue with these codes alone, and all figures of the law.

    What a program adopts is stated by all duties of a paragraph: those stay in.
    """
    adopted = {one.paragraph for one in adoptions_in(program)} if program is not None else set()
    kept = (
        requirement
        for requirement in built_in_catalogue().requirements
        if requirement.code in codes or any(is_under(requirement, paragraph) for paragraph in adopted)
    )
    return replace(built_in_catalogue(), requirements=tuple(kept))


def judged(values: dict[str, Any], folder: Path) -> Judged:
    """Read a description as a user's, and judge it on the day the base program is made for."""
    return judged_by(built_in_catalogue(), values, folder)


def judged_by(catalogue: Catalogue, values: dict[str, Any], folder: Path) -> Judged:
    """Do the same by another catalogue. What a program names beside it lies in the folder."""
    found = loaded(values)
    if named_beside(found.description) != Beside("", (), ""):
        file = folder / found.description.name
        file.write_text(written(values), encoding="utf-8")
        found = load_path(file)
    assert not found.diagnostics, [f"{d.location} {d.what} {d.fix}" for d in found.diagnostics]
    return judge(found, catalogue, AS_OF)


def checked_by(catalogue: Catalogue, values: dict[str, Any]) -> Checked:
    """Check a description as a program does that holds it in memory."""
    return check(loaded(values), AS_OF, catalogue)


def loaded(values: dict[str, Any]) -> Loaded:
    """Read and validate a description as a program does that holds it in memory."""
    description = _read(values)
    return understood(description, {description.name: written(values).encode()})


def _read(values: dict[str, Any]) -> Description:
    """Read what is written of each top-level name, once for all the programs that say the same there.

    Each begins a line of its own, as it may in one file.
    """
    if values["format"] != str(FORMAT):
        return parsed("program.yaml", {"program.yaml": written(values).encode()})
    parts = [_part("\n" * line + written({key: value})) for line, (key, value) in enumerate(values.items())]
    return replace(
        parts[0],
        values={key: value for part in parts for key, value in part.values.items()},
        diagnostics=[fault for part in parts for fault in part.diagnostics],
        is_complete=all(part.is_complete for part in parts),
        parts={key: of_key for part in parts for key, of_key in part.parts.items()},
    )


@lru_cache(maxsize=1000)
def _part(text: str) -> Description:
    return parsed("program.yaml", {"program.yaml": text.encode()})


def _steps(path: str) -> list[str | int]:
    return [int(index) if index else name for name, index in _STEP.findall(path)]


def _walk(values: Any, way: list[str | int]) -> Any:
    for step in way:
        values = values.setdefault(step, {}) if isinstance(step, str) else values[step]
    return values
