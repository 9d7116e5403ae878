"""What belongs to one site of a firm: tasks say where they are done; people and masks belong there through them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from difflib import get_close_matches

from progdoc.app.check import Checked
from progdoc.app.event_kinds import ALL
from progdoc.app.file_faults import file_fault
from progdoc.app.record_events import Event
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.rules.judged.due_results import Outlook, OutlookItem
from progdoc.rules.judged.result import Judged

__all__ = ["checked_at", "due_at", "events_at", "is_done_at", "no_such_site"]


def no_such_site(judged: Judged, site: str | None) -> str:
    """Return what to tell of a site that the description has not, or nothing."""
    known = [one.id for one in judged.description.organisation.sites]
    if site is None or site in known:
        return ""
    near = get_close_matches(site, known, 1)
    hint = f"Did you mean `{near[0]}`?" if near else f"Known: {', '.join(known) or 'none'}."
    return f"no site has the id `{site}`. {hint}"


def is_done_at(judged: Judged, task: str, site: str | None) -> bool:
    """Return whether a task is done at a site; one that names no site is done at each."""
    sites = judged.index.tasks[task][1].sites
    return site is None or not sites or site in sites


def due_at(judged: Judged, outlook: Outlook, site: str | None) -> Outlook:
    """Return what falls due at a site: what is about the firm as a whole, and what is about no task elsewhere alone."""
    elsewhere = _elsewhere(judged, site)

    def kept(items: tuple[OutlookItem, ...]) -> tuple[OutlookItem, ...]:
        return tuple(item for item in items if elsewhere.isdisjoint(item.subject))

    return replace(outlook, overdue=kept(outlook.overdue), soon=kept(outlook.soon), later=kept(outlook.later))


def checked_at(checked: Checked, site: str | None) -> Checked:
    """Return a check with what it told of a site, and of the firm as a whole."""
    if checked.judged is None or site is None:
        return checked
    report, elsewhere = checked.report, _elsewhere(checked.judged, site)
    findings = tuple(one for one in report.findings if elsewhere.isdisjoint(one.subject))
    questions = (
        replace(one, findings=tuple(f for f in one.findings if elsewhere.isdisjoint(f.subject)))
        for one in report.questions
    )
    of_site = replace(
        report,
        findings=findings,
        questions=tuple(one for one in questions if one.findings),
        requirements=tuple(one for one in report.requirements if elsewhere.isdisjoint(one.subject)),
        barred=tuple(one for one in report.barred if f"tasks.{one.task}" not in elsewhere),
    )
    return replace(checked, report=of_site)


def events_at(judged: Judged, events: Sequence[Event], site: str | None) -> list[Event] | Diagnostic:
    """Return events with everybody who does tasks at a site in place of `all`; or why it can't be told who they are."""
    if site is None:
        return list(events)
    place = Location("what you typed", 0, 0)
    if unknown := no_such_site(judged, site):
        what, _, hint = unknown.partition(". ")
        return file_fault("RECORD-001", place, f"{what[0].upper()}{what[1:]}.", hint)
    if not all(event.values.get("who", "").strip().lower() == ALL for event in events):
        what = "A site is named beside people who are named themselves."
        return file_fault("RECORD-005", place, what, "Write `--who all` for everybody at that site, or leave it out.")
    tasks = [task for _, task in judged.index.tasks.values() if is_done_at(judged, task.id, site)]
    there = {person for task in tasks for person in task.people}
    people = [one.id for one in judged.description.people if one.id in there and one.left is None]
    if not people:
        what = f"No task that is done at `{site}` names anybody who has not left."
        return file_fault("RECORD-001", place, what, "Name them under `people` of a task, or by `--who IDS`.")
    return [replace(event, values={**event.values, "who": ",".join(people)}) for event in events]


def _elsewhere(judged: Judged, site: str | None) -> frozenset[str]:
    """Return the subjects that belong to other sites alone."""
    every = [task.id for _, task in judged.index.tasks.values()]
    here = _ids(judged, (task for task in every if is_done_at(judged, task, site)))
    return frozenset(_ids(judged, every)) - frozenset(here)


def _ids(judged: Judged, tasks: Iterable[str]) -> Iterable[str]:
    """Yield tasks, and who does them and what is worn in them, as subjects are named."""
    hazards = judged.description.hazards
    for name in tasks:
        task = judged.index.tasks[name][1]
        yield f"tasks.{name}"
        yield from (f"people.{person}" for person in task.people)
        yield from (f"masks.{mask}" for mask in (*(use.mask for use in task.masks), *task.escape_masks))
        yield from (f"filters.{part}" for use in task.masks for part in use.filters)
        yield from (f"hazards.{hazard.id}" for hazard in hazards if hazard.task == name)
