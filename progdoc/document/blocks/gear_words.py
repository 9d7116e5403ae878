"""The other gear of a task as the papers list it: spectacles are none under a full facepiece that has a lens kit."""

from __future__ import annotations

from progdoc.model.description.index import Index
from progdoc.model.description.masks import Facepiece, Mask
from progdoc.model.description.workplace import Gear, Task

__all__ = ["with_lens_kits", "worn_besides"]


def with_lens_kits(index: Index, task: Task) -> tuple[tuple[str, Mask], ...]:
    """Return the masks of a task that have a kit in the place of the spectacles that are listed, with their places."""
    named = (index.masks[use.mask] for use in task.masks if Gear.SPECTACLES in task.gear)
    return tuple((path, mask) for path, mask in named if mask.facepiece is Facepiece.FULL_FACEPIECE and mask.lens_kits)


def worn_besides(index: Index, task: Task) -> tuple[Gear, ...]:
    """Return the other gear that is worn; no spectacles where each mask of the task has a kit in their place."""
    are_none = bool(task.masks) and len(with_lens_kits(index, task)) == len(task.masks)
    return tuple(gear for gear in task.gear if gear is not Gear.NONE and not (are_none and gear is Gear.SPECTACLES))
