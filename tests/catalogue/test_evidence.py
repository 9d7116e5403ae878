"""Every met names the stated facts that show it: with a fact taken away it stands no more, or another fact shows it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from catalogue.removals import pattern_of, steps_of, without
from examples import TIMES, some
from programs.patching import catalogue_of
from pydantic import ValidationError

from progdoc.app.disk.description_files import load_path
from progdoc.core.report import Status
from progdoc.model.description.ids import reference_faults
from progdoc.model.description.program import Program
from progdoc.model.load import Loaded
from progdoc.rules.judge import Judged, judge
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import Verdict

ROOT = Path(__file__).parents[2]
SAMPLES = {
    "first_draft": date(2026, 11, 24),
    "restoration_2025": date(2025, 11, 24),
    "restoration_2026": date(2026, 11, 24),
    "small_shop": date(2026, 6, 1),
}
PROGRAMS = {name: (ROOT / "sample_config" / name, day) for name, day in SAMPLES.items()} | {
    file.stem: (file, date(2026, 6, 1)) for file in sorted((ROOT / "tests" / "programs").glob("*.yaml"))
}

Key = tuple[str, tuple[str, ...]]  # a code, and the subject it is met for

# Each change takes facts out of the small programs, and what shows a code in the same places in several programs out of
# the first of them, every third of them; the night takes all out of all, single facts out of the samples too.
SMALL = [name for name in PROGRAMS if TIMES > 1 or name not in SAMPLES]
COMPLETE = [name for name in PROGRAMS if TIMES > 1 or name not in ("first_draft", "restoration_2025")]


@cache
def _loaded(name: str) -> Loaded:
    return load_path(PROGRAMS[name][0])


@cache
def _judged(name: str) -> Judged:
    return judge(_loaded(name), built_in_catalogue(), PROGRAMS[name][1])


def _met(judged: Judged) -> dict[Key, Verdict]:
    return {(v.requirement.code, v.subject.ids): v for v in judged.verdicts if v.status is Status.MET}


def _met_without(name: str, paths: tuple[str, ...], keys: Iterable[Key]) -> dict[Key, Verdict]:
    """Judge a program without some facts, by the codes of some keys; nothing is met where it is not understood."""
    values: Any = _loaded(name).description.values
    for path in sorted(paths, reverse=True):  # a later entry of a list before an earlier one
        values = without(values, tuple(steps_of(path)))
    try:
        program = Program.model_validate(values)
    except ValidationError:
        return {}
    if reference_faults(program):
        return {}
    catalogue = catalogue_of({code for code, _ in keys}, program)
    return _met(judge(Loaded(program, _loaded(name).description, ()), catalogue, PROGRAMS[name][1]))


@pytest.mark.parametrize("name", PROGRAMS)
def test_no_met_without_evidence_and_all_of_it_is_stated(name: str) -> None:
    judged = _judged(name)
    met = _met(judged)
    assert [key for key, verdict in met.items() if not verdict.evidence] == []
    unstated = [(key, path) for key, v in met.items() for path in v.evidence if not judged.index.is_stated(path)]
    assert unstated == []


def _shown(name: str, singly: bool) -> Iterator[tuple[Key, tuple[str, ...]]]:
    """Yield each met with the facts that show it: one by one, or all at once where there are several."""
    for key, verdict in _met(_judged(name)).items():
        if singly:
            yield from ((key, (path,)) for path in verdict.evidence)
        elif len(verdict.evidence) > 1:
            yield key, verdict.evidence


def _to_take_away(name: str, names: list[str], singly: bool) -> dict[tuple[str, ...], list[Key]]:
    """Return by the facts that are taken away what is met by them; on each change what is of one kind once."""

    def kind_of(key: Key, paths: tuple[str, ...]) -> tuple[str, ...]:
        return (key[0], *map(pattern_of, paths))

    earlier = names[: names.index(name)]
    seen = {kind_of(*pair) for program in earlier for pair in _shown(program, singly)}
    found: dict[tuple[str, ...], list[Key]] = {}
    for key, paths in _shown(name, singly):
        if TIMES > 1 or kind_of(key, paths) not in seen:
            seen.add(kind_of(key, paths))
            found.setdefault(paths, []).append(key)
    return found


def _unmoved(name: str) -> Iterator[tuple[str, str]]:
    """Yield the code and place of each met that a removed fact of its evidence leaves standing on nothing new."""
    met = _met(_judged(name))
    for (path,), keys in some(_to_take_away(name, SMALL, singly=True).items(), 6):
        still = _met_without(name, (path,), keys)
        for key in keys:
            if key in still and set(still[key].evidence) <= set(met[key].evidence) - {path}:
                yield key[0], pattern_of(path)


@pytest.mark.parametrize("name", SMALL)
def test_a_met_falls_with_any_fact_that_shows_it(name: str) -> None:
    assert sorted(set(_unmoved(name))) == []


@pytest.mark.parametrize("name", COMPLETE)
def test_a_met_falls_where_all_that_shows_it_is_taken_away(name: str) -> None:
    standing = []
    for paths, keys in some(_to_take_away(name, COMPLETE, singly=False).items(), 6):
        still = _met_without(name, paths, keys)
        standing += [key for key in keys if key in still and set(still[key].evidence) & set(paths)]
    assert standing == []


def test_what_was_taken_away_and_put_back_is_met_again() -> None:
    """Judging reads nothing but the description: the same facts give the same verdicts."""
    again = judge(_loaded("base"), built_in_catalogue(), PROGRAMS["base"][1])
    assert {k: v.evidence for k, v in _met(again).items()} == {k: v.evidence for k, v in _met(_judged("base")).items()}
