"""What belongs to one site of a firm: tasks say where they are done; people and masks belong there through them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from difflib import get_close_matches

from progdoc.rules.judged.due_results import Outlook, OutlookItem
from progdoc.rules.judged.result import Judged

__all__ = ["due_at", "is_done_at", "no_such_site"]


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
    if site is None:
        return outlook
    tasks = [task for _, task in judged.index.tasks.values()]
    here = set(_ids(judged, (task.id for task in tasks if is_done_at(judged, task.id, site))))
    elsewhere = set(_ids(judged, (task.id for task in tasks))) - here

    def kept(items: tuple[OutlookItem, ...]) -> tuple[OutlookItem, ...]:
        return tuple(item for item in items if elsewhere.isdisjoint(item.subject))

    return replace(outlook, overdue=kept(outlook.overdue), soon=kept(outlook.soon), later=kept(outlook.later))


def _ids(judged: Judged, tasks: Iterable[str]) -> Iterable[str]:
    """Yield tasks, and who does them and what is worn in them, as subjects are named."""
    hazards = judged.description.hazards
    for name in tasks:
        task = judged.index.tasks[name][1]
        yield f"tasks.{name}"
        yield from (f"people.{person}" for person in task.people)
        yield from (f"masks.{mask}" for mask in (*(use.mask for use in task.masks), *task.escape_masks))
        yield from (f"hazards.{hazard.id}" for hazard in hazards if hazard.task == name)
