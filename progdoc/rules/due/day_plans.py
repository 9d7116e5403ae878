"""Gathers what falls due for people into days: a clinic day, a class, a day of fit tests.

It is the list of `due`, and nothing else, in another order: whoever is on it is in the plan once for each thing. Days
are as few as can be where nobody is to come more than some days before it is due. Of one person the clinic comes
first (29 CFR 1910.134(e)(1): evaluated before the fit test), then the class (common practice, no source: who is fitted
should know how to don and check), then the fit test.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta

from progdoc.core.paper_language import ENGLISH
from progdoc.model.description.masks import Mask
from progdoc.model.description.program import Program
from progdoc.model.description.words import label_of
from progdoc.rules.judged.due_results import Kind, Outlook, OutlookItem
from progdoc.rules.judged.plan_results import DayKind, DayPlan, Gear, PlannedDay, PlannedItem

__all__ = ["TOGETHER_DAYS", "day_plan"]

TOGETHER_DAYS = 60

_DAY_OF = {
    Kind.MEDICAL: DayKind.CLINIC,
    Kind.TRAINING: DayKind.CLASS,
    Kind.INFORMATION: DayKind.CLASS,
    Kind.READING: DayKind.CLASS,
    Kind.FIT_TEST: DayKind.FIT_TESTS,
}
_PERSON = "people."


def day_plan(outlook: Outlook, program: Program, together_days: int = TOGETHER_DAYS) -> DayPlan:
    """Return the days on which all that is due for people, now or within the days looked ahead, can be done in time.

    Parameters
    ----------
    together_days
        How long before it is due somebody may be asked to come along. [d]
    """
    due = {item.id: item for item in (*outlook.overdue, *outlook.soon)}
    ours = [item for item in due.values() if item.kind in _DAY_OF and _person(item)]
    names = {person.id: label_of(person) for person in program.people}
    fits = _planned(ours, DayKind.FIT_TESTS, {}, outlook, names)
    tests = list(_days(DayKind.FIT_TESTS, fits, together_days, outlook.as_of))
    tested = {item.person: day.latest for day in reversed(tests) for item in day.items}
    before = [
        day
        for kind in (DayKind.CLINIC, DayKind.CLASS)
        for day in _days(kind, _planned(ours, kind, tested, outlook, names), together_days, outlook.as_of)
    ]
    days = [*before, *(_with_gear(day, program) for day in tests)]
    procedures, officer = program.procedures, program.officer
    languages = {person.id: person.own_language for person in program.people if person.own_language}
    read = {one.language for one in program.program.translations_read}
    papers = tuple(code for code in dict.fromkeys(program.program.languages) if code != ENGLISH.code)
    clinic = procedures.medical.professional
    return DayPlan(
        as_of=outlook.as_of,
        within_days=outlook.within_days,
        together_days=together_days,
        days=tuple(sorted(days, key=lambda day: (day.latest, list(DayKind).index(day.kind)))),
        others=len(due) - len(ours),
        firm=program.organisation.name or "",
        officer=officer.name or "",
        officer_phone=officer.phone or "",
        clinic=clinic.name or "",
        clinic_phone=clinic.phone or "",
        trainer=procedures.training.by or "",
        tester=procedures.fit_testing.done_by or "",
        languages=languages,
        papers=papers,
        unread_languages=frozenset((*languages.values(), *papers)) - read - {ENGLISH.code},
    )


def _person(item: OutlookItem) -> str:
    first = item.subject[0] if item.subject else ""
    return first.removeprefix(_PERSON) if first.startswith(_PERSON) else ""


def _planned(
    items: Iterable[OutlookItem], kind: DayKind, tested: Mapping[str, date], outlook: Outlook, names: Mapping[str, str]
) -> Iterator[PlannedItem]:
    """Yield what belongs on days of a kind, with the day by which it is done; never after a fit test it precedes."""
    for item in items:
        if _DAY_OF[item.kind] is not kind:
            continue
        person, is_late = _person(item), item.state in ("now", "overdue")
        own = outlook.as_of if item.due is None else max(item.due, outlook.as_of)
        precedes = item.kind is Kind.TRAINING or item.path.endswith(".medical")
        by = min(own, tested.get(person, own)) if precedes else own
        yield PlannedItem(item, person, names.get(person, person), by, is_late, by < own)


def _days(kind: DayKind, items: Iterable[PlannedItem], together_days: int, as_of: date) -> Iterator[PlannedDay]:
    """Yield days of a kind, each of them the last on which everybody on it is in time.

    Whoever is due next is taken together with all that fall due some days later at most: no fewer days would do. What
    is to be done at once has a day of its own, so that it holds nobody else to it.
    """
    waiting = sorted(items, key=lambda item: (item.by, item.item.id))
    while waiting:
        first = waiting[0].by
        last = first if first <= as_of else first + timedelta(days=together_days)
        taken = [item for item in waiting if item.by <= last]
        waiting = waiting[len(taken) :]
        yield PlannedDay(kind, first, tuple(taken))


def _with_gear(day: PlannedDay, program: Program) -> PlannedDay:
    """Return a day of fit tests with the masks to bring to it, by size, and how people are tested."""
    masks = {mask.id: mask for mask in program.masks}
    sizes = {
        (person.id, worn.mask): [one.size or "" for one in person.masks if one.mask == worn.mask]
        for person in program.people
        for worn in person.masks
    }
    wanted: Counter[tuple[str, str]] = Counter()
    for item in day.items:
        mask = item.item.subject[1].partition(".")[2]
        for size in dict.fromkeys(sizes.get((item.person, mask), [""])):
            wanted[mask, size] += 1
    gear = tuple(
        Gear(label_of(masks[mask]), size, people, tuple(_filters(masks[mask], program)))
        for (mask, size), people in sorted(wanted.items(), key=lambda one: (list(masks).index(one[0][0]), one[0][1]))
    )
    protocols = tuple(map(str, program.procedures.fit_testing.protocols))
    return PlannedDay(day.kind, day.latest, day.items, gear, protocols)


def _filters(mask: Mask, program: Program) -> Iterator[str]:
    named = {one.id: label_of(one) for one in program.filters}
    yield from (named.get(filter_id, filter_id) for filter_id in mask.filters)
