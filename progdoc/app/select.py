"""What protects in which task, what does not, and why: the use case behind `select`.

JSON in the format "progdoc-selection/1", whose keys are public and only ever added to; text for a terminal.
Numbers in the JSON are as computed; in the text they are rounded the way that does not flatter.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace

from progdoc.app.check import Checked
from progdoc.app.of_site import is_done_at
from progdoc.core.data_text import filled
from progdoc.core.lines import Line
from progdoc.core.numbers import number_text, text_of
from progdoc.model.description.quantities import unit_symbol
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import DoneBy, label_in
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.cartridge_results import ServiceLife
from progdoc.rules.judged.mask_results import ClassVerdict, Escape, MaskVerdict, MaximumUseConcentration
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.judged.result import Judged
from progdoc.rules.reasons import Reason
from progdoc.rules.requirement import Requirement

__all__ = [
    "FORMAT",
    "SelectedTask",
    "figures",
    "is_everybody_protected",
    "reason_text",
    "select",
    "selection_json",
    "selection_lines",
    "task_ids",
]

FORMAT = "progdoc-selection/1"
_CAUTION = "Figures are as good as the evidence. The maker's instructions and the approval label have the last word."


@dataclass(frozen=True, slots=True)
class SelectedTask:
    """What is in the air of a task, what that needs, and each of its masks held against it."""

    air: TaskAir
    masks: tuple[MaskVerdict, ...]
    classes: tuple[ClassVerdict, ...]  # every kind of mask, least burdensome first


def select(checked: Checked, task: str | None = None, site: str | None = None) -> tuple[SelectedTask, ...]:
    """Return what protects in each task, or in one; nothing while the description can't be understood."""
    judged = checked.judged
    if judged is None:
        return ()
    return tuple(
        SelectedTask(air, tuple(_verdicts(judged, air)), judged.classes_for(air.task.id))
        for air in _airs(judged, task, site)
    )


def task_ids(checked: Checked) -> tuple[str, ...]:
    """Return the ids that a task filter may name."""
    return tuple(checked.judged.index.tasks) if checked.judged else ()


def is_everybody_protected(checked: Checked, task: str | None = None, site: str | None = None) -> bool:
    """Return whether every mask that our people are to wear protects, and no required task is left without one."""
    judged = checked.judged
    if judged is None:
        return False
    airs = [air for air in _airs(judged, task, site) if air.task.done_by is DoneBy.OUR_PEOPLE]
    worn = all(verdict.is_adequate for air in airs for verdict in _verdicts(judged, air))
    escapes = [judged.selection.escape[air.task.id] for air in airs]
    gets_out = not any(escape.bars for escape in escapes)
    goes_in = not any(judged.selection.entry.get(air.task.id) for air in airs)
    is_named = all(air.task.masks for air in airs if judged.selection.air[air.task.id].is_worn)
    return worn and gets_out and goes_in and is_named


def reason_text(judged: Judged, reason: Reason, label: str) -> str:
    """Return a reason in the words of the catalogue."""
    if reason.told:
        return reason.told
    return filled(_requirements(judged)[reason.code].what, {"subject": label, "path": reason.path, **reason.words})


def _requirements(judged: Judged) -> dict[str, Requirement]:
    return {r.code: r for r in judged.requirements}


def _airs(judged: Judged, task: str | None, site: str | None) -> list[TaskAir]:
    found = judged.selection.air.items()
    return [air for name, air in found if task in (None, name) and is_done_at(judged, name, site)]


def _verdicts(judged: Judged, air: TaskAir) -> list[MaskVerdict]:
    masks = judged.selection.masks
    named = dict.fromkeys(use.mask for use in air.task.masks)
    return [masks[air.task.id, mask] for mask in named if (air.task.id, mask) in masks]


# ---- for other programs -------------------------------------------------------------------------------


def selection_json(checked: Checked, task: str | None = None, site: str | None = None) -> bytes:
    """Return the selection as JSON, of one task or of all; no tasks while the description can't be understood."""
    judged = checked.judged
    tasks = [_task(judged, selected) for selected in select(checked, task, site)] if judged else []
    return (
        json.dumps({"format": FORMAT, "tasks": tasks}, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    ).encode()


def _task(judged: Judged, selected: SelectedTask) -> dict[str, object]:
    air = selected.air
    escape = judged.selection.escape[air.task.id]
    would_do = [v for v in selected.classes if v.would_do]
    return {
        "task": air.task.id,
        "agents": [_agent(agent) for agent in air.agents],
        "needed_apf": {"value": _needed(air), "strictly_above": air.needed.strictly_above},
        "immediately_dangerous": air.is_immediately_dangerous,
        "masks": [_mask(judged, air.task.id, verdict) for verdict in selected.masks],
        "at_hand_for_escape": [
            {"mask": one.mask.id, "serves": not one.trouble, "trouble": one.trouble} for one in escape.masks
        ],
        "escape_masks_missing_for": [duty.agent for duty in escape.duties if not duty.served_by],
        "nobody_gets_out": [_told(judged, reason) for reason in escape.bars],
        "nobody_goes_in": [_told(judged, reason) for reason in judged.selection.entry.get(air.task.id, ())],
        "classes_that_would_do": [
            {"class": v.kind.name, "apf": v.apf, "only_with": list(v.only_with)} for v in would_do
        ],
    }


def _needed(air: TaskAir) -> float | None:
    """No number where an agent's level is not known: no factor is enough then."""
    return None if any(agent.is_unknown for agent in air.agents) else air.needed.value


def _quantity(value: float, unit: str) -> dict[str, object]:
    return {"value": value, "unit": unit}


def _agent(agent: Assessment) -> dict[str, object]:
    governing = agent.governing
    limit = governing.limit if governing else next((item for item in agent.limits if item.value is not None), None)
    limit_value = governing.level.limit_value if governing else (limit.value if limit else None)
    kind = agent.hazard.exposure.kind if agent.hazard.exposure else "unknown"
    return {
        "agent": agent.hazard.agent,
        "cas": agent.substance.cas[0] if agent.substance and agent.substance.cas else None,
        "form": agent.hazard.form.value if agent.hazard.form else None,
        "evidence": kind,
        "concentration": _quantity(governing.level.value, governing.level.unit) if governing else None,
        "limit": {
            **_quantity(limit_value, limit.unit),
            "kind": limit.kind.value,
            "source": limit.citation,
        }
        if limit and limit_value is not None
        else None,
        "hazard_ratio": agent.hazard_ratio,
    }


def _mask(judged: Judged, task: str, verdict: MaskVerdict) -> dict[str, object]:
    tightest = _tightest(verdict)
    life = judged.service_lives.get((task, verdict.mask.id))
    return {
        "mask": verdict.mask.id,
        "adequate": verdict.is_adequate,
        "apf": verdict.credit.apf,
        "does_not_stop": list(verdict.passes),
        "muc": _quantity(tightest.value, tightest.unit) if tightest and verdict.is_adequate else None,
        "margin": verdict.margin,
        "service_life": asdict(life) if life and verdict.is_adequate else None,
        "reasons": [
            {
                "code": reason.code,
                "citation": _cited(judged, reason),
                "text": reason_text(judged, reason, label_of(verdict.mask)),
            }
            for reason in verdict.reasons
        ],
    }


def _told(judged: Judged, reason: Reason) -> dict[str, str]:
    return {"code": reason.code, "citation": _cited(judged, reason), "text": reason.told}


def _cited(judged: Judged, reason: Reason) -> str:
    return reason.words.get("citation") or (str(_requirements(judged)[reason.code].citation) if reason.code else "")


def _tightest(verdict: MaskVerdict) -> MaximumUseConcentration | None:
    """The maximum use concentration of the agent that leaves the least margin; the first where none is known."""
    known = [muc for muc in verdict.mucs if muc.margin is not None]
    if known:
        return min(known, key=lambda muc: (muc.margin or 0.0, muc.agent))
    return verdict.mucs[0] if verdict.mucs else None


# ---- for people ---------------------------------------------------------------------------------------


def figures(checked: Checked, task: str) -> tuple[str, ...]:
    """Return what is worked out for a task in words: each agent against its limit, and what a mask has to do."""
    selection = checked.judged.selection if checked.judged else None
    if selection is None or task not in selection.air:
        return ()
    air = selection.air[task]
    return (*map(_agent_words, air.agents), _needed_words(air, bool(selection.escape[task].duties)))


def selection_lines(checked: Checked, task: str | None = None, site: str | None = None) -> Iterator[list[Line]]:
    """Return the selection for a terminal: per task what is in the air, what is needed, and each mask's verdict."""
    judged = checked.judged
    if judged is None:
        yield [
            Line("The description has faults of form, so nothing can be judged: see `progdoc check`.", is_typed=True)
        ]
        return
    for selected in select(checked, task, site):
        yield list(_task_lines(judged, selected))
    yield [_line(_CAUTION, 0)]


def _line(text: str, indent: int, hang: int = 2) -> Line:
    return Line(text, " " * indent, " " * (indent + hang))


def _task_lines(judged: Judged, selected: SelectedTask) -> Iterator[Line]:
    air = selected.air
    yield _line(f"{air.task.name}  [{air.task.id}]", 0)
    for agent in air.agents:
        yield _line(_agent_words(agent), 2)
        for duty in judged.selection.duties[agent.hazard.id]:
            yield _line(f"also: {duty.text} ({duty.citation})", 4)
    escape = judged.selection.escape[air.task.id]
    yield _line(_needed_words(air, bool(escape.duties)), 2)
    for verdict in selected.masks:
        yield _line(_verdict_words(verdict, air), 2)
        for reason in verdict.reasons:
            told = reason_text(judged, reason, label_in(air.task, verdict.mask))
            yield _line(f"{reason.code}  {told} ({_cited(judged, reason)})", 6, 9)
        life = judged.service_lives.get((air.task.id, verdict.mask.id))
        if life is not None and verdict.is_adequate:
            yield _line(_life_words(life), 6)
    yield from _escape_lines(escape)
    yield from _shut_lines(judged, "NOBODY COULD COUNT ON GETTING OUT", escape.bars)
    yield from _shut_lines(judged, "NOBODY GOES IN, whatever is worn", judged.selection.entry.get(air.task.id, ()))
    if not air.agents and not air.danger:
        return  # left to others, and nobody says what is in the air
    if not (air.needs_mask or air.is_worn):
        return  # every class would do, and none is asked for
    yield Line("  classes, least burdensome first", is_typed=True)
    for kind in selected.classes:
        yield _line(_class_words(judged, kind), 4)


def _escape_lines(escape: Escape) -> Iterator[Line]:
    """Say what a standard asks for to get out in, and what hangs at hand: none of it is worn at the work."""
    for duty in escape.duties:
        missing = "" if duty.served_by else "; NONE HANGS AT HAND"
        yield _line(f"at hand for getting out of {duty.agent}: {duty.words} ({duty.citation}){missing}", 2)
    for one in escape.masks:
        trouble = f"DOES NOT SERVE: {label_of(one.mask)}: {one.trouble}" if one.trouble else label_of(one.mask)
        yield _line(f"at hand for getting out only: {trouble}", 2)


def _shut_lines(judged: Judged, head: str, reasons: tuple[Reason, ...]) -> Iterator[Line]:
    """Say why nobody works there, with a mask or without one."""
    if reasons:
        yield _line(head, 2)
    for reason in reasons:
        cited = _cited(judged, reason)
        yield _line(f"{reason.code}  {reason.told}{f' ({cited})' if cited else ''}".lstrip(), 6, 9)


def _agent_words(agent: Assessment) -> str:
    form = agent.hazard.form.value.replace("-", " ") if agent.hazard.form else "form not stated"
    head = f"{agent.hazard.agent}, {form}: "
    governing = agent.governing
    if governing is not None:
        level = text_of(governing.level.value, unit_symbol(governing.level.unit), "up")
        limit = text_of(governing.level.limit_value, unit_symbol(governing.limit.unit), "down")
        ratio = number_text(governing.value, "up")
        kind = governing.limit.kind.value.replace("-", " ")
        told = f"{level} ({governing.level.basis}); limit {limit} {kind} ({governing.limit.citation}); {ratio} times"
    elif agent.is_unknown:
        told = "level not known, so the air counts as immediately dangerous"
    else:
        told = agent.floor_basis or "no level, no limit"
    unjudged = f"; no level for {', '.join(agent.undetermined)}" if agent.undetermined else ""
    idlh = agent.danger
    danger = f"; IDLH {text_of(idlh.value, unit_symbol(idlh.unit))} ({idlh.origin})" if idlh else ""
    others = [item.in_words for item in agent.limits if item.kind is LimitKind.ACTION_LEVEL]
    return head + told + unjudged + danger + (f"; {'; '.join(others)}" if others else "")


def _needed_words(air: TaskAir, gets_out_in: bool) -> str:
    if air.danger:
        return f"needed: a mask for immediately dangerous air ({'; '.join(air.danger)})"
    if not air.needs_mask:
        return "needed: no mask by what is described" + (", but one at hand to get out in" if gets_out_in else "")
    above = "over " if air.needed.strictly_above else ""
    mixture = f" (mixture sum {air.mixture.printed})" if air.mixture else ""
    return f"needed: protection factor {above}{number_text(air.needed.value, 'up')}{mixture}"


def _verdict_words(verdict: MaskVerdict, air: TaskAir) -> str:
    good = "protects" if air.is_worn else "worn by choice"
    answer = good if verdict.is_adequate else "DOES NOT PROTECT"
    apf = "no factor" if verdict.credit.apf is None else f"factor {number_text(verdict.credit.apf, 'down')}"
    tightest = _tightest(verdict)
    is_told = tightest is not None and verdict.is_adequate  # a level beside a no would read as leave
    most = f", up to {tightest.printed} of {tightest.agent}" if tightest and is_told else ""
    margin = ""
    if tightest is not None and tightest.margin is not None:
        margin = f", margin {number_text(tightest.margin, 'down')} = {tightest.margin_sum}"
    passes = f"; does not stop {', '.join(verdict.passes)}" if verdict.passes else ""
    return f"{answer}: {label_in(air.task, verdict.mask)} ({apf}{most}{margin}{passes})"


def _life_words(life: ServiceLife) -> str:
    hours = "no figure" if life.hours is None else f"{number_text(life.hours, 'down')} h"
    told = f"cartridges: {hours}; basis: {life.basis or 'none'}"
    change = f"; change: {life.schedule}" if life.schedule else ""
    refused = f"; not used: {'; '.join(life.refused)}" if life.refused else ""
    return told + change + refused


def _class_words(judged: Judged, verdict: ClassVerdict) -> str:
    factor = "" if verdict.apf is None else f" ({number_text(verdict.apf, 'down')})"
    if verdict.would_do:
        only_with = f", only with {'; '.join(verdict.only_with)}" if verdict.only_with else ""
        return f"yes  {verdict.kind.name}{factor}{only_with}"
    worst = verdict.reasons[0]
    if "danger" in worst.words:
        worst = replace(worst, words={**worst.words, "danger": "see above"})
    return f"no   {reason_text(judged, worst, f'{verdict.kind.name}{factor}')}"
