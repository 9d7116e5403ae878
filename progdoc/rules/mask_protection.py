"""What keeps a mask from protecting beside its choice: its filters and their schedules, and what nobody said of it.

The selection judges the mask and the air. Whether its filters last and are what they should be, whether it is
approved, and whether the task is described, is judged by requirements of their own; held against each mask in each
task they become reasons there, so that no output calls a mask good of which another says that it is not. Against a
mask worn by choice speaks only what is a duty there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from progdoc.core.diagnostics import Severity
from progdoc.core.report import Status
from progdoc.core.said import said, said_join, unstopped
from progdoc.model.description.masks import Mask
from progdoc.model.description.words import label_of, schedule_label
from progdoc.model.description.workplace import MaskUse, Task
from progdoc.rules.evaluate import duties, verdicts_on
from progdoc.rules.facts import Facts
from progdoc.rules.judged.mask_results import Escape, MaskVerdict, Selection
from progdoc.rules.lookup.facepieces import SCBA, purifies
from progdoc.rules.lookup.unit_state import UnitState, unit_state
from progdoc.rules.masks.charts import chart_of
from progdoc.rules.reasons import Reason
from progdoc.rules.requirement import Requirement, Subject, Verdict

__all__ = ["with_filters"]

_AROUND = ("task", "mask", "air", "hose")  # what is open about these keeps a mask from being shown to protect
_SUPPLIED = ("air", "hose")
_NO_SCHEDULE = "FLT-001"  # of a cartridge that has none yet


def with_filters(facts: Facts, verdicts: Sequence[Verdict], in_force: Iterable[Requirement]) -> Selection:
    """Return the selection, with what is open (`verdicts`) of filters and schedules among the reasons against masks."""
    selection = facts.selection
    binding = [r for r in in_force if r.severity is Severity.REQUIRED and r.per in ("filter", "schedule")]
    of_masks = _of_mask_uses(verdicts)
    of_pieces = _of_pieces(facts, verdicts)
    around = _of_surroundings(verdicts)
    gaps = {(v.requirement.code, _pair(v)) for v in verdicts if v.subject.kind == "mask-use" and v.status is Status.GAP}
    masks: dict[tuple[str, str], MaskVerdict] = {}
    for _, task in facts.our_tasks:
        for use in task.masks:
            key = task.id, use.mask
            found = masks.get(key, selection.masks[key])
            known = {reason.code for reason in selection.masks[key].reasons}
            if not facts.is_worn(task) and task.use is not None:
                found = replace(found, reasons=tuple(r for r in found.reasons if (r.code, key) in gaps))
            more = [reason for reason in of_masks.get(key, ()) if reason.code not in known]
            more += (replace(reason, path=found.path) for reason in of_pieces.get(use.mask, ()))
            if facts.is_worn(task):
                more += _of_parts(facts, binding, task, use, found.path)
                is_for_danger = not (found.reasons or more) and selection.air[task.id].is_immediately_dangerous
                more += (r for hazards, r in _around(around, key, found) if not (hazards and is_for_danger))
            masks[key] = replace(found, reasons=tuple(dict.fromkeys((*found.reasons, *more))))
    of_schedules = {r.code for r in in_force if r.per == "schedule"} | {_NO_SCHEDULE}
    for key, found in masks.items():
        bars = _told(found, of_masks.get(key, ()))
        waits = bool(bars) and all(reason.code in of_schedules for reason in bars)
        masks[key] = replace(found, bars=bars, waits_for_schedule=waits)
    escapes = _escapes(selection, verdicts, around, facts.as_of)
    ways_out = _by_subject(verdict for verdict in verdicts if verdict.requirement.bars == "way-out")
    entries = _by_subject(v for v in verdicts if v.requirement.bars == "danger" and v.status is Status.GAP)
    charts = {
        name: chart_of(air.agents, [masks[key] for key in dict.fromkeys(_keys(air.task)) if key in masks])
        for name, air in selection.air.items()
    }
    return replace(
        selection,
        masks=masks,
        charts=charts,
        escape={task: replace(one, bars=_shut_in(task, one, ways_out)) for task, one in escapes.items()},
        entry={task.id: _of_entry(facts, task, entries) for _, task in facts.our_tasks},
    )


def _told(found: MaskVerdict, of_mask: Iterable[Reason]) -> tuple[Reason, ...]:
    """Return why nobody may wear a mask in a task, in the sentences of the findings, each once."""
    told = {reason.told: reason for reason in (*of_mask, *found.reasons) if reason.told and not reason.is_caution}
    if told or found.is_adequate:
        return tuple(told.values())
    worst = found.reasons[0]
    return (replace(worst, told=said("%(mask)s is not shown to protect.", mask=label_of(found.mask))),)


def _of_pieces(facts: Facts, verdicts: Iterable[Verdict]) -> dict[str, list[Reason]]:
    """Return by mask what is open about its pieces, where no single one is left that somebody may take."""
    of_units: dict[tuple[str, ...], list[Reason]] = {}
    for verdict in verdicts:
        if verdict.requirement.bars == "unit":
            of_units.setdefault(verdict.subject.ids, []).extend(_reasons(verdict))
    found: dict[str, list[Reason]] = {}
    for name, (_, mask) in facts.masks.items():
        found[name] = _of_each_piece(mask, of_units, facts.as_of)
    return found


def _of_each_piece(mask: Mask, of_units: dict[tuple[str, ...], list[Reason]], as_of: date) -> list[Reason]:
    """Return what is open about the pieces of a mask, where that or being out of service keeps every one from use."""
    against: list[Reason] = []
    for unit in mask.units:
        reasons = of_units.get((f"masks.{mask.id}", f"units.{unit.id}"), [])
        if not reasons and unit_state(unit, as_of) is not UnitState.SET_ASIDE:
            return []
        against += reasons
    return against


# Reasons by whom or what they are about, each with its place among all.
_BySubject = Mapping[tuple[str, ...], Sequence[tuple[int, Reason]]]


def _by_subject(verdicts: Iterable[Verdict]) -> _BySubject:
    found: dict[tuple[str, ...], list[tuple[int, Reason]]] = {}
    for number, verdict in enumerate(verdicts):
        found.setdefault(verdict.subject.ids, []).extend((number, reason) for reason in _reasons(verdict))
    return found


def _shut_in(task: str, escape: Escape, of_places: _BySubject) -> tuple[Reason, ...]:
    """Return why nobody could count on getting out of a task: a mask is missing, is for other air, or fails."""

    def of(*ids: str) -> list[Reason]:
        return [reason for _, reason in of_places.get(ids, ())]

    held = of(f"tasks.{task}")
    for one in escape.masks:
        own = of(f"tasks.{task}", f"masks.{one.mask.id}") + of(f"masks.{one.mask.id}")
        what = said("%(mask)s, at hand for getting out: %(trouble)s.", mask=label_of(one.mask), trouble=one.trouble)
        held += own or ([Reason("", one.path, {}, what)] if one.trouble else [])
    missing = [duty for duty in escape.duties if not duty.served_by] if not held else []
    held += (
        Reason("", duty.path, {"citation": duty.citation}, said("Not at hand: %(duty)s.", duty=duty.words))
        for duty in missing
    )
    return tuple(dict.fromkeys(held))


def _of_entry(facts: Facts, task: Task, entries: _BySubject) -> tuple[Reason, ...]:
    """Return why nobody goes into the deadly air of a task, whatever is worn: nobody could be got out of it.

    Whether air that nobody judged is deadly is a question of its own, and keeps no mask for such air from use.
    """
    is_deadly = facts.selection.air[task.id].is_immediately_dangerous and facts.is_worn(task)
    found = (*entries.get((f"tasks.{task.id}",), ()), *(entries.get((), ()) if is_deadly else ()))
    return tuple(reason for _, reason in sorted(found, key=lambda one: one[0]))


def _escapes(
    selection: Selection, verdicts: Iterable[Verdict], around: dict[str, list[tuple[bool, Reason]]], as_of: date
) -> dict[str, Escape]:
    """Return what hangs at hand for getting out, with all that is required of it and of its air among its troubles."""
    of_ways: dict[tuple[str, ...], list[Reason]] = {}
    of_units: dict[tuple[str, ...], list[Reason]] = {}
    for verdict in verdicts:
        if verdict.requirement.bars == "way-out":
            of_ways.setdefault(verdict.subject.ids, []).extend(_reasons(verdict))
        elif verdict.requirement.bars == "unit":
            of_units.setdefault(verdict.subject.ids, []).extend(_reasons(verdict))
    found: dict[str, Escape] = {}
    for task, escape in selection.escape.items():
        masks = []
        for one in escape.masks:
            mask = f"masks.{one.mask.id}"
            against = [*of_ways.get((f"tasks.{task}", mask), ()), *of_ways.get((mask,), ())]
            against += _of_each_piece(one.mask, of_units, as_of)
            against += [r for supply in _supplies(one.mask) for _, r in around.get(supply, ())]
            told = (unstopped(reason.told) for reason in against if not (one.trouble and one.trouble in reason.told))
            masks.append(replace(one, trouble=said_join(dict.fromkeys((*filter(None, (one.trouble,)), *told)), "; ")))
        found[task] = replace(escape, masks=tuple(masks))
    return found


def _keys(task: Task) -> Iterator[tuple[str, str]]:
    return ((task.id, use.mask) for use in task.masks)


def _of_mask_uses(verdicts: Iterable[Verdict]) -> dict[tuple[str, str], tuple[Reason, ...]]:
    """What is required of a mask in a task and is judged apart from the selection."""
    found: dict[tuple[str, str], tuple[Reason, ...]] = {}
    for verdict in verdicts:
        requirement = verdict.requirement
        # Whether air that nobody judged is deadly is a question of its own: it bars no mask for such air.
        is_of_unjudged_air = requirement.bars == "danger" and verdict.status is not Status.GAP
        if requirement.per == "mask-use" and requirement.severity is Severity.REQUIRED and not is_of_unjudged_air:
            found[_pair(verdict)] = (*found.get(_pair(verdict), ()), *_reasons(verdict))
    return found


def _of_surroundings(verdicts: Iterable[Verdict]) -> dict[str, list[tuple[bool, Reason]]]:
    """Return by task and by mask what leaves open whether any mask protects there; true for what is about its air."""
    found: dict[str, list[tuple[bool, Reason]]] = {}
    for verdict in verdicts:
        requirement, ids = verdict.requirement, verdict.subject.ids
        if requirement.bars in _AROUND:
            place = requirement.bars if requirement.bars in _SUPPLIED else ids[0]
            about_air = requirement.per == "hazard"
            found.setdefault(place, []).extend((about_air, reason) for reason in _reasons(verdict))
    return found


def _around(
    found: dict[str, list[tuple[bool, Reason]]], key: tuple[str, str], worn: MaskVerdict
) -> Iterator[tuple[bool, Reason]]:
    """Yield what is open about a mask, its task and its air. A mask for dangerous air is one for air nobody knows."""
    for place in (f"tasks.{key[0]}", f"masks.{key[1]}", *_supplies(worn.mask)):
        yield from ((about_air, replace(reason, path=worn.path)) for about_air, reason in found.get(place, ()))


def _supplies(mask: Mask) -> Iterator[str]:
    """Yield by which bars a mask is met whose air is brought to it."""
    if mask.mode is not None and not purifies(mask):
        yield "air"
        if mask.mode not in SCBA:
            yield "hose"


def _pair(verdict: Verdict) -> tuple[str, str]:
    task, mask = (name.partition(".")[2] for name in verdict.subject.ids)
    return task, mask


def _of_parts(facts: Facts, binding: Iterable[Requirement], task: Task, use: MaskUse, path: str) -> Iterator[Reason]:
    mask = facts.masks[use.mask][1]
    for subject in (*_filters(facts, task, mask, use), *_schedules(facts, task, mask, use)):
        per = "filter" if subject.ids[0].startswith("filters.") else "schedule"
        of_kind = duties(requirement for requirement in binding if requirement.per == per)
        for verdict in verdicts_on(facts, of_kind, subject):
            yield from (replace(reason, path=path) for reason in _reasons(verdict))


def _filters(facts: Facts, task: Task, mask: Mask, use: MaskUse) -> Iterator[Subject]:
    for part in use.filters:
        place, described = facts.filters[part]
        ids = (f"filters.{part}", f"masks.{mask.id}", f"tasks.{task.id}")
        yield Subject("in-task", ids, place, label_of(described))


def _schedules(facts: Facts, task: Task, mask: Mask, use: MaskUse) -> Iterator[Subject]:
    for i, plan in enumerate(facts.description.procedures.filter_changes.schedules):
        if plan.filter in use.filters and task.id in plan.tasks:
            ids = (f"schedules.{plan.id}", f"masks.{mask.id}", f"tasks.{task.id}")
            called = schedule_label(plan, facts.description.filters, facts.description.tasks)
            yield Subject("in-task", ids, f"procedures.filter_changes.schedules[{i}]", called)


def _reasons(verdict: Verdict) -> Iterator[Reason]:
    requirement = verdict.requirement
    if verdict.status is Status.GAP:
        for diagnostic in verdict.diagnostics:
            citation = {"citation": diagnostic.citation}
            yield Reason(requirement.code, diagnostic.location.path, citation, diagnostic.what)
    elif verdict.status is Status.UNDETERMINED:
        citation = {"citation": str(verdict.citation)}
        yield Reason(
            requirement.code,
            verdict.subject.path,
            citation,
            said("%(because)s %(duty)s", because=verdict.because, duty=requirement.duty),
        )
