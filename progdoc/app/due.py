"""What falls due, in the form that is asked for: the use case behind `due`."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.app.check import Checked
from progdoc.app.manifest import RESTRICTED
from progdoc.app.of_site import due_at, site_name
from progdoc.core.lines import Blocks, Line
from progdoc.core.numbers import counted
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.model.description.words import label_of
from progdoc.rules.due.day_plans import TOGETHER_DAYS, day_plan
from progdoc.rules.judged.due_results import Outlook
from progdoc.rules.judged.plan_results import DayPlan
from progdoc.rules.judged.result import Judged
from progdoc.writers.calendar import calendar_bytes, calendar_parts
from progdoc.writers.due_formats import due_csv, due_json, due_lines
from progdoc.writers.due_letters import due_letters
from progdoc.writers.plan_formats import plan_json, plan_lines

__all__ = [
    "DUE_FORMATS",
    "WITHIN_DAYS",
    "calendar_of",
    "due",
    "due_blocks",
    "due_in_a_line",
    "due_report",
    "in_no_task",
    "letters_of",
    "plan_blocks",
    "plan_of",
    "plan_report",
]

DUE_FORMATS = ("json", "csv", "ics")
WITHIN_DAYS = 60


def due(checked: Checked, within_days: int = WITHIN_DAYS, site: str | None = None) -> Outlook:
    """Return what is overdue on the day of the check, what falls due within some days, and what comes later.

    With the id of a site, of it and of the firm as a whole.
    """
    if checked.judged is None:
        raise ValueError("of a description with faults of form nobody can say what falls due")
    return due_at(checked.judged, checked.judged.due(within_days), site)


def in_no_task(judged: Judged) -> dict[str, str]:
    """Return who is listed, has not left and is named for no task, so that nothing falls due: place to name."""
    named = {one for task in judged.description.tasks for one in task.people}
    return {
        f"people[{number}]": label_of(person)
        for number, person in enumerate(judged.description.people)
        if person.left is None and person.id not in named
    }


def due_report(
    judged: Judged,
    within_days: int = WITHIN_DAYS,
    form: str = "json",
    site: str | None = None,
    alarm_days: int | None = None,
    language: Language = ENGLISH,
) -> bytes:
    """Return what is overdue, due within some days, and later, as json, csv or ics, of one site or of all.

    An ics may ring so many days beforehand, and be in another language.
    """
    outlook = due_at(judged, judged.due(within_days), site)
    if form == "csv":
        return due_csv(outlook)
    if form == "ics":
        return calendar_bytes(outlook, judged.description.organisation.name or "", alarm_days, language)
    return due_json(outlook).encode("utf-8")


def due_blocks(judged: Judged, within_days: int = WITHIN_DAYS, site: str | None = None) -> Blocks:
    """Return the same in words, for a terminal."""
    outlook = judged.due(within_days)
    there = due_at(judged, outlook, site)
    yield from due_lines(there)
    if site is not None:
        others = len(outlook.overdue) - len(there.overdue)
        yield [Line(f"“{site_name(judged, site)}” alone; overdue at other sites, not told here: {others}.")]


def due_in_a_line(judged: Judged, within_days: int = WITHIN_DAYS, site: str | None = None) -> str:
    """Return how much is overdue and how much falls due soon."""
    outlook = due_at(judged, judged.due(within_days), site)
    return f"{len(outlook.overdue)} overdue, {len(outlook.soon)} due within {counted(within_days, 'day')}."


def calendar_of(judged: Judged, within_days: int = WITHIN_DAYS, language: Language = ENGLISH) -> Iterator[bytes]:
    """Yield the calendar of everything that falls due, part by part."""
    return calendar_parts(judged.due(within_days), judged.description.organisation.name or "", language=language)


def plan_of(
    judged: Judged,
    within_days: int = WITHIN_DAYS,
    together_days: int = TOGETHER_DAYS,
    site: str | None = None,
) -> DayPlan:
    """Return the days on which what is due for people can be done for many at once, of one site or of all."""
    return day_plan(due_at(judged, judged.due(within_days), site), judged.description, together_days)


def plan_report(plan: DayPlan) -> bytes:
    """Return a plan for other programs."""
    return plan_json(plan).encode("utf-8")


def plan_blocks(plan: DayPlan) -> Blocks:
    """Return a plan in words, for a terminal."""
    return plan_lines(plan)


def letters_of(plan: DayPlan) -> dict[str, bytes]:
    """Return letters to send by hand, by the names of their files: they name workers, so all are restricted."""
    return {f"{RESTRICTED}{name}": data for name, data in due_letters(plan).items()}
