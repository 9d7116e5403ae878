"""What the firm's description puts into its forms: words by name, and lists of things to repeat a row or part for.

Takes nothing from the records of people: no worker's name and no health data can reach a form. What the
description does not say stays empty, for a pen.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from progdoc.document.blocks.equipment_blocks import kind_of, stops_of
from progdoc.document.blocks.fit_test_words import Entry, protocols_in_use
from progdoc.document.blocks.gear_words import with_lens_kits, worn_besides
from progdoc.document.blocks.in_force_words import form_figures
from progdoc.document.blocks.order_blocks import fit_test_orders
from progdoc.document.tree.tokens import choice_words
from progdoc.model.description.index import Index
from progdoc.model.description.masks import Mask
from progdoc.model.description.oversight import AppendixDHow
from progdoc.model.description.people import Topic
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import MaskUse, Task
from progdoc.rules.judged.result import Judged

__all__ = ["FirmWords", "firm_words"]

_PEN = "__________"  # stands inside a sentence for what nobody said
_TOPICS = {
    Topic.WHY_AND_FIT: "Why the mask is needed; what bad fit, use or upkeep does to it",
    Topic.LIMITS: "What the mask can do and what it cannot",
    Topic.EMERGENCIES: "Emergencies, a failing mask among them",
    Topic.INSPECT_WEAR_CHECK: "Inspecting, putting on and off, wearing, checking the seal",
    Topic.MAINTENANCE_STORAGE: "Upkeep and storage",
    Topic.MEDICAL_SIGNS: "Signs of the body that limit or forbid a mask",
    Topic.STANDARD: "What 29 CFR 1910.134 asks for",
}


@dataclass(frozen=True, slots=True)
class FirmWords:
    """The words of one firm."""

    judged: Judged
    words: Entry
    lists: dict[str, tuple[Entry, ...]]


def firm_words(judged: Judged) -> FirmWords:
    """Return everything the forms may ask for by name, except what belongs to one protocol."""
    index = judged.index
    lists = {
        "masked_tasks": tuple(_task(index, task) for _, task in index.our_tasks if task.id in judged.evaluated_tasks),
        "emergency_masks": tuple({"id": m.id, "label": label_of(m), "mask": _mask(m)} for m in _kept(index)),
        "emergency_units": tuple(entry for mask in _kept(index) for entry in _units(mask)),
        "filters_in_use": tuple(_filter(judged, name) for name in sorted(index.filters_in_use)),
        "cleaning_rules": tuple(_cleaning(index)),
        "topics": tuple({"id": topic.value, "label": words} for topic, words in _TOPICS.items()),
        "protocols": protocols_in_use(judged),
    }
    return FirmWords(judged, _words(judged), lists)


def _words(judged: Judged) -> Entry:
    program, index, air = judged.description, judged.index, judged.selection.air
    steps = program.procedures
    officer = program.officer
    voluntary = [t.name for _, t in index.our_tasks if air[t.id].is_by_choice and not air[t.id].is_choice_barred]
    agents = dict.fromkeys(
        hazard.agent
        for _, task in index.our_tasks
        if air[task.id].is_worn
        for _, hazard in index.hazards_by_task.get(task.id, ())
    )
    given = {
        AppendixDHow.ATTACHED: "The official text is attached to the written program.",
        AppendixDHow.READ_OUT: "At this firm it is read out, from the official text in 29 CFR 1910.134.",
        None: "The official text is in 29 CFR 1910.134.",
    }
    return {
        "officer": officer.name or "",
        "officer_and_phone": ", ".join(part for part in (officer.name, officer.phone) if part),
        "professional": steps.medical.professional.name or "",
        "revision_words": f", revision {program.program.revision}" if program.program.revision else "",
        "trainer": steps.training.by or "",
        "training_manner": steps.training.understandable or "",
        "agents_words": f"{'; '.join(agents)}." if agents else "",
        "appendix_d": given[steps.voluntary_use.appendix_d],
        "voluntary_words": f"{'; '.join(voluntary)}." if voluntary else "",
        "evaluator": steps.evaluation.by or "",
        "evaluation_how": _told("How we look", steps.evaluation.how),
        "evaluation_occasion": steps.evaluation.occasion or "",
        "consulted_how": _told("How wearers are asked", steps.evaluation.consulted_how),
        "beds_and_filters": steps.air_supply.compressor.beds_and_filters or "",
        "co_checks": _told("How often", steps.air_supply.compressor.co_checks),
        "fit_test_orders": fit_test_orders(judged),
        **form_figures(judged),
    }


def _told(name: str, words: str | None) -> str:
    return f"{name}: {words.rstrip('.')}." if words else ""


# ---- tasks and masks ----------------------------------------------------------------------------------


def _task(index: Index, task: Task) -> Entry:
    time = f"{task.duration.printed if task.duration else _PEN} in a shift; {task.frequency or _PEN}"
    return {
        "id": task.id,
        "label": task.name,
        "description": " ".join((task.description or "").split()),
        "masks": "; ".join(filter(None, ("; or ".join(_worn(index, use) for use in task.masks), _escape(index, task)))),
        "time": time if task.duration or task.frequency else "",
        "rescue": "yes" if task.emergency_only or task.escape_masks else "",
        "effort": choice_words(task.effort) if task.effort else "",
        "gear": _gear(index, task),
        "climate": _climate(task),
    }


def _gear(index: Index, task: Task) -> str:
    kits = [f"the lens kit of {label_of(mask)} in place of spectacles" for _, mask in with_lens_kits(index, task)]
    worn = [choice_words(gear) for gear in worn_besides(index, task)]
    return ", ".join((*worn, *kits) or map(choice_words, task.gear))


def _escape(index: Index, task: Task) -> str:
    """Say what is worn to get out only: the professional is told of that, too, 29 CFR 1910.134(e)(5)(i)(B)."""
    names = ", ".join(_mask(index.masks[mask][1]) for mask in task.escape_masks)
    return f"for getting out only: {names}" if names else ""


def _climate(task: Task) -> str:
    low, high, damp = task.temperature_low, task.temperature_high, task.humidity_high
    if not (low or high or damp):
        return ""
    span = f"from {low.printed if low else _PEN} to {high.printed if high else _PEN}"
    return f"{span}, humidity up to {damp.printed if damp else _PEN}"


def _worn(index: Index, use: MaskUse) -> str:
    fitted = ", ".join(label_of(index.filters[part][1]) for part in use.filters)
    told = f" ({use.told_apart})" if use.told_apart else ""
    return f"{_mask(index.masks[use.mask][1])}{f', with {fitted}' if fitted else ''}{told}"


def _mask(mask: Mask) -> str:
    kind = kind_of(mask)
    weight = mask.weight.printed if mask.weight else _PEN
    return f"{label_of(mask)}{f' ({kind})' if kind else ''}, weight {weight}"


def _kept(index: Index) -> tuple[Mask, ...]:
    return tuple(mask for _, mask in index.masks.values() if index.is_kept(mask))


def _units(mask: Mask) -> Iterable[Entry]:
    if not mask.units:
        yield {"id": mask.id, "label": label_of(mask), "serial": "", "place": ""}
    for unit in mask.units:
        label = f"{label_of(mask)}, {unit.serial or unit.id}"
        yield {"id": f"{mask.id}.{unit.id}", "label": label, "serial": unit.serial or "", "place": unit.place or ""}


def _cleaning(index: Index) -> Iterable[Entry]:
    cleaning = index.description.procedures.cleaning
    rules = (
        ("exclusive", "Worn by one person", cleaning.exclusive),
        ("shared", "Shared", "Before another person wears it" if cleaning.between_wearers else None),
        ("emergency", "Kept for emergencies", "After each use" if cleaning.emergency_after_each_use else None),
        ("test", "Used in fit tests and training", "After each use" if cleaning.test_masks_after_each_use else None),
    )
    return ({"id": name, "label": label, "when": when} for name, label, when in rules if when)


def _is_worn_with(judged: Judged, task: str, part: str) -> bool:
    """Whether a mask that protects in a task has the filter: of another one no time is told."""
    uses = judged.index.tasks[task][1].masks
    found = (judged.selection.masks.get((task, use.mask)) for use in uses if part in use.filters)
    return any(one is not None and one.is_timed for one in found)


def _filter(judged: Judged, name: str) -> Entry:
    """Return a filter and the rule by which it is changed."""
    index = judged.index
    changes = index.description.procedures.filter_changes
    _, part = index.filters[name]
    rules = []
    for plan in changes.schedules:
        worn_in = [task for task in plan.tasks if _is_worn_with(judged, task, name)]
        if plan.filter == name and worn_in:
            tasks = ", ".join(label_of(index.tasks[task][1]) for task in worn_in)
            here = [change for (_, _, part_id), change in judged.cartridge_changes.items() if part_id == name]
            over = {c.task.id: c for c in here if c.task.id in worn_in and c.is_over_policy(plan)}
            after = f" In use for {plan.after.printed} at most." if plan.after else ""
            rules.append(f"{tasks}: {(plan.change or _PEN).rstrip('.')}.{after}")
            rules += [
                f"Not settled for {label_of(c.task)}: a stricter rule allows {c.most.printed} at most."
                for c in over.values()
                if c.most
            ]
    if not part.gases and changes.particulate.when:
        when = ", ".join(choice_words(one).replace("makers", "maker's") for one in changes.particulate.when)
        rules.append(f"Changed when: {when}.")
    return {"id": name, "label": label_of(part), "stops": _told("Stops", stops_of(part)), "rule": " ".join(rules)}
