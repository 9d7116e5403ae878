"""The plan of days on a screen, and for other programs. Both name people: not for handing on."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date

from progdoc.core.lines import Line
from progdoc.core.numbers import counted, long_date
from progdoc.rules.judged.plan_results import DayKind, DayPlan, Gear, PlannedDay, PlannedItem

__all__ = ["FORMAT", "day_title", "gear_words", "item_words", "plan_json", "plan_lines", "weekday"]

FORMAT = "progdoc-plan/1"
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_TITLES = {DayKind.CLINIC: "Clinic day", DayKind.CLASS: "Class", DayKind.FIT_TESTS: "Day of fit tests"}


def plan_lines(plan: DayPlan) -> Iterator[list[Line]]:
    """Return the days to arrange: by when, whom to book, what to bring."""
    within = f"within {counted(plan.within_days, 'day')} of {long_date(plan.as_of)}"
    if not plan.days:
        yield [Line(f"Nobody has to be booked for anything {within}.", is_typed=True)]
    else:
        yield [Line(f"{counted(len(plan.days), 'day')} to arrange, for what falls due {within}.", is_typed=True)]
    for day in plan.days:
        yield [
            Line(f"{day_title(day.kind)}: {by_words(day)}"),
            *(Line(f"{item.name}: {item_words(item)}", "  book   ", " " * 9) for item in day.items),
            *(Line(gear_words(gear), "  bring  ", " " * 9) for gear in day.gear),
            *([Line(f"{', '.join(day.protocols)}", "  test   ", " " * 9)] if day.protocols else ()),
            *([Line(whom, "  with   ", " " * 9)] if (whom := with_whom(plan, day)) else ()),
        ]
    if plan.others:
        beside = counted(plan.others, "thing")
        yield [Line(f"Beside these {beside} for which nobody has to be booked: `progdoc due` lists all.")]


def day_title(kind: DayKind) -> str:
    return _TITLES[kind]


def by_words(day: PlannedDay) -> str:
    """Return by when a day has to be, in words."""
    whom = counted(len(day.people), "person", "people")
    if day.late:
        return f"at once, {whom}; {counted(day.late, 'thing')} overdue already"
    return f"on {weekday(day.latest)}, {long_date(day.latest)}, at the latest, {whom}"


def weekday(day: date) -> str:
    """Return the name of a day of the week.

    >>> weekday(date(2026, 11, 29))
    'Sunday'
    """
    return _WEEKDAYS[day.weekday()]


def item_words(item: PlannedItem) -> str:
    """Return what somebody is booked for, and by when; of what is on record, no more than the list of `due` says."""
    when = "at once" if item.item.due is None else _day(item.item.due)
    first = "; before the fit test" if item.comes_first else ""
    return f"{item.item.what}, {when}{first} ({item.item.because})"


def gear_words(gear: Gear) -> str:
    size = f", size {gear.size}" if gear.size else ", size not told"
    filters = f", with {', '.join(gear.filters)}" if gear.filters else ""
    return f"{gear.mask}{size}{filters}: for {counted(gear.people, 'person', 'people')}"


def with_whom(plan: DayPlan, day: PlannedDay) -> str:
    """Return who evaluates, teaches or tests, as far as it is described."""
    if day.kind is DayKind.CLINIC:
        return ", ".join(filter(None, (plan.clinic, plan.clinic_phone)))
    return plan.trainer if day.kind is DayKind.CLASS else plan.tester


def _day(day: date) -> str:
    return f"due {long_date(day)}"


def plan_json(plan: DayPlan) -> str:
    """Return the plan in the format "progdoc-plan/1"; its keys are only ever added to."""
    content = {
        "format": FORMAT,
        "on": plan.as_of.isoformat(),
        "within_days": plan.within_days,
        "together_days": plan.together_days,
        "audience": "restricted",
        "days": [
            {
                "kind": day.kind,
                "latest": day.latest.isoformat(),
                "late": day.late,
                "with": with_whom(plan, day),
                "book": [
                    {
                        "person": item.person,
                        "name": item.name,
                        "item": item.item.id,
                        "what": item.item.what,
                        "due": item.item.due.isoformat() if item.item.due else None,
                        "by": item.by.isoformat(),
                        "is_late": item.is_late,
                        "before_fit_test": item.comes_first,
                    }
                    for item in day.items
                ],
                "bring": [
                    {"mask": gear.mask, "size": gear.size, "people": gear.people, "filters": gear.filters}
                    for gear in day.gear
                ],
                "protocols": day.protocols,
            }
            for day in plan.days
        ],
        "others": plan.others,
    }
    return json.dumps(content, ensure_ascii=False, indent=2) + "\n"
