"""What belongs to one site of a firm: tasks say where they are done; people and masks belong there through them."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import replace
from difflib import get_close_matches

from progdoc.app.check import Checked
from progdoc.app.event_kinds import ALL
from progdoc.app.file_faults import file_fault
from progdoc.app.record_events import Event
from progdoc.comparison.changes import Change, Comparison
from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.questions import Question
from progdoc.core.report import count_of
from progdoc.model.description.program import Program
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.borrowed_results import Borrowed
from progdoc.rules.judged.due_results import Outlook, OutlookItem
from progdoc.rules.judged.result import Judged
from progdoc.rules.questions.asked_again import of_some
from progdoc.rules.reading.question_list import question_list

__all__ = [
    "borrowed_at",
    "checked_at",
    "compared_at",
    "due_at",
    "elsewhere_than",
    "events_at",
    "fault_of_site",
    "is_done_at",
    "judged_at",
    "no_such_site",
    "program_at",
    "site_name",
]


def no_such_site(site: str | None, *sides: Judged) -> str:
    """Return what to tell of a site that no side of what is described has, or nothing."""
    known = [one.id for judged in sides for one in judged.description.organisation.sites]
    if site is None or site in known:
        return ""
    near = get_close_matches(site, known, 1)
    hint = f"Did you mean `{near[0]}`?" if near else f"Known: {', '.join(dict.fromkeys(known)) or 'none'}."
    return f"no site has the id `{site}`. {hint}"


def fault_of_site(code: str, site: str | None, judged: Judged) -> Diagnostic | None:
    """Return that a site that was typed is not described, as a fault of a code."""
    what, _, hint = no_such_site(site, judged).partition(". ")
    return file_fault(code, Location("what you typed", 0, 0), f"{what[0].upper()}{what[1:]}.", hint) if what else None


def is_done_at(judged: Judged, task: str, site: str | None) -> bool:
    """Return whether a task is done at a site; one that names no site is done at each."""
    sites = judged.index.tasks[task][1].sites
    return site is None or not sites or site in sites


def judged_at(judged: Judged, site: str | None) -> Judged:
    """Return the result with what falls due, and who may do which task, at a site."""
    if site is None:
        return judged
    elsewhere, roster = elsewhere_than(judged, site), judged.roster

    def done_there(tasks: Iterable[Task]) -> tuple[Task, ...]:
        return tuple(task for task in tasks if f"tasks.{task.id}" not in elsewhere)

    there = replace(
        roster,
        people=tuple(person for person in roster.people if f"people.{person.id}" not in elsewhere),
        tasks=done_there(roster.tasks),
        masked={group: done_there(tasks) for group, tasks in roster.masked.items()},
    )
    return replace(judged, roster=there, due=lambda within: due_at(judged, judged.due(within), site))


def borrowed_at(judged: Judged, site: str | None) -> tuple[Borrowed, ...]:
    """Return the figures to confirm that work at a site rests on, and those that no task is named for."""
    there = {label_of(task) for _, task in judged.index.tasks.values() if is_done_at(judged, task.id, site)}
    return tuple(one for one in judged.borrowed if not one.used_in or there.intersection(one.used_in))


def program_at(judged: Judged, site: str | None) -> Program:
    """Return the description without the people and masks that belong to other sites alone."""
    of, elsewhere = judged.description, elsewhere_than(judged, site)
    people = tuple(person for person in of.people if f"people.{person.id}" not in elsewhere)
    masks = tuple(mask for mask in of.masks if f"masks.{mask.id}" not in elsewhere)
    return of.model_copy(update={"people": people, "masks": masks})


def due_at(judged: Judged, outlook: Outlook, site: str | None) -> Outlook:
    """Return what falls due at a site: what is about the firm as a whole, and what is about no task elsewhere alone."""
    elsewhere = elsewhere_than(judged, site)

    def kept(items: tuple[OutlookItem, ...]) -> tuple[OutlookItem, ...]:
        return tuple(item for item in items if elsewhere.isdisjoint(item.subject))

    return replace(outlook, overdue=kept(outlook.overdue), soon=kept(outlook.soon), later=kept(outlook.later))


def checked_at(checked: Checked, site: str | None) -> Checked:
    """Return a check with what it told of a site, and of the firm as a whole; it says so, and what others lack."""
    if checked.judged is None or site is None:
        return checked
    report, elsewhere = checked.report, elsewhere_than(checked.judged, site)
    findings = tuple(one for one in report.findings if elsewhere.isdisjoint(one.subject))
    questions = (_asked_here(checked.judged.description, one, elsewhere) for one in report.questions)
    of_site = replace(
        report,
        findings=findings,
        questions=tuple(one for one in questions if one.findings),
        requirements=tuple(one for one in report.requirements if elsewhere.isdisjoint(one.subject)),
        barred=tuple(one for one in report.barred if f"tasks.{one.task}" not in elsewhere),
        site=site_name(checked.judged, site),
        elsewhere=count_of(report, Severity.REQUIRED) - count_of(replace(report, findings=findings), Severity.REQUIRED),
    )
    return replace(checked, report=of_site)


def site_name(judged: Judged, site: str | None) -> str:
    """Return what a site is called that is described; of all of them, nothing."""
    return next((label_of(one) for one in judged.description.organisation.sites if one.id == site), "")


def events_at(judged: Judged, events: Sequence[Event], site: str | None) -> list[Event] | Diagnostic:
    """Return events with everybody who does tasks at a site in place of `all`; or why it can't be told who they are."""
    if site is None:
        return list(events)
    place = Location("what you typed", 0, 0)
    if unknown := fault_of_site("RECORD-001", site, judged):
        return unknown
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


def compared_at(comparison: Comparison, old: Judged, new: Judged, site: str) -> Comparison:
    """Return what changed at a site that one of two sides has, and of the firm as a whole.

    A thing counts as that of a site where it belongs there on either side: whatever moved is told at both.
    """
    sites = {one.id: one.name for judged in (old, new) for one in judged.description.organisation.sites}
    here: set[str] = set()
    every: set[str] = set()
    for judged in (old, new):
        every.update(_ids(judged, judged.index.tasks))
        here.update(_ids(judged, (task for task in judged.index.tasks if is_done_at(judged, task, site))))
    elsewhere = (every - here) | {f"organisation.sites.{other}" for other in sites if other != site}

    def kept(changes: tuple[Change, ...]) -> tuple[Change, ...]:
        return tuple(change for change in changes if elsewhere.isdisjoint(_things_of(change)))

    return replace(
        comparison,
        meaning=kept(comparison.meaning),
        description=kept(comparison.description),
        kept_up=kept(comparison.kept_up),
        people=tuple(one for one in comparison.people if one.task not in elsewhere),
        text=(), is_read=False, words_taken_out=0, words_put_in=0, words_moved=0, site=sites[site],
    )  # fmt: skip


def _things_of(change: Change) -> Iterator[str]:
    """Yield what a change is about, as subjects are named."""
    for word in (*change.place.split(), *change.was.split()):
        parts = word.partition("[")[0].split(".")
        yield ".".join(parts[: 3 if parts[:2] == ["organisation", "sites"] else 2])
    if change.about:
        yield change.about if "." in change.about else f"tasks.{change.about}"


def elsewhere_than(judged: Judged, site: str | None) -> frozenset[str]:
    """Return the subjects that belong to other sites alone; none where no site is asked for."""
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


def _asked_here(description: Program, question: Question, elsewhere: Container[str]) -> Question:
    """Return a question with what it settles at a site, about what is there alone."""
    findings = tuple(one for one in question.findings if not any(part in elsewhere for part in one.subject))
    here = {part for one in findings for part in one.subject}
    about = tuple(part for part in question.subject if part in here)
    if 0 < len(about) < len(question.subject):
        question = of_some(description, question_list(), question, about)
    return replace(question, findings=findings)
