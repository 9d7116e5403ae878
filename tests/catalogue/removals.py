"""Takes every fact out of a description, one after another, and tells what is then asked that was not asked before."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from progdoc.app.disk.description_files import load_path
from progdoc.model.description.ids import reference_faults
from progdoc.model.description.program import Program
from progdoc.model.load import Loaded
from progdoc.rules.judge import judge
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reading.predicate_words import condition_reads
from progdoc.rules.reading.proof import PROOFS
from progdoc.rules.requirement import PATHS, Proof, Requirement

__all__ = ["Removal", "covers", "declared", "pattern_of", "removals", "steps_of", "without"]


@dataclass(frozen=True, slots=True)
class Removal:
    """A fact that was taken out, and the codes of what came up for it; refused: no model without it."""

    path: str
    is_refused: bool
    codes: tuple[str, ...]


def pattern_of(path: str) -> str:
    """Return a place as the catalogue writes it.

    >>> pattern_of("people[3].fit_tests[0].date")
    'people[].fit_tests[].date'
    """
    return re.sub(r"\[\d+\]", "[]", path)


def covers(declared_path: str, path: str) -> bool:
    """Whether a declared place is that of a fact, lies above it, or is part of the group that was taken out."""
    one, other = declared_path, path.removesuffix("[]")
    return one == other or other.startswith((f"{one}.", f"{one}[")) or one.startswith((f"{other}.", f"{other}["))


def declared(requirement: Requirement) -> frozenset[str]:
    """Return every place that a requirement says it reads: in `reads`, in its proof, and to see whether it applies."""

    def of_proof(proof: Proof) -> Iterator[str]:
        if proof.kind in PROOFS:
            yield PATHS[requirement.per] + proof.path if proof.path.startswith(".") else proof.path
        for part in proof.parts:
            yield from of_proof(part)

    return frozenset((*requirement.reads, *of_proof(requirement.proof), *condition_reads(requirement.applies)))


def removals(path: Path, as_of: date, whole: bool, shown: frozenset[str]) -> Iterator[Removal]:
    """Yield every fact of a description: each single value, and each entry of a list as a whole.

    Without the whole walk, facts of one kind (every person's every fit test has a date) are represented by the first,
    and those at the places `shown` not at all.
    """
    loaded = load_path(path)
    before = _found(loaded, as_of)
    values: Any = loaded.description.values
    kinds = set(shown)
    for way in _ways(values, ()):
        place = _written(way)
        if not whole and pattern_of(place) in kinds:
            continue
        kinds.add(pattern_of(place))
        changed = without(values, way)
        try:
            program = Program.model_validate(changed)
        except ValidationError:
            yield Removal(place, True, ())
            continue
        if reference_faults(program):
            yield Removal(place, True, ())
            continue
        after = _found(Loaded(program, loaded.description, ()), as_of)
        yield Removal(place, False, tuple(sorted({code for code, *_ in after - before})))


def _found(loaded: Loaded, as_of: date) -> frozenset[tuple[str, ...]]:
    """Return findings without their numbers: an entry taken out moves those after it up."""
    findings = judge(loaded, built_in_catalogue(), as_of).findings
    return frozenset((d.code, pattern_of(d.location.path), *d.subject) for d in findings)


def _ways(values: Any, way: tuple[str | int, ...]) -> Iterator[tuple[str | int, ...]]:
    if way and (isinstance(way[-1], int) or isinstance(values, str)):
        yield way
    entries = values.items() if isinstance(values, Mapping) else enumerate(values) if isinstance(values, list) else ()
    for key, inner in entries:
        yield from _ways(inner, (*way, key))


def steps_of(path: str) -> list[str | int]:
    """Return a place as the steps that lead to it.

    >>> steps_of("people[3].fit_tests[0].date")
    ['people', 3, 'fit_tests', 0, 'date']
    """
    return [int(index) if index else name for name, index in re.findall(r"([^.\[\]]+)|\[(\d+)\]", path)]


def without(values: Any, way: tuple[str | int, ...]) -> Any:
    """Return the values without one; only the groups on the way to it are copied."""
    changed = dict(values) if isinstance(values, Mapping) else copy.copy(values)
    if len(way) == 1:
        del changed[way[0]]
    elif way[0] in changed if isinstance(changed, dict) else way[0] < len(changed):
        changed[way[0]] = without(values[way[0]], way[1:])
    return changed


def _written(way: tuple[str | int, ...]) -> str:
    text = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in way)
    return text.removeprefix(".")
