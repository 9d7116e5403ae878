"""What keeps a mask from protecting beside its choice: its filters, their approval, their change schedules.

The selection judges the mask and the air. Whether its filters last, and are what they should be, is judged by
requirements of their own; held against each mask in each task they become reasons there, so that no output
calls a mask good of which another says that it is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from progdoc.core.diagnostics import Severity
from progdoc.core.report import Status
from progdoc.model.description.masks import Mask
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import MaskUse, Task
from progdoc.rules.evaluate import verdict_on
from progdoc.rules.facts import Facts
from progdoc.rules.judged.mask_results import MaskVerdict, Selection
from progdoc.rules.masks.charts import charts_of
from progdoc.rules.reasons import Reason
from progdoc.rules.requirement import Requirement, Subject, Verdict

__all__ = ["with_filters"]


def with_filters(facts: Facts, verdicts: Iterable[Verdict], in_force: Iterable[Requirement]) -> Selection:
    """Return the selection, with what is required of filters and schedules among the reasons against each mask."""
    selection = facts.selection
    binding = [r for r in in_force if r.severity is Severity.REQUIRED and r.per in ("filter", "schedule")]
    of_masks = _of_mask_uses(verdicts)
    masks: dict[tuple[str, str], MaskVerdict] = {}
    for _, task in facts.our_tasks:
        for use in task.masks:
            key = task.id, use.mask
            found = masks.get(key, selection.masks[key])
            known = {reason.code for reason in selection.masks[key].reasons}
            more = [reason for reason in of_masks.get(key, ()) if reason.code not in known]
            if facts.is_worn(task):
                more += _of_parts(facts, binding, task, use, found.path)
            masks[key] = replace(found, reasons=tuple(dict.fromkeys((*found.reasons, *more))))
    charts = {
        name: charts_of(air.agents, [masks[key] for key in dict.fromkeys(_keys(air.task)) if key in masks])
        for name, air in selection.air.items()
    }
    return replace(selection, masks=masks, charts=charts)


def _keys(task: Task) -> Iterator[tuple[str, str]]:
    return ((task.id, use.mask) for use in task.masks)


def _of_mask_uses(verdicts: Iterable[Verdict]) -> dict[tuple[str, str], tuple[Reason, ...]]:
    """What is required of a mask in a task and is judged apart from the selection."""
    found: dict[tuple[str, str], tuple[Reason, ...]] = {}
    for verdict in verdicts:
        requirement = verdict.requirement
        if requirement.per == "mask-use" and requirement.severity is Severity.REQUIRED:
            task, mask = (name.partition(".")[2] for name in verdict.subject.ids)
            found[task, mask] = (*found.get((task, mask), ()), *_reasons(verdict))
    return found


def _of_parts(facts: Facts, binding: Iterable[Requirement], task: Task, use: MaskUse, path: str) -> Iterator[Reason]:
    mask = facts.masks[use.mask][1]
    for subject in (*_filters(facts, task, mask, use), *_schedules(facts, task, mask, use)):
        per = "filter" if subject.ids[0].startswith("filters.") else "schedule"
        for requirement in binding:
            if requirement.per == per:
                yield from (replace(r, path=path) for r in _reasons(verdict_on(facts, requirement, subject)))


def _filters(facts: Facts, task: Task, mask: Mask, use: MaskUse) -> Iterator[Subject]:
    for part in use.filters:
        place, described = facts.filters[part]
        ids = (f"filters.{part}", f"masks.{mask.id}", f"tasks.{task.id}")
        yield Subject("in-task", ids, place, label_of(described))


def _schedules(facts: Facts, task: Task, mask: Mask, use: MaskUse) -> Iterator[Subject]:
    for i, plan in enumerate(facts.description.procedures.filter_changes.schedules):
        if plan.filter in use.filters and task.id in plan.tasks:
            ids = (f"schedules.{plan.id}", f"masks.{mask.id}", f"tasks.{task.id}")
            yield Subject("in-task", ids, f"procedures.filter_changes.schedules[{i}]", plan.id)


def _reasons(verdict: Verdict) -> Iterator[Reason]:
    requirement = verdict.requirement
    if verdict.status is Status.GAP:
        for diagnostic in verdict.diagnostics:
            citation = {"citation": diagnostic.citation}
            yield Reason(requirement.code, diagnostic.location.path, citation, diagnostic.what)
    elif verdict.status is Status.UNDETERMINED:
        yield Reason(requirement.code, verdict.subject.path, {}, f"{verdict.because} {requirement.duty}")
