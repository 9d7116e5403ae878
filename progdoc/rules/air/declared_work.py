"""What the kind of work puts into the air, as far as the firm itself says so, and no hazard of the task is.

Whoever names a metal that is welded has named an agent of the air; where nobody describes it, its level is unknown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from progdoc.core.said import said, said_choice
from progdoc.model.description.hazards import Form
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.special_work import Abrasive, HotPlace
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.lookup.hot_work_agents import freed_by
from progdoc.rules.lookup.substances import find_substance, limits_for
from progdoc.rules.lookup.telling_words import is_told

__all__ = ["Undescribed", "is_in_confined_space", "most_oxygen", "undescribed"]


class Undescribed(NamedTuple):
    """Something that the work puts into the air and that is no hazard of its task."""

    code: str  # the finding that asks for it
    field: str  # of the task, where the firm named it
    what: str
    because: str


def undescribed(task: Task, agents: Sequence[Assessment]) -> Iterator[Undescribed]:
    """Return what the firm's own answers say is in the air and nobody describes as a hazard."""
    known = {agent.substance.id for agent in agents if agent.substance}
    yield from _of_hot_work(task, known)
    yield from _of_blasting(task, agents)
    yield from _of_spraying(task, agents)


def _of_hot_work(task: Task, known: set[str]) -> Iterator[Undescribed]:
    for metal in task.hot_work.metals if task.hot_work else ():
        freed = freed_by(metal.value)
        if freed is not None and known.isdisjoint(freed.agents):
            because = said("hot work on %(metal)s", metal=said_choice(metal))
            yield Undescribed("HOT-007", "hot_work.metals", freed.words, because)


def _of_blasting(task: Task, agents: Sequence[Assessment]) -> Iterator[Undescribed]:
    """The abrasive holds silica; the dust is toxic, and no agent is stricter limited than dust that merely bothers."""
    work = task.blasting
    if work is None:
        return
    held = {Abrasive.SILICA_SAND: said("silica sand"), Abrasive.WITH_SILICA: said("one that holds silica")}
    abrasive = held.get(work.abrasive) if work.abrasive else None
    if abrasive and not any(_is_crystalline_silica(agent) for agent in agents):
        because = said("the abrasive is %(abrasive)s", abrasive=abrasive)
        yield Undescribed("BLA-005", "blasting.abrasive", said("crystalline silica"), because)
    if work.toxic and not any(_is_toxic(agent) for agent in agents):
        yield Undescribed(
            "BLA-006", "blasting.toxic", said("what makes the dust toxic"), said("toxic dust is blasted off")
        )


def _is_crystalline_silica(agent: Assessment) -> bool:
    """Whether an agent is quartz or another that the standard on silica governs."""
    silica = find_substance("crystalline silica")
    return agent.substance is not None and silica is not None and agent.substance.standards == silica.standards


def _is_toxic(agent: Assessment) -> bool:
    """Whether an agent is limited more strictly than dust without a limit of its own, or is none of the tables."""
    harmless = find_substance("nuisance dust")
    if agent.substance is None or harmless is None:
        return True
    limits = [limit for industry in Industry for limit in limits_for(harmless, industry.value)]
    bounds = [limit.value for limit in limits if limit.value and limit.unit == "mg/m3"]
    least = min(bounds, default=0.0)
    return any(not limit.value or limit.unit != "mg/m3" or limit.value < least for limit in agent.limits)


def _of_spraying(task: Task, agents: Sequence[Assessment]) -> Iterator[Undescribed]:
    """Whatever is sprayed is in the air as droplets; powder, as dust."""
    if task.spraying is None:
        return
    forms = {agent.hazard.form for agent in agents}
    is_powder = Form.DUST in forms and any(
        is_told("sprayed_dry", text) for text in (task.name, task.description) if text
    )
    if is_powder or None in forms or forms & {Form.MIST, Form.MIST_AND_VAPOUR}:
        return
    code = "SPR-006" if Form.VAPOUR in forms else "SPR-005"
    what = said("mist of the spray") if code == "SPR-006" else said("what is sprayed")
    yield Undescribed(code, "spraying", what, said("it is sprayed"))


def is_in_confined_space(task: Task) -> bool:
    """Return whether a task is done in a confined space by one of its answers at least."""
    return task.confined_space is True or (task.hot_work is not None and task.hot_work.place is HotPlace.CONFINED)


def most_oxygen(task: Task) -> Quantity | None:
    """Return the highest share of oxygen that is told of a task's air; where one figure alone is told, that one."""
    told = (task.oxygen.lowest, task.oxygen.highest) if task.oxygen else ()
    return max((share for share in told if share is not None), key=lambda share: share.value, default=None)
