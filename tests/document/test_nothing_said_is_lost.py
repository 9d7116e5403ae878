"""Whatever somebody says is found in the papers: every field of the model, with a value of its own, is looked up."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from catalogue.removals import pattern_of
from document.said_fields import choices_in, each_paper, flipped, judged_values, marked, papers_of, says
from examples import TIMES, some
from programs.patching import PROGRAMS, read_as_text

from progdoc.model.description.fields import every_place, said_in

NAMES = (
    "base", "crypt-with-airline", "fire-fighting", "varnishing", "half-masks-by-choice", "everything-said",
    "washington-shop", "campus-with-groups", "fire-brigade",
)  # fmt: skip
REVIEWED: list[dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("said_elsewhere.yaml").read_text(encoding="utf-8")
)


def reviewed(kind: str) -> frozenset[str]:
    return frozenset(place for entry in REVIEWED for place in entry.get(kind, ()))


@cache
def every_place_in_order() -> dict[str, int]:
    return {place: number for number, place in enumerate(sorted(every_place()))}


def values_of(name: str) -> dict[str, Any]:
    values: dict[str, Any] = read_as_text((PROGRAMS / f"{name}.yaml").read_text(encoding="utf-8"))
    return values


@cache
def places_in(name: str) -> frozenset[str]:
    return frozenset(pattern_of(path) for path, _ in said_in(judged_values(values_of(name)).description))


def test_the_list_gives_reasons() -> None:
    assert all(len(entry["because"]) > 20 for entry in REVIEWED)
    assert frozenset().union(*map(reviewed, ("kept", "not-printed", "no-choice", "not-set"))) <= set(every_place())


def test_every_field_is_said_in_some_program() -> None:
    said = frozenset().union(*map(places_in, NAMES))
    assert set(every_place()) - said == reviewed("not-set")


@pytest.mark.parametrize("name", some(NAMES[::-1], 3))
def test_every_value_is_printed_where_it_belongs(name: str) -> None:
    values, printed = marked(values_of(name), reviewed("kept"))
    papers = papers_of(judged_values(values))
    lost, leaked = [], []
    for path, shown in printed.items():
        is_restricted = path.startswith("people") or ".units[" in path
        if pattern_of(path) in reviewed("not-printed"):
            continue
        if not says(papers.restricted if is_restricted else papers.public + papers.restricted, shown):
            lost.append((path, shown))
        if path.startswith("people") and "zq" in shown and says(papers.public, shown):
            leaked.append(path)
    assert (lost, leaked) == ([], [])


@pytest.mark.parametrize("name", some(NAMES, 5))
def test_every_yes_and_every_choice_makes_a_difference(name: str) -> None:
    """The first of each kind is turned round, unless an earlier program has shown it; a change tries a twentieth."""
    values = values_of(name)
    before = list(each_paper(judged_values(values)))
    earlier = frozenset().union(*map(places_in, NAMES[: NAMES.index(name)]))
    unseen: dict[str, bool] = {}
    for path, other in choices_in(values):
        place = pattern_of(path)
        if place in earlier or unseen.get(place) is False or place in reviewed("no-choice"):
            continue
        if TIMES == 1 and every_place_in_order()[place] % 20:
            continue
        changed = flipped(values, path, other)
        try:
            after = each_paper(judged_values(changed))
        except AssertionError:
            continue  # it may not stand beside the others
        unseen[place] = all(one == other for one, other in zip(before, after, strict=True))
    assert [place for place, is_lost in unseen.items() if is_lost] == []
