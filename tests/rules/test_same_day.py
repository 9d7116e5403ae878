"""An agent met in several tasks of one day: what one person takes in at all of them is set against the limit.

The sum over a shift and its example are the law's; who works where, and the masks, are invented.
"""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from published_value import published
from rules.workplaces import codes, described, sample, samples, selected

from progdoc.model.description.workplace import Task
from progdoc.rules.air.same_day import groups_of_one_day
from progdoc.rules.judged.mask_results import Selection

HALF = {"mask": "m", "filters": ["p100"]}
PERIODS = [(150.0, 2), (75.0, 2), (50.0, 4)]  # ppm and hours of the law's example: 81.25 ppm over 8 hours


def task(name: str, hours: float | None = 4, **more: Any) -> dict[str, Any]:
    said = {"id": name, "name": name, "industry": "general", "use": "none", "confined_space": "no", "people": ["p"]}
    return {**said, **({"duration": f"{hours:g} h"} if hours else {}), **more}


def dust(name: str, level: str, hours: float = 4, **more: Any) -> dict[str, Any]:
    sampled = samples(sample(level, int(hours * 60), rest_of_shift="zero", fraction="total"))
    return {"task": name, "agent": "titanium dioxide", "form": "dust", "exposure": sampled, **more}


def of(tasks: list[dict[str, Any]], hazards: list[dict[str, Any]], **more: Any) -> Selection:
    people = [{"id": "p"}, {"id": "q"}]
    return selected(described(hazards, tasks=tasks, people=people, **more))


def is_over(found: Selection, code: str = "EXP-040") -> set[str]:
    return {name for name, air in found.air.items() if any(code in codes(agent) for agent in air.agents)}


def split(level: str, **more: Any) -> Selection:
    """The same dust for four hours in each of two tasks."""
    return of([task("a", **more), task("b", **more)], [dust("a", level), dust("b", level)])


@published("29 CFR 1910.1000(d)(1)(ii), worked example: 81.25 ppm")
@pytest.mark.parametrize(("limit", "is_passed"), [("81.25 ppm", False), ("81.24 ppm", True), ("100 ppm", False)])
def test_the_example_of_the_law_done_as_three_tasks(limit: str, is_passed: bool) -> None:
    tasks = [task(f"t{i}", hours) for i, (_, hours) in enumerate(PERIODS)]
    own = {"value": limit, "averaging": "TWA", "source": "Our own rule"}
    hazards = [
        {
            "task": f"t{i}", "agent": "styrene", "form": "vapour", "limit": own,
            "exposure": samples(
                sample(f"{level:g} ppm", hours * 60, rest_of_shift="zero"),
                *[sample("10 ppm", 15, averaging=kind) for kind in ("ceiling",)],
            ),
        }
        for i, (level, hours) in enumerate(PERIODS)
    ]  # fmt: skip
    found = of(tasks, hazards)
    assert is_over(found) == ({"t0", "t1", "t2"} if is_passed else set())
    assert all(air.needs_mask is is_passed for air in found.air.values() if not air.danger)


@published("29 CFR 1910.1000, Table Z-1: titanium dioxide, total dust, 15 mg/m3")
@pytest.mark.parametrize(("level", "is_passed"), [("15 mg/m3", False), ("15.1 mg/m3", True), ("20 mg/m3", True)])
def test_a_task_cut_in_two_asks_for_what_the_whole_asks_for(level: str, is_passed: bool) -> None:
    whole = of([task("a", 8)], [dust("a", level, 8)])
    halves = split(level)
    assert whole.air["a"].needs_mask is is_passed
    assert is_over(halves) == ({"a", "b"} if is_passed else set())
    if is_passed:
        assert halves.air["a"].needed.value == pytest.approx(whole.air["a"].needed.value)


@published("29 CFR 1910.134(d)(3)(i)(A), Table 1: half mask 10; Table Z-1: titanium dioxide 15 mg/m3")
def test_behind_masks_the_day_is_held_against_their_factor() -> None:
    worn = {"use": "required", "masks": [HALF]}
    assert is_over(split("140 mg/m3", **worn)) == set()  # 9.3 times over the day, and the mask is good for 10
    too_much = split("280 mg/m3", **worn)  # each task alone 9.3 times
    assert is_over(too_much) == {"a", "b"}
    assert "SEL-003" in codes(too_much.masks["a", "m"])
    one_without = of([task("a", **worn), task("b")], [dust("a", "280 mg/m3"), dust("b", "20 mg/m3")])
    assert is_over(one_without) == {"a", "b"}


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ({"never_same_day": ["b"]}, {}),
        ({}, {"never_same_day": ["a"]}),
        ({}, {"people": ["q"]}),
        ({}, {"done_by": "others", "people": []}),
        ({"use": "required", "masks": [HALF]}, {}),
    ],
)
def test_the_lawful_neighbours_are_left_in_peace(first: dict[str, Any], second: dict[str, Any]) -> None:
    found = of([task("a", **first), task("b", **second)], [dust("a", "20 mg/m3"), dust("b", "20 mg/m3")])
    assert is_over(found) == set()


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ({}, {}),
        ({"frequency": "Weekly"}, {"frequency": "On Fridays"}),
        ({"days_per_year": "10"}, {"days_per_year": "20"}),
        ({"people": []}, {}),
        ({"people": []}, {"people": []}),
        ({"people": ["p", "q"]}, {"people": ["q"]}),
        ({"never_same_day": ["a"]}, {}),
        ({"duration": "3 h"}, {}),
        ({"use": "voluntary", "masks": [HALF]}, {}),
    ],
)
def test_what_excludes_no_day_is_added(first: dict[str, Any], second: dict[str, Any]) -> None:
    found = of([task("a", **first), task("b", **second)], [dust("a", "20 mg/m3"), dust("b", "20 mg/m3")])
    assert is_over(found) == {"a", "b"}


def test_a_day_holds_no_more_hours_than_its_shift() -> None:
    hazards = [dust("a", "14 mg/m3", 8), dust("b", "14 mg/m3", 8)]
    assert is_over(of([task("a", 8), task("b", 8)], hazards)) == set()
    assert is_over(of([task("a", 8), task("b", 8, shift="12 h")], hazards)) == {"a", "b"}
    assert is_over(of([task("a", None), task("b", None)], hazards)) == {"a", "b"}  # nobody says how long they last


def test_like_is_added_to_like() -> None:
    other = {"agent": "carbon black"}
    assert is_over(of([task("a"), task("b")], [dust("a", "20 mg/m3"), dust("b", "5 mg/m3", **other)])) == set()
    finest = samples(sample("4 mg/m3", 240, rest_of_shift="zero", fraction="respirable"))
    kaolin = {"agent": "kaolin", "form": "dust"}
    both = [{"task": "a", **kaolin, "exposure": finest}, dust("b", "20 mg/m3", **kaolin)]
    assert is_over(of([task("a"), task("b")], both)) == set()


@published("29 CFR 1910.1000(d)(1)(i): a sum over the shift")
def test_the_limit_of_a_client_is_one_of_the_day_too() -> None:
    client = {"id": "host", "by": "Diocese", "source": "Rules 2026", "agents": ["titanium dioxide"]}
    policy = {**client, "exposure_limits": [{"value": "6 mg/m3"}]}
    tasks = [task("a"), task("b")]
    found = of(tasks, [dust("a", "8 mg/m3"), dust("b", "8 mg/m3")], policies=[policy])
    told = [r for a in found.air["a"].agents for r in a.reasons if r.code == "EXP-040"]
    assert [reason.words["citation"] for reason in told] == ["Diocese, Rules 2026 (policy `host`)"]
    over_law = of(
        tasks,
        [dust("a", "20 mg/m3"), dust("b", "20 mg/m3")],
        policies=[{**policy, "exposure_limits": [{"value": "14 mg/m3"}]}],
    )
    told = [r for a in over_law.air["a"].agents for r in a.reasons if r.code == "EXP-040"]
    assert [reason.words["citation"] for reason in told] == ["29 CFR 1910.1000(d)(1)(i)"]


@published("29 CFR 1910.1000(d)(1)(i): a sum over the shift")
@pytest.mark.parametrize(("limit", "is_passed"), [("10.9 mg/m3", True), ("11 mg/m3", False)])
def test_a_limit_of_the_firm_in_one_task_is_one_of_its_day(limit: str, is_passed: bool) -> None:
    own = {"limit": {"value": limit, "source": "Published advice", "fraction": "total"}}
    found = of([task("a"), task("b")], [dust("a", "12 mg/m3", **own), dust("b", "10 mg/m3")])
    assert is_over(found) == ({"a", "b"} if is_passed else set())


def test_another_spelling_is_the_same_agent() -> None:
    own = {"limit": {"value": "5 mg/m3", "source": "Our own rule"}}
    for one, other in (("titanium dioxide", "13463-67-7"), ("Bone glue dust", "bone glue dust")):
        hazards = [dust("a", "8 mg/m3", agent=one, **own), dust("b", "8 mg/m3", agent=other, **own)]
        assert is_over(of([task("a"), task("b")], hazards)) == {"a", "b"}


def test_without_a_figure_nothing_can_be_added_and_that_is_asked() -> None:
    table = {"kind": "silica-table-1", "row": "xi", "place": "outdoors", "controls_in_place": ["shroud"]}
    sampled = samples(sample("40 ug/m3", 240, rest_of_shift="zero", fraction="respirable"))
    silica = {"agent": "crystalline silica", "form": "dust"}
    tasks = [task("a", industry="construction"), task("b", industry="construction")]
    mixed = [{"task": "a", **silica, "exposure": table}, {"task": "b", **silica, "exposure": sampled}]
    full = {"kind": "lead-task", "group": "i", "task": "manual scraping"}
    lead = [{"task": "a", "agent": "lead", "exposure": full}, dust("b", "10 ug/m3", agent="lead")]
    assert is_over(of(tasks, lead), "EXP-041") == {"a"}
    assert is_over(of([{**tasks[0], "never_same_day": ["b"]}, tasks[1]], lead), "EXP-041") == set()
    both = [{"task": name, **silica, "exposure": table} for name in ("a", "b")]
    assert is_over(of(tasks, both), "EXP-041") == set()  # Table 1 counts the hours of all its rows itself
    assert not is_over(of(tasks, mixed), "EXP-040")


# ---- which tasks meet on one day ----------------------------------------------------------------------


NAMES = "abcde"
PAIRS = list(combinations(NAMES, 2))


@given(st.lists(st.sampled_from(PAIRS), unique=True), st.lists(st.sets(st.sampled_from("pq")), min_size=5, max_size=5))
def test_groups_hold_exactly_what_may_meet(apart: list[tuple[str, str]], doers: list[set[str]]) -> None:
    tasks = [
        Task(id=name, name=name, people=sorted(people), never_same_day=[y for x, y in apart if x == name])
        for name, people in zip(NAMES, doers, strict=True)
    ]
    of_name = {one.id: one for one in tasks}

    def meet(one: str, other: str) -> bool:
        people = of_name[one].people, of_name[other].people
        anybody = not all(people) or set(people[0]) & set(people[1])
        return bool(anybody) and (one, other) not in apart and (other, one) not in apart

    found = {pair for group in groups_of_one_day(tasks) for pair in combinations((t.id for t in group), 2)}
    assert found == {pair for pair in PAIRS if meet(*pair)}


@published(
    "29 CFR 1910.1000(d)(2)(i)-(ii): the sum of a mixture; Table Z-1: xylenes 100 ppm, styrene by the firm's limit"
)
@pytest.mark.parametrize(
    ("more", "is_told"), [({}, True), ({"never_same_day": ["b"]}, False), ({"people": ["q"]}, False)]
)
def test_several_agents_of_a_day_are_a_mixture(more: dict[str, Any], is_told: bool) -> None:
    def vapour(where: str, agent: str, level: str) -> dict[str, Any]:
        taken = samples(sample(level, 240, rest_of_shift="zero"))
        return {"task": where, "agent": agent, "form": "vapour", "exposure": taken}

    two = [vapour("a", "xylene", "120 ppm"), vapour("b", "n-butyl acetate", "180 ppm")]  # 0.6 + 0.6
    assert is_over(of([task("a", **more), task("b")], two), "EXP-044") == ({"a"} if is_told else set())
    less = [two[0], vapour("b", "n-butyl acetate", "110 ppm")]  # 0.6 + 0.37
    assert is_over(of([task("a", **more), task("b")], less), "EXP-044") == set()
    apart = [two[0], {**two[1], "acts_elsewhere": "Acts on the eyes alone"}]
    assert is_over(of([task("a", **more), task("b")], apart), "EXP-044") == set()
    assert not any(air.needs_mask for air in of([task("a", **more), task("b")], two).air.values())


def test_hundreds_of_tasks_are_one_group_and_those_kept_apart_are_few() -> None:
    tasks = [Task(id=f"t{i}", name="t", people=["p"], never_same_day=["t1"] if i == 0 else []) for i in range(1500)]
    assert [len(group) for group in groups_of_one_day(tasks)] == [1499, 1499]


@pytest.mark.parametrize(
    ("first", "second", "meet"),
    [
        ({"frequency": "Daily"}, {"frequency": "Daily"}, True),
        ({"frequency": "Every working day"}, {"days_per_year": "220"}, True),
        ({"days_per_year": "200"}, {"days_per_year": "166"}, True),
        ({"days_per_year": "200"}, {"days_per_year": "165"}, False),
        ({"frequency": "Four days a week"}, {"frequency": "Three days a week"}, False),
        ({"frequency": "Daily in summer"}, {"frequency": "Daily in winter"}, False),
        ({"frequency": "Every day, one week of two"}, {"frequency": "Daily, alternating with the other"}, False),
        ({"frequency": "Now and then"}, {"frequency": "Daily"}, True),
        ({"frequency": "Now and then"}, {"frequency": "Weekly"}, False),
        ({"frequency": "Monday to Friday"}, {"frequency": "Mon-Fri"}, True),
        ({"frequency": "Weekdays"}, {"frequency": "Each shift"}, True),
        ({"frequency": "Mornings"}, {"frequency": "Afternoons"}, True),
        ({"frequency": "Monday to Thursday"}, {"frequency": "Fridays"}, False),
        ({"frequency": "Fridays"}, {"frequency": "Every Friday"}, True),
        ({"frequency": "Every second Friday"}, {"frequency": "Fridays"}, False),
        ({"frequency": "Mondays or Fridays"}, {"frequency": "Fridays"}, False),
    ],
)
def test_no_two_tasks_are_kept_apart_on_more_days_than_a_year_has(
    first: dict[str, Any], second: dict[str, Any], meet: bool
) -> None:
    """18 mg/m3 for half a shift in each of two tasks, where 15 over a shift is allowed."""
    tasks = [task("a", **first), task("b", never_same_day=["a"], **second)]
    found = of(tasks, [dust("a", "18 mg/m3"), dust("b", "18 mg/m3")])
    assert is_over(found) == ({"a", "b"} if meet else set())


@published("29 CFR 1910.1000(d)(2)(i): the sum is one of the air; 0.772 + 0.253 are over 1 with masks and without")
@pytest.mark.parametrize("agents", [("xylene", "n-butyl acetate"), ("xylene", "xylene")], ids=["mixture", "one agent"])
@pytest.mark.parametrize("use", ["required", "voluntary"])
def test_what_a_day_comes_to_in_the_air_is_told_whether_masks_are_worn_or_not(
    agents: tuple[str, str], use: str
) -> None:
    limits = {"xylene": 100.0, "n-butyl acetate": 150.0}

    def found(first: float, second: float) -> tuple[Any, ...]:
        times = zip("ab", agents, (first, second), strict=True)
        hazards = [
            {
                "task": where,
                "agent": agent,
                "form": "vapour",
                "exposure": samples(sample(f"{part * limits[agent] * 2.0:g} ppm", 240, rest_of_shift="zero")),
            }
            for where, agent, part in times
        ]
        masks = [{"mask": "m", "filters": ["ov"]}] if use == "required" else []
        return of([task("a", use=use, masks=masks), task("b", use=use, masks=masks)], hazards).days

    (day,) = found(0.772, 0.253)
    assert (day.tasks, day.worked.value) == (("a", "b"), pytest.approx(1.025))
    assert day.behind_masks == pytest.approx(0.1025 if use == "required" else 1.025)
    assert found(0.5, 0.253) == ()
