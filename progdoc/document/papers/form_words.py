"""What the firm's description puts into its forms: words by name, and lists of things to repeat a row or part for.

Takes nothing from the records of people: no worker's name and no health data can reach a form; who is named for a
task, with their masks, stands apart in `crews`. What the description does not say stays empty, for a pen.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import ENGLISH, Language, marked
from progdoc.core.said import as_own, said_in
from progdoc.document.blocks.equipment_blocks import kind_of, stops_of
from progdoc.document.blocks.fit_test_words import Entry, protocols_in_use
from progdoc.document.blocks.gear_words import with_lens_kits, worn_besides
from progdoc.document.blocks.in_force_words import form_figures
from progdoc.document.blocks.order_blocks import fit_test_orders
from progdoc.document.tree.tokens import choice_words
from progdoc.model.description.index import Index
from progdoc.model.description.masks import Filter, Mask
from progdoc.model.description.oversight import AppendixDHow
from progdoc.model.description.people import MedicalLimit, Topic
from progdoc.model.description.program import Program
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import MaskUse, Task
from progdoc.rules.judged.result import Judged

__all__ = ["FirmWords", "firm_words"]

_PEN = "__________"  # stands inside a sentence for what nobody said
_TOPICS = {
    Topic.WHY_AND_FIT: marked("Why the mask is needed; what bad fit, use or upkeep does to it"),
    Topic.LIMITS: marked("What the mask can do and what it cannot"),
    Topic.EMERGENCIES: marked("Emergencies, a failing mask among them"),
    Topic.INSPECT_WEAR_CHECK: marked("Inspecting, putting on and off, wearing, checking the seal"),
    Topic.MAINTENANCE_STORAGE: marked("Upkeep and storage"),
    Topic.MEDICAL_SIGNS: marked("Signs of the body that limit or forbid a mask"),
    Topic.STANDARD: marked("What 29 CFR 1910.134 asks for"),
}
_LIMITS = {
    MedicalLimit.POWERED_ONLY: marked("A powered mask only"),
    MedicalLimit.NO_NEGATIVE_PRESSURE: marked(
        "No mask through which the air is drawn by breathing alone (negative pressure)"
    ),
    MedicalLimit.NO_SCBA: marked("No self-contained breathing apparatus"),
    MedicalLimit.LIGHT_WORK_ONLY: marked("Light work only"),
    MedicalLimit.LIMITED_TIME: marked("For a limited time at a stretch"),
    MedicalLimit.NO_HEAT: marked("Not in hot places"),
    MedicalLimit.NO_EMERGENCY: marked("Not in emergencies"),
}


@dataclass(frozen=True, slots=True)
class FirmWords:
    """The words of one firm."""

    judged: Judged
    language: Language
    words: Entry
    lists: dict[str, tuple[Entry, ...]]
    crews: dict[str, tuple[Entry, ...]]  # by the id of their task, a line for each person; restricted
    tasks: dict[str, str]  # their names


def firm_words(judged: Judged, language: Language = ENGLISH) -> FirmWords:
    """Return everything the forms may ask for by name, except what belongs to one protocol."""
    index, say, own = judged.index, language.say, language.own
    lists = {
        "masked_tasks": tuple(
            _task(index, task, language) for _, task in index.our_tasks if task.id in judged.evaluated_tasks
        ),
        "emergency_masks": tuple(
            {"id": m.id, "label": own(label_of(m)), "mask": _mask(m, language)} for m in _kept(index)
        ),
        "emergency_units": tuple(entry for mask in _kept(index) for entry in _units(mask, language)),
        "filters_in_use": tuple(_filter(judged, name, language) for name in sorted(index.filters_in_use)),
        "cleaning_rules": tuple(_cleaning(index, language)),
        "topics": tuple({"id": topic.value, "label": say(words)} for topic, words in _TOPICS.items()),
        "protocols": protocols_in_use(judged, language),
        "medical_limits": tuple(
            {"id": str(n), "label": say(words), "means": limit.value}
            for n, (limit, words) in enumerate(_LIMITS.items(), 1)
        ),
    }
    tasks = {task.id: label_of(task) for _, task in index.our_tasks if task.id in judged.evaluated_tasks}
    crews = {name: crew for name in tasks if (crew := tuple(_crew(judged, index.tasks[name][1])))}
    return FirmWords(judged, language, _words(judged, language), lists, crews, tasks)


def _crew(judged: Judged, task: Task) -> Iterable[Entry]:
    """Yield a line for each person who is named for a task and has not left: name, mask and size.

    Of several masks the first that does for them: a policy may bar one for their group alone.
    """
    index, named = judged.index, {use.mask for use in task.masks}
    apart = judged.for_groups.get(task.id, ())
    for person in (index.people[name][1] for name in task.people if name in index.people):
        if person.left is None:
            barred = {worn.mask.id for group in apart if person.group in group.groups for worn in group.barred}
            worn = [one for one in person.masks if one.mask in named] or list(person.masks)
            worn.sort(key=lambda one: one.mask in barred)
            mask, size = (label_of(index.masks[worn[0].mask][1]), worn[0].size or "") if worn else ("", "")
            both = ", ".join(filter(None, (mask, size)))
            yield {"person": label_of(person), "mask": mask, "size": size, "mask_and_size": both}


def _words(judged: Judged, language: Language) -> Entry:
    say, own = language.say, language.own
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
        AppendixDHow.ATTACHED: say("The official text is attached to the written program."),
        AppendixDHow.READ_OUT: say("At this firm it is read out, from the official text in 29 CFR 1910.134."),
        None: say("The official text is in 29 CFR 1910.134."),
    }
    return {
        "officer": own(officer.name or ""),
        "officer_and_phone": own(", ".join(part for part in (officer.name, officer.phone) if part)),
        "professional": own(steps.medical.professional.name or ""),
        "revision_words": say(", revision %(number)s", number=program.program.revision)
        if program.program.revision
        else "",
        "trainer": own(steps.training.by or ""),
        "training_manner": own(steps.training.understandable or ""),
        "agents_words": f"{'; '.join(said_in(language, one) for one in agents)}." if agents else "",
        "appendix_d": given[_appendix_d(program)],
        "voluntary_words": f"{own('; '.join(voluntary))}." if voluntary else "",
        "evaluator": own(steps.evaluation.by or ""),
        "evaluation_how": _told(say("How we look"), language, steps.evaluation.how),
        "evaluation_occasion": own(steps.evaluation.occasion or ""),
        "consulted_how": _told(say("How wearers are asked"), language, steps.evaluation.consulted_how),
        "beds_and_filters": own(steps.air_supply.compressor.beds_and_filters or ""),
        "co_checks": _told(say("How often"), language, steps.air_supply.compressor.co_checks),
        "fit_test_orders": fit_test_orders(judged, language),
        **form_figures(judged, language),
    }


def _appendix_d(program: Program) -> AppendixDHow | None:
    """Return how the official text is given; none, where it is to be attached and no such attachment is there."""
    chosen = program.procedures.voluntary_use
    attached = {one.id for one in program.attachments}
    is_there = chosen.appendix_d is not AppendixDHow.ATTACHED or chosen.appendix_d_attachment in attached
    return chosen.appendix_d if is_there else None


def _told(name: str, language: Language, words: str | None) -> str:
    return f"{name}: {language.own(words.rstrip('.'))}." if words else ""


# ---- tasks and masks ----------------------------------------------------------------------------------


def _task(index: Index, task: Task, language: Language) -> Entry:
    say, own = language.say, language.own
    long, often = own(task.duration.printed) if task.duration else _PEN, own(task.frequency or "") or _PEN
    worn = f"; {say('or')} ".join(_worn(index, use, language) for use in task.masks)
    return {
        "id": task.id,
        "label": own(task.name),
        "description": own(" ".join((task.description or "").split())),
        "masks": "; ".join(filter(None, (worn, _escape(index, task, language)))),
        "time": say("%(long)s in a shift; %(often)s", long=long, often=often)
        if task.duration or task.frequency
        else "",
        "rescue": say("yes") if task.emergency_only or task.escape_masks else "",
        "effort": say(choice_words(task.effort)) if task.effort else "",
        "gear": _gear(index, task, language),
        "climate": _climate(task, language),
    }


def _gear(index: Index, task: Task, language: Language) -> str:
    say, own = language.say, language.own
    kits = [
        say("the lens kit of %(mask)s in place of spectacles", mask=own(label_of(mask)))
        for _, mask in with_lens_kits(index, task)
    ]
    worn = [say(choice_words(gear)) for gear in worn_besides(index, task)]
    return ", ".join((*worn, *kits) or (say(choice_words(gear)) for gear in task.gear))


def _escape(index: Index, task: Task, language: Language) -> str:
    """Say what is worn to get out only: the professional is told of that, too, 29 CFR 1910.134(e)(5)(i)(B)."""
    names = ", ".join(_mask(index.masks[mask][1], language) for mask in task.escape_masks)
    return language.say("for getting out only: %(masks)s", masks=names) if names else ""


def _climate(task: Task, language: Language) -> str:
    low, high, damp = task.temperature_low, task.temperature_high, task.humidity_high
    if not (low or high or damp):
        return ""
    lowest, highest, most = (language.own(one.printed) if one else _PEN for one in (low, high, damp))
    return language.say("from %(low)s to %(high)s, humidity up to %(damp)s", low=lowest, high=highest, damp=most)


def _worn(index: Index, use: MaskUse, language: Language) -> str:
    fitted = language.own(", ".join(label_of(index.filters[part][1]) for part in use.filters))
    mask = _mask(index.masks[use.mask][1], language)
    told = f" ({said_in(language, as_own(use.told_apart))})" if use.told_apart else ""
    return (language.say("%(mask)s, with %(filters)s", mask=mask, filters=fitted) if fitted else mask) + told


def _mask(mask: Mask, language: Language) -> str:
    kind = said_in(language, kind_of(mask))
    weight = language.own(mask.weight.printed) if mask.weight else _PEN
    named = language.own(label_of(mask)) + (f" ({kind})" if kind else "")
    return language.say("%(mask)s, weight %(weight)s", mask=named, weight=weight)


def _kept(index: Index) -> tuple[Mask, ...]:
    return tuple(mask for _, mask in index.masks.values() if index.is_kept(mask))


def _units(mask: Mask, language: Language) -> Iterable[Entry]:
    own = language.own
    if not mask.units:
        yield {"id": mask.id, "label": own(label_of(mask)), "serial": "", "place": "", "unit": ""}
    for unit in mask.units:
        label = own(f"{label_of(mask)}, {unit.serial or unit.id}")
        at = {"serial": own(unit.serial or ""), "place": own(unit.place or ""), "unit": unit.id}
        yield {"id": f"{mask.id}.{unit.id}", "label": label, **at}


def _cleaning(index: Index, language: Language) -> Iterable[Entry]:
    say = language.say
    cleaning, after = index.description.procedures.cleaning, say("After each use")
    rules = (
        ("exclusive", say("Worn by one person"), language.own(cleaning.exclusive or "")),
        ("shared", say("Shared"), say("Before another person wears it") if cleaning.between_wearers else ""),
        ("emergency", say("Kept for emergencies"), after if cleaning.emergency_after_each_use else ""),
        ("test", say("Used in fit tests and training"), after if cleaning.test_masks_after_each_use else ""),
    )
    return ({"id": name, "label": label, "when": when} for name, label, when in rules if when)


def _is_worn_with(judged: Judged, task: str, part: str) -> bool:
    """Whether a mask that protects in a task has the filter: of another one no time is told."""
    uses = judged.index.tasks[task][1].masks
    found = (judged.selection.masks.get((task, use.mask)) for use in uses if part in use.filters)
    return any(one is not None and one.is_timed for one in found)


def _sooner(judged: Judged, tasks: Iterable[str], part: Filter, language: Language) -> Iterator[str]:
    """Yield for whom alone a cartridge is changed sooner in some tasks."""
    for task in tasks:
        for group in judged.for_groups.get(task, ()):
            for longest in (time for name, time in group.changes if name == label_of(part)):
                yield language.say(
                    "%(task)s, for %(whom)s: in use for %(time)s at most.",
                    task=language.own(label_of(judged.index.tasks[task][1])),
                    whom=language.own(group.names),
                    time=language.measure(longest.printed),
                )


def _filter(judged: Judged, name: str, language: Language) -> Entry:
    """Return a filter and the rule by which it is changed."""
    say, own = language.say, language.own
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
            after = f" {say('In use for %(time)s at most.', time=own(plan.after.printed))}" if plan.after else ""
            change = own((plan.change or "").rstrip(".")) or _PEN
            rules.append(f"{own(tasks)}: {change}.{after}")
            rules += _sooner(judged, worn_in, part, language)
            rules += [
                say(
                    "Not settled for %(task)s: a stricter rule allows %(time)s at most.",
                    task=own(label_of(c.task)),
                    time=own(c.most.printed),
                )
                for c in over.values()
                if c.most
            ]
    if not part.gases and changes.particulate.when:
        when = ", ".join(say(choice_words(one).replace("makers", "maker's")) for one in changes.particulate.when)
        rules.append(say("Changed when: %(reasons)s.", reasons=when))
    kinds = said_in(language, stops_of(part))
    stops = f"{say('Stops')}: {kinds.rstrip('.')}." if kinds else ""
    return {"id": name, "label": own(label_of(part)), "stops": stops, "rule": " ".join(rules)}
