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


def people_of_groups(count: int) -> dict[str, Any]:
    """Wearers of two groups, of which policies bind one: in their records, and in their masks."""
    values = people(count)
    for n, wearer in enumerate(values["people"]):
        wearer["group"] = ("inside", "outside")[n % 2]
    asks = {"fit_test_interval": "6 months", "protection_credits": [{"facepiece": "half-mask", "most": "5"}]}
    policy = {"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "groups": ["inside"], **asks}
    groups = [{"id": name, "name": name, "status": "employee"} for name in ("inside", "outside")]
    return {**values, "groups": groups, "policies": [policy]}


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


@pytest.mark.parametrize("make", [people, people_of_groups, tasks_without_names, tasks_of_crews])
def test_twice_as_much_takes_twice_the_calls(make: Callable[[int], dict[str, Any]]) -> None:
    described = [loaded(make(size)) for size in SIZES]
    assert not any(one.diagnostics for one in described)
    _, few, more, many = (calls_in(partial(judged_and_printed, one)) for one in described)
    assert (many - more) / (more - few) <= 2.1


@pytest.mark.parametrize("make", [people, people_of_groups, people_each_unlike, tasks_of_crews])
def test_nobody_is_looked_for_among_all_others(make: Callable[[int], dict[str, Any]]) -> None:
    """What grows with the square is small beside the rest of a small firm: here the rest was worked out before."""
    described = [loaded(make(size)) for size in (20, 40, 80)]
    judging = [partial(judge, one, built_in_catalogue(), AS_OF) for one in described]
    for work in judging:
        work()
    few, more, many = map(calls_in, judging)
    assert (many - more) / (more - few) <= 2.02


def test_whom_a_policy_for_a_group_binds_is_not_worked_out_person_by_person() -> None:
    """Each more of people of two groups, one of them bound, takes few calls more than where the same binds all."""

    def bound_alike(count: int) -> dict[str, Any]:
        values = people_of_groups(count)
        return {**values, "policies": [{**policy, "groups": []} for policy in values["policies"]]}

    judging = [
        [partial(judge, loaded(make(size)), built_in_catalogue(), AS_OF) for size in (20, 20, 60)]
        for make in (bound_alike, people_of_groups)
    ]
    alike, apart = ((many - few) / 40 for _, few, many in (map(calls_in, works) for works in judging))
    assert apart / alike <= 1.2


DAYS = {"met-twice-a-day", "others-that-day"}  # grounds of a hazard that look at all other tasks


def test_what_meets_on_a_day_is_not_looked_for_once_a_hazard() -> None:
    rules = built_in_catalogue().requirements
    codes = {one.code for one in rules if any(DAYS & set(proof.grounds) for proof in one.proof.singles())}
    catalogue = catalogue_of(codes)
    described = [loaded(tasks_without_names(size)) for size in (20, 20, 40, 80)]
    _, few, more, many = (calls_in(partial(judge, one, catalogue, AS_OF)) for one in described)
    assert codes
    assert (many - more) / (more - few) <= 2.1
