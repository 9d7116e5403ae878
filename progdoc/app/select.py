"""What protects in which task, what does not, and why: the use case behind `select`.

As JSON: `selection_json.py`; as text for a terminal: `selection_lines.py`.
"""

from __future__ import annotations

from progdoc.app.check import Checked
from progdoc.app.of_site import is_done_at
from progdoc.core.data_text import filled
from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.workplace import DoneBy
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.judged.mask_results import ClassVerdict, MaskVerdict, MaximumUseConcentration
from progdoc.rules.judged.result import Judged
from progdoc.rules.reasons import Reason
from progdoc.rules.requirement import Requirement

__all__ = [
    "SelectedTask",
    "is_everybody_protected",
    "reason_citation",
    "reason_text",
    "select",
    "task_ids",
    "tightest_muc",
]


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


def reason_citation(judged: Judged, reason: Reason) -> str:
    """Return the paragraph of a reason: of the policy that set the figure, or of the requirement."""
    return reason.words.get("citation") or (str(_requirements(judged)[reason.code].citation) if reason.code else "")


def tightest_muc(verdict: MaskVerdict) -> MaximumUseConcentration | None:
    """Return the maximum use concentration of the agent that leaves the least margin; the first where none is known."""
    known = [muc for muc in verdict.mucs if muc.margin is not None]
    if known:
        return min(known, key=lambda muc: (muc.margin or 0.0, muc.agent))
    return verdict.mucs[0] if verdict.mucs else None


def _requirements(judged: Judged) -> dict[str, Requirement]:
    return {r.code: r for r in judged.requirements}


def _airs(judged: Judged, task: str | None, site: str | None) -> list[TaskAir]:
    found = judged.selection.air.items()
    return [air for name, air in found if task in (None, name) and is_done_at(judged, name, site)]


def _verdicts(judged: Judged, air: TaskAir) -> list[MaskVerdict]:
    masks = judged.selection.masks
    named = dict.fromkeys(use.mask for use in air.task.masks)
    return [masks[air.task.id, mask] for mask in named if (air.task.id, mask) in masks]
