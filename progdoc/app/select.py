"""What protects in which task, what does not, and why: the use case behind `select`.

JSON in the format "progdoc-selection/1", whose keys are public and only ever added to; text for a terminal.
Numbers in the JSON are as computed; in the text they are rounded the way that does not flatter.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, replace

from progdoc.app.check import Checked
from progdoc.app.of_site import is_done_at
from progdoc.core.data_text import filled
from progdoc.core.late_dataclass import dataclass
from progdoc.core.lines import Line
from progdoc.core.numbers import number_text, text_of
from progdoc.core.said import said, said_choice, said_join, same
from progdoc.document.blocks.group_policy_blocks import lines_for_group
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
_CAUTION = said(
    "Figures are as good as the evidence. The maker's instructions and the approval label have the last word."
)


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
        "for_groups": [
            {
                "groups": list(group.groups),
                "masks_that_do_not": [worn.mask.id for worn in group.barred],
                "classes_that_would_not": list(group.classes),
                "told": list(lines_for_group(group)),
            }
            for group in judged.for_groups.get(air.task.id, ())
        ],
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


def _line(text: str, indent: int, hang: int = 2, kind: str = "") -> Line:
    return Line(text, " " * indent, " " * (indent + hang), kind=kind)


def _task_lines(judged: Judged, selected: SelectedTask) -> Iterator[Line]:
    air = selected.air
    yield _line(said_join([air.task.name or "", same(f"[{air.task.id}]")], "  "), 0)
    for agent in air.agents:
        yield _line(_agent_words(agent), 2)
        for duty in judged.selection.duties[agent.hazard.id]:
            yield _line(said("also: %(duty)s (%(cited)s)", duty=duty.text, cited=same(duty.citation)), 4)
    escape = judged.selection.escape[air.task.id]
    yield _line(_needed_words(air, bool(escape.duties)), 2)
    for verdict in selected.masks:
        yield _line(_verdict_words(verdict, air), 2, kind=_kind(verdict))
        for reason in verdict.reasons:
            told = reason_text(judged, reason, label_in(air.task, verdict.mask))
            yield _line(_with_code(reason, _cited_behind(judged, reason, told)), 6, 9, "why")
        life = judged.service_lives.get((air.task.id, verdict.mask.id))
        if life is not None and verdict.is_adequate:
            yield _line(_life_words(life), 6)
    for group in judged.for_groups.get(air.task.id, ()):
        for words in lines_for_group(group):
            yield _line(said("for %(whom)s: %(what)s", whom=group.names, what=words), 2)
        if group.classes:
            classes = said_join(group.classes, ", ")
            yield _line(
                said("for %(whom)s, of the classes below, not: %(classes)s", whom=group.names, classes=classes), 2
            )
    yield from _escape_lines(escape)
    yield from _shut_lines(judged, said("NOBODY COULD COUNT ON GETTING OUT"), escape.bars)
    goes_in = judged.selection.entry.get(air.task.id, ())
    yield from _shut_lines(judged, said("NOBODY GOES IN, whatever is worn"), goes_in)
    if not air.agents and not air.danger:
        return  # left to others, and nobody says what is in the air
    if not (air.needs_mask or air.is_worn):
        return  # every class would do, and none is asked for
    yield Line(said("classes, least burdensome first"), "  ", "  ", is_typed=True)
    for kind in selected.classes:
        yield _line(_class_words(judged, kind), 4)


def _escape_lines(escape: Escape) -> Iterator[Line]:
    """Say what a standard asks for to get out in, and what hangs at hand: none of it is worn at the work."""
    for duty in escape.duties:
        told = said(
            "at hand for getting out of %(agent)s: %(mask)s (%(cited)s)",
            agent=duty.agent,
            mask=duty.words,
            cited=same(duty.citation),
        )
        yield _line(told if duty.served_by else said_join([told, said("NONE HANGS AT HAND")], "; "), 2)
    for one in escape.masks:
        mask = label_of(one.mask)
        if one.trouble:
            yield _line(
                said("at hand for getting out only: DOES NOT SERVE: %(mask)s: %(why)s", mask=mask, why=one.trouble), 2
            )
        else:
            yield _line(said("at hand for getting out only: %(mask)s", mask=mask), 2)


def _shut_lines(judged: Judged, head: str, reasons: tuple[Reason, ...]) -> Iterator[Line]:
    """Say why nobody works there, with a mask or without one."""
    if reasons:
        yield _line(head, 2, kind="bad")
    for reason in reasons:
        yield _line(_with_code(reason, _cited_behind(judged, reason, reason.told)), 6, 9, "why")


def _with_code(reason: Reason, told: str) -> str:
    return said_join([same(reason.code), told], "  ") if reason.code else told


def _cited_behind(judged: Judged, reason: Reason, told: str) -> str:
    cited = _cited(judged, reason)
    return said_join([told, same(f"({cited})")]) if cited else told


def _agent_words(agent: Assessment) -> str:
    governing = agent.governing
    if governing is not None:
        told = said(
            "%(level)s (%(basis)s); limit %(limit)s %(kind)s (%(cited)s); %(ratio)s times",
            level=text_of(governing.level.value, unit_symbol(governing.level.unit), "up"),
            basis=governing.level.basis,
            limit=text_of(governing.level.limit_value, unit_symbol(governing.limit.unit), "down"),
            kind=said_choice(governing.limit.kind),
            cited=same(governing.limit.citation),
            ratio=number_text(governing.value, "up"),
        )
    elif agent.is_unknown:
        told = said("level not known, so the air counts as immediately dangerous")
    else:
        told = agent.floor_basis or said("no level, no limit")
    parts = [told]
    if agent.undetermined:
        parts.append(said("no level for %(limits)s", limits=said_join(agent.undetermined, ", ")))
    if idlh := agent.danger:
        value = text_of(idlh.value, unit_symbol(idlh.unit))
        parts.append(said("IDLH %(value)s (%(origin)s)", value=value, origin=idlh.origin))
    parts += [item.in_words for item in agent.limits if item.kind is LimitKind.ACTION_LEVEL]
    form = said_choice(agent.hazard.form) if agent.hazard.form else said("form not stated")
    return said("%(agent)s, %(form)s: %(told)s", agent=agent.hazard.agent, form=form, told=said_join(parts, "; "))


def _needed_words(air: TaskAir, gets_out_in: bool) -> str:
    if air.danger:
        return said("needed: a mask for immediately dangerous air (%(why)s)", why=said_join(air.danger, "; "))
    if not air.needs_mask:
        if gets_out_in:
            return said("needed: no mask by what is described, but one at hand to get out in")
        return said("needed: no mask by what is described")
    needed = number_text(air.needed.value, "up")
    if air.needed.strictly_above:
        told = said("needed: protection factor over %(needed)s", needed=needed)
    else:
        told = said("needed: protection factor %(needed)s", needed=needed)
    return said_join([told, said("(mixture sum %(sum)s)", sum=air.mixture.printed)]) if air.mixture else told


def _verdict_words(verdict: MaskVerdict, air: TaskAir) -> str:
    apf = verdict.credit.apf
    parts = [said("no factor") if apf is None else said("factor %(apf)s", apf=number_text(apf, "down"))]
    tightest = _tightest(verdict)
    if tightest and verdict.is_adequate:  # a level beside a no would read as leave
        parts.append(said("up to %(most)s of %(agent)s", most=tightest.printed, agent=tightest.agent))
    if tightest is not None and tightest.margin is not None:
        margin = number_text(tightest.margin, "down")
        parts.append(said("margin %(margin)s = %(sum)s", margin=margin, sum=same(tightest.margin_sum)))
    told = said_join(parts, ", ")
    if verdict.passes:
        told = said_join([told, said("does not stop %(agents)s", agents=said_join(verdict.passes, ", "))], "; ")
    return said(
        "%(answer)s: %(mask)s (%(told)s)",
        answer=_answer(verdict, air),
        mask=label_in(air.task, verdict.mask),
        told=told,
    )


def _kind(verdict: MaskVerdict) -> str:
    if verdict.is_adequate:
        return "good"
    return "bad" if verdict.is_disproved or verdict.is_forbidden else "open"


def _answer(verdict: MaskVerdict, air: TaskAir) -> str:
    """Say whether a mask protects; where something is only missing, the reasons below it say what."""
    if verdict.is_adequate:
        return said("protects") if air.is_worn else said("worn by choice")
    if verdict.is_disproved:
        return said("DOES NOT PROTECT")
    return said("MAY NOT BE WORN HERE") if verdict.is_forbidden else said("NOT SHOWN TO PROTECT YET")


def _life_words(life: ServiceLife) -> str:
    hours = said("no figure") if life.hours is None else said_join([number_text(life.hours, "down"), same("h")])
    parts = [said("cartridges: %(hours)s", hours=hours)]
    parts.append(said("basis: %(basis)s", basis=life.basis or said("none")))
    if life.schedule:
        parts.append(said("change: %(schedule)s", schedule=life.schedule))
    if life.refused:
        parts.append(said("not used: %(refused)s", refused=said_join(life.refused, "; ")))
    return said_join(parts, "; ")


def _class_words(judged: Judged, verdict: ClassVerdict) -> str:
    name = verdict.kind.name
    if verdict.apf is not None:
        name = said_join([name, same(f"({number_text(verdict.apf, 'down')})")])
    if verdict.would_do:
        only_with = said_join(verdict.only_with, "; ")
        told = said("%(class_)s, only with %(gear)s", class_=name, gear=only_with) if verdict.only_with else name
        return said_join([said("yes"), told], "  ")
    worst = verdict.reasons[0]
    if "danger" in worst.words:
        worst = replace(worst, words={**worst.words, "danger": said("see above")})
    return said_join([said("no"), reason_text(judged, worst, name)], "   ")
