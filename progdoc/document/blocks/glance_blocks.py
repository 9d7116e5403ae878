"""Tasks and masks at a glance: one row a task, the most dangerous first, for the first page of the program."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from progdoc.core.barred import Why
from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join, said_measure
from progdoc.document.blocks.level_words import how_known
from progdoc.document.blocks.selection_blocks import is_barred, masks_that_fail
from progdoc.document.tree.nodes import Block, Cell, Column, Inline, LineBreak, Reference, Row, Strong, Table, Text
from progdoc.model.description.exposure_evidence import Samples
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import DoneBy, Task
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.result import Judged

__all__ = ["glance_blocks"]

Failing = Mapping[tuple[str, str], tuple[str, ...]]


def glance_blocks(judged: Judged) -> dict[str, tuple[Block, ...]]:
    """Return "at-a-glance": a row for each task of the firm's own people; nothing where there is none."""
    failing = masks_that_fail(judged)
    tasks = [(path, task) for path, task in judged.index.tasks.values() if task.done_by is DoneBy.OUR_PEOPLE]
    tasks.sort(key=lambda found: _order(judged, found[1]))
    rows = tuple(
        Row(
            f"at-a-glance.{task.id}",
            (
                Cell((Reference(f"task.{task.id}"),)),
                Cell(_masks(judged, path, task, failing)),
                Cell(_changes(judged, task)),
                Cell((Text(_air(judged.selection.air[task.id])),)),
            ),
        )
        for path, task in tasks
    )
    titles = (
        (said("Task"), 4),
        (said("Mask and filter"), 5),
        (said("Gas or vapour cartridge"), 4),
        (said("The air"), 4),
    )
    columns = tuple(Column(title, share) for title, share in titles)
    return {"at-a-glance": (Table("at-a-glance.all", "", columns, rows),) if rows else ()}


def _order(judged: Judged, task: Task) -> tuple[bool, bool, float]:
    air = judged.selection.air[task.id]
    is_shut = any(one.task == task.id and one.is_for_all for one in judged.barred)
    return (not is_shut, not air.is_immediately_dangerous, -max((times for times, _ in _figures(air)), default=0.0))


def _masks(judged: Judged, path: str, task: Task, failing: Failing) -> tuple[Inline, ...]:
    air = judged.selection.air[task.id]
    is_by_choice = air.is_by_choice
    gets_out = not is_barred(judged, task, Why.WAY_OUT)
    lines: list[tuple[Inline, ...]] = []
    if not (air.is_worn or is_by_choice):
        lines.append((Text(said("No mask at the work")),))
    elif not task.masks and is_by_choice and gets_out:
        lines.append((Text(said("By choice, and nobody has said which yet")),))
    elif all((task.id, use.mask) in failing for use in task.masks) and is_by_choice and gets_out:
        lines.append((Text(said("None by choice either, as things stand")),))
    elif not any((task.id, use.mask) not in failing for use in task.masks):
        lines.append((Strong((Text(said("No mask named for it protects: nobody starts")),)),))
    elif is_barred(judged, task, Why.RESCUE):
        lines.append((Strong((Text(said("Not all is there that going in takes: nobody goes in")),)),))
    elif is_by_choice:
        lines.append((Text(said("By choice:")),))
    for i, use in enumerate(task.masks):
        if (task.id, use.mask) in failing or not (air.is_worn or is_by_choice):
            continue
        parts = [label_of(judged.index.filters[part][1]) for part in use.filters]
        words = label_of(judged.index.masks[use.mask][1])
        if parts:
            words = said("%(mask)s with %(filters)s", mask=words, filters=", ".join(parts))
        if use.told_apart:
            words = said("%(mask)s (%(told_apart)s)", mask=words, told_apart=use.told_apart)
        lines.append((Text(words, f"{path}.masks[{i}].mask"),))
    for group in judged.for_groups.get(task.id, ()):
        barred = ", ".join(label_of(worn.mask) for worn in group.barred)
        told = [said("a mask must be worn")] if group.masks_for else []
        told += [said("not the %(masks)s", masks=barred)] if barred else []
        if told:
            lines.append((Text(said("for %(whom)s: %(what)s", whom=group.names, what=said_join(told, "; "))),))
    for i, mask in enumerate(task.escape_masks):
        words = said("to get out: %(masks)s", masks=label_of(judged.index.masks[mask][1]))
        lines.append((Text(words, f"{path}.escape_masks[{i}]"),))
    return _in_lines(lines)


def _changes(judged: Judged, task: Task) -> tuple[Inline, ...]:
    worn = {part for use in task.masks for part in use.filters}
    masks = judged.selection.masks
    protecting = {part for use in task.masks if masks[task.id, use.mask].is_adequate for part in use.filters}
    lines: list[tuple[Inline, ...]] = []
    for i, plan in enumerate(judged.description.procedures.filter_changes.schedules):
        if task.id not in plan.tasks or plan.filter not in worn & judged.gas_cartridges or not plan.change:
            continue
        # Named where the row has several; the column beside names one alone.
        label = said("%(filters)s: ", filters=label_of(judged.index.filters[plan.filter][1])) if len(worn) > 1 else ""
        found = judged.cartridge_changes.items()
        changes = [change for (name, _, part), change in found if (name, part) == (task.id, plan.filter)]
        if any(plan not in (carried for _, carried in change.carried) for change in changes):
            lines.append((Text(said("%(label)snot settled", label=label)),))
        elif plan.filter in protecting:
            longest = said("; %(after)s in use at most", after=plan.after.printed) if plan.after else ""
            words = said("%(label)s%(change)s%(longest)s", label=label, change=plan.change, longest=longest)
            lines.append((Text(words, f"procedures.filter_changes.schedules[{i}].change"),))
    for group in judged.for_groups.get(task.id, ()):
        for part, time in group.changes:
            told = said("%(filter)s: %(time)s in use at most", filter=part, time=said_measure(time.printed))
            lines.append((Text(said("for %(whom)s: %(what)s", whom=group.names, what=told)),))
    return _in_lines(lines or [(Text("–"),)])


def _air(air: TaskAir) -> str:
    """Return the figure that governs, in a phrase."""
    if air.is_immediately_dangerous:
        return said("counts as immediately dangerous")
    if not air.agents:
        return said("nothing is said about it")
    unknown = [agent.hazard.agent for agent in air.agents if agent.is_unknown]
    if unknown:
        return said("not known: %(unknown)s", unknown=said_join(unknown, ", "))
    found = list(_figures(air))
    if not found:
        return said("no level that can be measured")
    in_peaks = [agent.hazard.agent for agent in air.agents if agent.allowed_peaks]
    return said_join(
        (max(found)[1], *(said("%(agent)s over its ceiling in allowed peaks", agent=agent) for agent in in_peaks)), "; "
    )


def _figures(air: TaskAir) -> Iterator[tuple[float, str]]:
    """Yield how many times a mask has to thin each agent, as a number and in a phrase."""
    for agent in air.agents:
        name, ratio = agent.hazard.agent, agent.hazard_ratio
        if agent.floor:
            yield (
                agent.floor,
                said("%(name)s: a factor of %(floor)s is asked for", name=name, floor=number_text(agent.floor, "up")),
            )
        if ratio is not None:
            yield ratio, _times(agent, number_text(ratio, "up"))
    if air.mixture is not None:
        yield (
            air.mixture.value,
            said("together over a shift: %(mixture)s times the limit", mixture=air.mixture.printed),
        )


def _times(agent: Assessment, ratio: str) -> str:
    """Return how many times over its limit an agent is, and how that is known."""
    told = said("%(name)s: %(ratio)s times the limit", name=agent.hazard.agent, ratio=ratio)
    is_open = not isinstance(agent.hazard.exposure, Samples)  # the table of the task says of each how it is known
    return said("%(told)s (%(known)s)", told=told, known=how_known(agent.hazard)) if is_open else told


def _in_lines(lines: list[tuple[Inline, ...]]) -> tuple[Inline, ...]:
    found: list[Inline] = []
    for line in lines:
        found += [LineBreak(), *line] if found else line
    return tuple(found)
