"""How far the masks of a task do when a reading rises: each step's up to the next reading, and what is worn before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import text_of
from progdoc.core.said import said, said_join
from progdoc.model.description.alternatives import ActionStep
from progdoc.model.description.masks import Filter, Mask
from progdoc.model.description.quantities import Quantity, unit_symbol
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import MaskUse, Task
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.mask_results import MaskVerdict
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.masks.selection import judge_mask

__all__ = ["StepTrouble", "step_troubles", "steps_in_order"]

_HAIR = 1.0 + 1e-9  # what changing units adds
# What rests on the level that is expected: a step is for another one, up to which its mask has to do.
_OF_THE_LEVEL = frozenset({"SEL-003", "SEL-005"})


@dataclass(frozen=True, slots=True)
class StepTrouble:
    """A step at whose place it is told that a mask does not do, and why."""

    number: int  # of the step, in the order of the description
    told: str


def steps_in_order(task: Task, air: TaskAir) -> list[tuple[Assessment, list[tuple[int, ActionStep, float]]]]:
    """Return for each agent that is read its steps, lowest first, with the reading in the unit of the first of them."""
    found = []
    for agent in air.agents:
        of_agent = [(n, step) for n, step in enumerate(task.steps) if step.hazard == agent.hazard.id]
        unit = of_agent[0][1].over.unit if of_agent else ""
        read = [(n, step, _amount(step.over, unit, agent)) for n, step in of_agent]
        if read:
            found.append((agent, sorted(read, key=lambda one: (one[2], one[0]))))
    return found


def _amount(reading: Quantity, unit: str, agent: Assessment) -> float:
    """Return a reading in a unit; one that can't be turned into it is more than any other."""
    value = in_limit_unit(reading, unit, agent.substance)
    return float("inf") if value is None else value


def step_troubles(
    task: Task,
    air: TaskAir,
    path: str,
    masks: Mapping[str, Mask],
    parts: Mapping[str, Filter],
    worn: Mapping[str, bool],
) -> Iterator[StepTrouble]:
    """Yield the steps up to whose reading the mask before does not do; `worn`: whether its tests are qualitative."""
    for agent, steps in steps_in_order(task, air):
        before = [use for use in task.masks if not use.against or agent.hazard.id in use.against]
        for place, (number, step, _) in enumerate(steps):
            at = f"{path}.steps[{number}]"
            for use in before:  # what is worn until this reading
                told = _short_of(step.over, agent, air, _verdict(air, use, masks, parts, worn, at))
                if told:
                    yield StepTrouble(
                        steps[place - 1][0] if place else number,
                        said("%(told)s up to %(over)s", told=told, over=step.over.printed),
                    )
            before = [] if step.leave else [MaskUse(mask=step.mask, filters=step.filters)] if step.mask else before


def _verdict(
    air: TaskAir,
    use: MaskUse,
    masks: Mapping[str, Mask],
    parts: Mapping[str, Filter],
    worn: Mapping[str, bool],
    at: str,
) -> MaskVerdict:
    return judge_mask(air, masks[use.mask], [parts[part] for part in use.filters], use, at, worn[use.mask])


def _short_of(reading: Quantity, agent: Assessment, air: TaskAir, verdict: MaskVerdict) -> str:
    """Return why a mask does not do up to a reading, or nothing."""
    name = label_of(verdict.mask)
    if any(not reason.is_caution and reason.code not in _OF_THE_LEVEL for reason in verdict.reasons):
        codes = dict.fromkeys(r.code for r in verdict.reasons if not r.is_caution and r.code not in _OF_THE_LEVEL)
        return said(
            "the %(name)s is not shown to protect here at all (%(codes)s), and not",
            name=name,
            codes=said_join(codes, ", "),
        )
    if air.is_immediately_dangerous and verdict.is_adequate:
        return ""  # a mask for such air has no concentration up to which it may be worn, (d)(2)(i)
    reach = next((muc for muc in verdict.mucs if muc.hazard == agent.hazard.id), None)
    if reach is None:
        return said(
            "how far the %(name)s does against %(agent)s can't be worked out, and it is worn",
            name=name,
            agent=agent.hazard.agent,
        )
    level = in_limit_unit(reading, reach.unit, agent.substance)
    if level is None:
        return said(
            "the reading can't be compared with %(reach)s, to which the %(name)s may be worn, and it is worn",
            reach=reach.printed,
            name=name,
        )
    if level <= reach.value * _HAIR:
        return ""
    most = text_of(reach.value, unit_symbol(reach.unit), "down")
    return said(
        "the %(name)s may be worn to %(most)s of %(agent)s and is worn", name=name, most=most, agent=agent.hazard.agent
    )
