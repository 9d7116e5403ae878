"""What templates may speak of: the description as plain data, and the tables and pictures made from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from progdoc.core.barred import Why
from progdoc.core.numbers import number_text
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said, said_in, same
from progdoc.document.blocks.alternative_blocks import alternative_blocks
from progdoc.document.blocks.annex_blocks import worked_figures
from progdoc.document.blocks.answers import is_draft
from progdoc.document.blocks.calendar_blocks import calendar_blocks, practice_blocks
from progdoc.document.blocks.caution_blocks import caution_blocks, caution_table
from progdoc.document.blocks.control_blocks import control_blocks
from progdoc.document.blocks.device_blocks import device_blocks
from progdoc.document.blocks.duty_blocks import duty_blocks
from progdoc.document.blocks.equipment_blocks import equipment_blocks
from progdoc.document.blocks.filter_blocks import evidence_words, filter_blocks
from progdoc.document.blocks.firm_blocks import firm_blocks
from progdoc.document.blocks.gear_words import with_lens_kits, worn_besides
from progdoc.document.blocks.glance_blocks import glance_blocks
from progdoc.document.blocks.group_policy_blocks import group_policy_blocks
from progdoc.document.blocks.in_force_words import in_celsius, law_words, stricter_words, warmest_water
from progdoc.document.blocks.level_words import how_known, said_by
from progdoc.document.blocks.limit_verdict import limit_verdict
from progdoc.document.blocks.local_rules import place_of_local_rules, states_in_words, words_of_packs
from progdoc.document.blocks.mask_picture_blocks import explained_blocks, mask_picture_blocks
from progdoc.document.blocks.order_blocks import order_blocks
from progdoc.document.blocks.own_section_blocks import OWN_TEXT_CALLS, definition_blocks
from progdoc.document.blocks.responsibility_blocks import responsibility_blocks
from progdoc.document.blocks.selection_blocks import is_barred, masks_that_fail, selection_blocks
from progdoc.document.tree.nodes import Block
from progdoc.document.tree.tokens import Tokens, choice_words
from progdoc.model.description.masks import Facepiece, Mode
from progdoc.model.description.upkeep import Schedule
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import DoneBy, MaskUse, Task
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.result import Judged

__all__ = ["context_of"]

_AIRLINE = (Mode.AIRLINE_DEMAND, Mode.AIRLINE_CONTINUOUS_FLOW, Mode.AIRLINE_PRESSURE_DEMAND)
_CARRIED = (Mode.SCBA_DEMAND, Mode.SCBA_PRESSURE_DEMAND)
_COUNTS = (
    said("None"), said("One"), said("Two"), said("Three"), said("Four"), said("Five"), said("Six"), said("Seven"),
    said("Eight"), said("Nine"), said("Ten"), said("Eleven"), said("Twelve"),
)  # fmt: skip


def context_of(
    judged: Judged, tokens: Tokens, language: Language = ENGLISH
) -> tuple[dict[str, Any], dict[str, tuple[Block, ...]]]:
    """Return the data for templates, and the blocks they may ask for by name."""
    index = judged.index
    program = judged.description
    failing = masks_that_fail(judged)
    tasks = [_task(judged, path, task, tokens, failing, language) for path, task in index.tasks.values()]
    data = {
        "program": tokens.shown(program.program, "program"),
        "organisation": tokens.shown(program.organisation, "organisation"),
        "officer": tokens.shown(program.officer, "officer"),
        "procedures": tokens.shown(program.procedures, "procedures"),
        "attachments": tokens.shown(program.attachments, "attachments"),
        "tasks": tasks,
        "masks": [{**_named(tokens, path, mask), "key": f"masks.{mask.id}"} for path, mask in index.masks.values()],
        "filters": [
            {**_named(tokens, path, part), "key": f"filters.{part.id}"} for path, part in index.filters.values()
        ],
        "schedules": [
            {**_scheduled(judged, tokens, i, plan), "key": f"schedules.{plan.id}"}
            for i, plan in enumerate(program.procedures.filter_changes.schedules)
        ],
        "is_draft": is_draft(judged),
        "has_calendar": bool(program.calendar),
        "has_sums": bool(worked_figures(judged)),
        "has_lives": bool(judged.cartridge_changes),
        "has_duties": any(task["granted"] for task in tasks),
        "has_cautions": bool(caution_blocks(judged)),
        "rule_packs": tokens.hide(words_of_packs(judged), ""),
        "has_state_rules": bool(states_in_words(judged)),
        "local_rules_place": place_of_local_rules(judged),
        "warmest_water": warmest_water(judged),
        "law": law_words(judged, language),
        "law_celsius": {"cylinder-dew-point": in_celsius(judged.figures.law["cylinder-dew-point"].value)},
        "own_medical": _own_medical(judged, tokens),
        "voluntary_groups": [
            tokens.hide(group.name, f"groups[{i}].name")
            for i, group in enumerate(program.groups)
            if group.id in program.procedures.voluntary_use.groups
        ],
        "standby": _standby(judged, tokens),
        "stricter": stricter_words(judged, tokens, language),
    }
    calendar = calendar_blocks(judged)
    blocks = {
        **selection_blocks(judged, language),
        **device_blocks(judged),
        **duty_blocks(judged),
        **glance_blocks(judged),
        **equipment_blocks(judged),
        **filter_blocks(judged, language),
        **firm_blocks(program, judged.as_of),
        **responsibility_blocks(judged, language),
        **practice_blocks(order_blocks(judged), calendar),
        **calendar,
        **dict.fromkeys(OWN_TEXT_CALLS, ()),
        "definitions": definition_blocks(program),
        **control_blocks(program),
        **alternative_blocks(judged, language),
        **group_policy_blocks(judged, language),
        **mask_picture_blocks(judged, language),
        **explained_blocks(judged, language),
        "cautions-here": caution_blocks(judged),
        "cautions-all": caution_table(judged),
    }
    return data, blocks


def _standby(judged: Judged, tokens: Tokens) -> str | None:
    """Return how many stand by: what the firm says, or more where a policy for all work asks for more."""
    own = judged.description.procedures.emergencies.idlh.standby
    if own is None:
        return None
    asked = [found.number for policy, found in judged.figures.tightened["standby-persons"] if policy.is_general]
    return tokens.hide(f"{int(max([own, *asked]))}", "procedures.emergencies.idlh.standby")


def _standby_at(judged: Judged, tokens: Tokens, task: Task) -> str | None:
    """Return how many stand by at a task: what the firm says, or more where a policy for its whole crew does."""
    found = judged.figures.standby.get(task.id)
    if found is None or judged.description.procedures.emergencies.idlh.standby is None:
        return None
    return tokens.hide(f"{int(found.number)}", "procedures.emergencies.idlh.standby")


def _scheduled(judged: Judged, tokens: Tokens, number: int, plan: Schedule) -> dict[str, Any]:
    index = judged.index
    path, part = index.filters[plan.filter]
    base = f"procedures.filter_changes.schedules[{number}]"
    shown: dict[str, Any] = tokens.shown(plan, base)
    if plan.sources:
        shown |= dict(
            zip(("data", "reliance"), (tokens.hide(w, f"{base}.sources") for w in evidence_words(plan)), strict=True)
        )
    tasks = [index.tasks[task] for task in plan.tasks]
    return {
        **shown,
        "filter_label": tokens.hide(label_of(part), f"{path}.name"),
        "is_gas": plan.filter in judged.gas_cartridges,
        "worn_in": [task.id for _, task in tasks if any(plan.filter in use.filters for use in task.masks)],
        "too_long_in": [
            task
            for (task, _, part_id), change in judged.cartridge_changes.items()
            if part_id == plan.filter and task in plan.tasks and change.is_over_policy(plan)
        ],
        "task_labels": [tokens.hide(task.name, f"{place}.name") for place, task in tasks],
    }


def _named(tokens: Tokens, path: str, thing: Any) -> dict[str, Any]:
    return {**tokens.shown(thing, path), "label": tokens.hide(label_of(thing), f"{path}.name")}


def _task(
    judged: Judged,
    path: str,
    task: Task,
    tokens: Tokens,
    failing: Mapping[tuple[str, str], tuple[str, ...]],
    language: Language,
) -> dict[str, Any]:
    """Return a task with the things it refers to by name; its people are counted, never named."""
    sites = {site.id: site.name for site in judged.description.organisation.sites}
    air = judged.selection.air[task.id]
    shown: dict[str, Any] = tokens.shown(task, path)
    del shown["people"]
    return {
        **shown,
        "id": task.id,  # small letters and hyphens: plain, to name blocks by
        "key": f"tasks.{task.id}",
        "anchor": f"task.{task.id}",
        "label": tokens.hide(task.name, f"{path}.name"),
        "frequency": tokens.shown(_as_sentence(task.frequency), f"{path}.frequency"),
        "site_names": [tokens.hide(sites[site], f"{path}.sites[{i}]") for i, site in enumerate(task.sites)],
        "gear": [tokens.shown(gear, f"{path}.gear") for gear in worn_besides(judged.index, task)],
        "lens_kits": [
            tokens.hide(label_of(mask), f"{mask_path}.name") for mask_path, mask in with_lens_kits(judged.index, task)
        ],
        "has_rules": bool(judged.responsibilities.rules_by_task.get(task.id)),
        "has_people": bool(task.people),
        "people_words": _people_words(len(task.people)),
        "mixture": air.mixture.printed if air.mixture else None,
        "days": [
            {
                "others": [
                    tokens.hide(other.name, f"{place}.name")
                    for place, other in judged.index.tasks.values()
                    if other.id in day.tasks and other.id != task.id
                ],
                "sum": day.worked.printed,
                "behind": number_text(day.behind_masks, "up"),
            }
            for day in judged.selection.days
            if task.id in day.tasks
        ],
        "is_ours": task.done_by is DoneBy.OUR_PEOPLE,
        "is_required": air.is_worn,
        "is_voluntary": air.is_by_choice,
        "is_choice_barred": air.is_choice_barred,
        "air_asks": air.needs_mask,
        "is_harmless": not air.needs_mask
        and not any(agent.undetermined for agent in air.agents)
        and not judged.selection.escape[task.id].duties,
        "escape": [
            tokens.hide(label_of(judged.index.masks[mask][1]), f"{path}.escape_masks[{i}]")
            for i, mask in enumerate(task.escape_masks)
        ],
        "emergencies": [
            {
                "what": tokens.shown(one.what, f"{place}.what"),
                "crew": tokens.shown(one.crew, f"{place}.crew"),
                "goes_in": bool(one.going_in),
                "masks": [
                    tokens.hide(label_of(judged.index.masks[mask][1]), f"{place}.masks[{i}]")
                    for i, mask in enumerate(one.masks)
                ],
            }
            for place, one in judged.emergencies_at.get(task.id, ())
        ],
        "never_same_day": [
            tokens.hide(other.name, f"{place}.name")
            for place, other in judged.index.tasks.values()
            if other.id in task.never_same_day or task.id in other.never_same_day
        ],
        "lacks_escape": is_barred(judged, task, Why.WAY_OUT),
        "lacks_rescue": is_barred(judged, task, Why.RESCUE),
        "is_danger": air.is_immediately_dangerous,
        "standby": _standby_at(judged, tokens, task),
        "has_particle_filters": any(
            judged.index.filters[part][1].particulate for use in task.masks for part in use.filters
        ),
        "worn": [
            {**_worn(judged, use, tokens, language), "protects": (task.id, use.mask) not in failing}
            for use in task.masks
        ],
        "agents": [
            {
                "name": tokens.hide(agent.hazard.agent, f"{agent.path}.agent"),
                "source": tokens.shown(agent.hazard.source, f"{agent.path}.source"),
                "form": language.say(choice_words(agent.hazard.form)) if agent.hazard.form else None,
                "how_much": _how_much(agent, tokens, language),
            }
            for agent in air.agents
        ],
        "granted": [
            tokens.hide(agent.hazard.agent, f"{agent.path}.agent")
            for agent in air.agents
            if any(not duty.is_medical for duty in judged.selection.duties[agent.hazard.id])
        ],
    }


def _as_sentence(text: str | None) -> str | None:
    return text and text[0].upper() + text[1:]


def _own_medical(judged: Judged, tokens: Tokens) -> list[dict[str, str]]:
    """Return where the standards of the agents say how wearers are examined, each once."""
    found: dict[tuple[str, str], dict[str, str]] = {}
    for air in judged.selection.air.values():
        for agent in air.agents:
            for duty in judged.selection.duties[agent.hazard.id]:
                if duty.is_medical:
                    name = tokens.hide(agent.hazard.agent, f"{agent.path}.agent")
                    words = {"name": name, "text": duty.text, "citation": same(duty.citation)}
                    found.setdefault((duty.agent, duty.citation), words)
    return list(found.values())


def _how_much(agent: Assessment, tokens: Tokens, language: Language) -> str:
    """Return for the crew how an agent stands to its limits, and how that is known, or who says so."""
    told = said_in(language, limit_verdict(agent))
    if agent.is_unknown:
        return told
    who = said_by(agent.hazard)
    known = _as_sentence(language.say(how_known(agent.hazard)))
    if known and who:
        name = tokens.phrase(tokens.hide(who, f"{agent.path}.exposure.by"))
        known = language.say("%(known)s; by %(who)s", known=known, who=name)
    return " ".join(filter(None, (told, f"{known}." if known else "")))


def _people_words(count: int) -> str:
    if count == 0:
        return said("Nobody is named who does it")  # a list that is empty doesn't say that nobody does it
    if count == 1:
        return said("One of our people")
    return said("%(number)s of our people", number=_COUNTS[count] if count < len(_COUNTS) else count)


def _told_apart(use: MaskUse, tokens: Tokens, language: Language) -> str:
    """Return who wears a mask and when, as `told_apart` of the model has it: the role is ours, the rest is theirs."""
    role = language.say(use.role.value) if use.role else ""
    when = tokens.phrase(tokens.hide(f"{use.when[0].lower()}{use.when[1:]}", "")) if use.when else ""
    return "; ".join(filter(None, (role, when)))


def _worn(judged: Judged, use: MaskUse, tokens: Tokens, language: Language) -> dict[str, Any]:
    mask_path, mask = judged.index.masks[use.mask]
    parts = [judged.index.filters[part] for part in use.filters]
    goes = mask.withdrawn if mask.withdrawn and mask.withdrawn.since > judged.as_of else None
    return {
        "key": f"masks.{mask.id}",
        "label": tokens.hide(label_of(mask), f"{mask_path}.name"),
        "told_apart": _told_apart(use, tokens, language),
        "worn_until": language.date(goes.since) if goes else "",
        "is_powered": mask.mode is Mode.POWERED,
        "is_airline": mask.mode in _AIRLINE,
        "is_dust_mask": mask.facepiece is Facepiece.FILTERING_FACEPIECE,
        "carries_air": mask.mode in _CARRIED or mask.auxiliary_air,
        "service_time": tokens.shown(mask.service_time, f"{mask_path}.service_time"),
        "low_air_alarm": mask.low_air_alarm,
        "is_tight": mask.id not in judged.loose_fitting,
        "filters": [tokens.hide(label_of(part), f"{part_path}.name") for part_path, part in parts],
    }
