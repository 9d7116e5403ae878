"""Judging and printing grow with what is described, and no faster: counted in calls, the same on every machine."""

from __future__ import annotations

import copy
from collections.abc import Callable
from datetime import timedelta
from functools import partial
from typing import Any

import pytest
from calls import calls_in
from programs.patching import AS_OF, BASE, catalogue_of, loaded

from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.model.load import Loaded
from progdoc.rules.judge import judge
from progdoc.rules.reading.catalogue import built_in_catalogue

SIZES = (5, 5, 10, 20)  # the first fills what is read once for all


def people(count: int) -> dict[str, Any]:
    wearers = [{**BASE["people"][0], "id": f"w{n}", "name": f"Wearer {n}"} for n in range(count)]
    tasks = [{**task, "people": [one["id"] for one in wearers]} for task in BASE["tasks"]]
    return {**BASE, "people": wearers, "tasks": tasks}


def people_each_unlike(count: int) -> dict[str, Any]:
    """Wearers of whom no two have the same recorded: each is judged for themselves."""
    values = people(count)
    for n, wearer in enumerate(values["people"]):
        day = (AS_OF - timedelta(days=30 + n)).isoformat()
        wearer["training"] = [{**wearer["training"][0], "date": day}]
        wearer["fit_tests"] = [{**wearer["fit_tests"][0], "date": day, "tester": "Ada Brook"}]
        wearer["medical"] = [{**wearer["medical"][0], "date": (AS_OF - timedelta(days=200 + n)).isoformat()}]
    return values


def tasks_without_names(count: int) -> dict[str, Any]:
    """Tasks that name nobody: each may be done by all on one day."""
    task, hazard = BASE["tasks"][0], BASE["hazards"][0]
    tasks = [{**task, "id": f"t{n}", "name": f"Scraping, part {n}", "people": []} for n in range(count)]
    hazards = [{**copy.deepcopy(hazard), "id": f"h{n}", "task": f"t{n}"} for n in range(count)]
    return {**BASE, "tasks": tasks, "hazards": hazards}


def tasks_of_crews(count: int) -> dict[str, Any]:
    values = tasks_without_names(count)
    wearers = [{**BASE["people"][0], "id": f"w{n}", "name": f"Wearer {n}"} for n in range(count * 2)]
    tasks = [{**task, "people": [f"w{2 * n}", f"w{2 * n + 1}"]} for n, task in enumerate(values["tasks"])]
    return {**values, "people": wearers, "tasks": tasks}


def judged_and_printed(described: Loaded) -> None:
    written_program(judge(described, built_in_catalogue(), AS_OF), shipped_templates())


@pytest.mark.parametrize("make", [people, tasks_without_names, tasks_of_crews])
def test_twice_as_much_takes_twice_the_calls(make: Callable[[int], dict[str, Any]]) -> None:
    described = [loaded(make(size)) for size in SIZES]
    assert not any(one.diagnostics for one in described)
    _, few, more, many = (calls_in(partial(judged_and_printed, one)) for one in described)
    assert (many - more) / (more - few) <= 2.1


@pytest.mark.parametrize("make", [people, people_each_unlike, tasks_of_crews])
def test_nobody_is_looked_for_among_all_others(make: Callable[[int], dict[str, Any]]) -> None:
    """What grows with the square is small beside the rest of a small firm: here the rest was worked out before."""
    described = [loaded(make(size)) for size in (20, 40, 80)]
    judging = [partial(judge, one, built_in_catalogue(), AS_OF) for one in described]
    for work in judging:
        work()
    few, more, many = map(calls_in, judging)
    assert (many - more) / (more - few) <= 2.02


DAYS = {"met-twice-a-day", "others-that-day"}  # grounds of a hazard that look at all other tasks


def test_what_meets_on_a_day_is_not_looked_for_once_a_hazard() -> None:
    rules = built_in_catalogue().requirements
    codes = {one.code for one in rules if any(DAYS & set(proof.grounds) for proof in one.proof.singles())}
    catalogue = catalogue_of(codes)
    described = [loaded(tasks_without_names(size)) for size in (20, 20, 40, 80)]
    _, few, more, many = (calls_in(partial(judge, one, catalogue, AS_OF)) for one in described)
    assert codes
    assert (many - more) / (more - few) <= 2.1
