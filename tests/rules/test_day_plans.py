"""The plan of days: the list of what falls due in another order, nobody missing, none twice, none late through it."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from programs.whole import WHOLE, judged_whole

from progdoc.model.description.program import Program
from progdoc.rules.due.day_plans import day_plan
from progdoc.rules.due.due_items import DueItem, outlook
from progdoc.rules.judged.due_results import Kind, Outlook
from progdoc.rules.judged.plan_results import DayKind, DayPlan

AS_OF = date(2026, 11, 24)
PROGRAM = Program.model_validate(
    {
        "format": "1",
        "masks": [{"id": "half", "name": "half mask", "sizes": ["S", "M"]}, {"id": "full", "filters": ["p100"]}],
        "filters": [{"id": "p100", "name": "magenta disc"}],
        "people": [
            {"id": f"p{n}", "masks": [{"mask": "half", "size": "SM"[n % 2]}, {"mask": "full"}]} for n in range(4)
        ],
    }
)
OF_PEOPLE = {
    "medical": Kind.MEDICAL,
    "surveillance": Kind.MEDICAL,
    "training": Kind.TRAINING,
    "appendix_d": Kind.INFORMATION,
    "has_read": Kind.READING,
    "fit_tests": Kind.FIT_TEST,
}


def item(person: int, record: str, mask: str, days: int | None) -> DueItem:
    kind = OF_PEOPLE.get(record, Kind.CYLINDER)
    subject = (f"people.p{person}", f"masks.{mask}") if kind is Kind.FIT_TEST else (f"people.p{person}",)
    if record == "cylinder":
        subject = ("masks.half", "units.x")
    name = f"{record}.p{person}.{mask if kind is Kind.FIT_TEST else ''}"
    due = None if days is None else AS_OF + timedelta(days=days)
    return DueItem(name, kind, due, f"{record} of p{person}", "on record", "law", f"people[{person}].{record}", subject)


items = st.builds(
    item,
    st.integers(0, 3),
    st.sampled_from([*OF_PEOPLE, "cylinder"]),
    st.sampled_from(["half", "full"]),
    st.one_of(st.none(), st.integers(-30, 200)),
)
outlooks = st.lists(items, max_size=25, unique_by=lambda one: one.id).map(lambda found: outlook(found, AS_OF, 120))


def wanted(seen: Outlook) -> list[str]:
    """What falls due for people by now or within the days looked ahead, as the list of `due` has it."""
    ours = set(OF_PEOPLE.values())
    return sorted(one.id for one in (*seen.overdue, *seen.soon) if one.kind in ours)


def faults_of(plan: DayPlan, seen: Outlook) -> list[str]:
    found = []
    entries = [(day, one) for day in plan.days for one in day.items]
    if sorted(one.item.id for _, one in entries) != wanted(seen):
        found.append("not the list of what is due")
    for day, one in entries:
        own = max(one.item.due or plan.as_of, plan.as_of)
        if not plan.as_of <= day.latest <= one.by <= own:
            found.append(f"{one.item.id} would be late")
        if one.by > day.latest + timedelta(days=plan.together_days):
            found.append(f"{one.item.id} is asked for too early")
        if one.is_late != (one.item.state in ("now", "overdue")) or one.comes_first != (one.by < own):
            found.append(f"{one.item.id} is told wrongly")
    for person in {one.person for _, one in entries}:
        tests = [day.latest for day, one in entries if one.person == person and day.kind is DayKind.FIT_TESTS]
        before = [
            day.latest
            for day, one in entries
            if one.person == person and one.item.path.endswith((".training", ".medical"))
        ]
        if tests and before and max(before) > min(tests):
            found.append(f"{person} would be fit-tested first")
    for kind in DayKind:
        days = [day.latest for day in plan.days if day.kind is kind]
        between = timedelta(days=plan.together_days)
        if any(later - day <= between for day, later in pairwise(days) if day > plan.as_of):
            found.append(f"more days than need be: {kind}")
    return found


@examples(150)
@given(outlooks, st.integers(0, 90))
def test_whatever_falls_due_is_in_the_plan_once_and_in_time(seen: Outlook, together: int) -> None:
    assert faults_of(day_plan(seen, PROGRAM, together), seen) == []


def test_so_it_is_for_every_program_of_the_suite() -> None:
    strays = {}
    held = 0
    for name in WHOLE:
        judged = judged_whole(name)
        for within in (0, 60, 400):
            seen = judged.due(within)
            plan = day_plan(seen, judged.description)
            held += sum(len(day.items) for day in plan.days)
            if wrong := faults_of(plan, seen):
                strays[name, within] = wrong
            if plan.others != len({one.id for one in (*seen.overdue, *seen.soon)}) - len(wanted(seen)):
                strays[name, within] = ["others"]
    assert strays == {} and held > 50


def test_what_has_to_be_at_a_fit_test_is_told_by_mask_and_size() -> None:
    found = [item(n, "fit_tests", "half", 10 + n) for n in range(4)] + [item(0, "fit_tests", "full", None)]
    plan = day_plan(outlook(found, AS_OF, 60), PROGRAM)
    at_once, day = plan.days
    assert (at_once.latest, at_once.late, day.latest) == (AS_OF, 1, AS_OF + timedelta(days=10))
    assert [(gear.mask, gear.size, gear.people, gear.filters) for gear in at_once.gear] == [
        ("full", "", 1, ("magenta disc",))
    ]
    assert [(gear.mask, gear.size, gear.people) for gear in day.gear] == [("half mask", "M", 2), ("half mask", "S", 2)]


def test_the_clinic_and_the_class_come_before_the_fit_test_they_are_for() -> None:
    found = [
        item(0, "fit_tests", "half", 10), item(0, "training", "", 50), item(0, "medical", "", 40),
        item(0, "surveillance", "", 45), item(1, "training", "", 50),
    ]  # fmt: skip
    plan = day_plan(outlook(found, AS_OF, 60), PROGRAM, 20)
    told = [(day.kind.value, (day.latest - AS_OF).days, [one.item.id for one in day.items]) for day in plan.days]
    assert told == [
        ("clinic", 10, ["medical.p0."]),
        ("class", 10, ["training.p0."]),
        ("fit-tests", 10, ["fit_tests.p0.half"]),
        ("clinic", 45, ["surveillance.p0."]),
        ("class", 50, ["training.p1."]),
    ]
