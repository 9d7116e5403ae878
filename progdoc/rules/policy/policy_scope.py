"""Whether the program has to do with what a policy speaks of: only then is its silence a gap.

The names stand under `binds` in the values of the packs. What nobody said about a mask counts as having to do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.model.description.policies import Policy
from progdoc.model.description.workplace import Task
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.facepieces import SCBA, may_seal
from progdoc.rules.lookup.fit_protocols import is_quantitative

__all__ = ["SCOPES", "Tasks", "bound_tasks"]

Tasks = tuple[Task, ...]


def bound_tasks(facts: Facts, policy: Policy) -> Tasks:
    """Return our own people's tasks that a policy binds."""
    return tuple(task for _, task in facts.our_tasks if policy in facts.rules.policies[task.id])


def _worn(facts: Facts, tasks: Tasks) -> bool:
    return any(facts.is_worn(task) for task in tasks)


def _worn_masks(facts: Facts, tasks: Tasks) -> Iterable[Mask]:
    return (mask for task in tasks if facts.is_worn(task) for _, mask in facts.masks_of(task))


def _sealing(facts: Facts, tasks: Tasks) -> bool:
    return any(may_seal(mask) for mask in _worn_masks(facts, tasks))


def _by_instrument(is_full: bool) -> Callable[[Facts, Tasks], bool]:
    def scope(facts: Facts, tasks: Tasks) -> bool:
        named = facts.description.procedures.fit_testing.protocols
        kinds = (mask.facepiece is Facepiece.FULL_FACEPIECE for mask in _worn_masks(facts, tasks) if may_seal(mask))
        return any(map(is_quantitative, named)) and any(kind is is_full for kind in kinds)

    return scope


def _at_hand(facts: Facts, tasks: Tasks) -> Iterable[Mask]:
    """The masks of some tasks, and those that hang on the wall for whoever needs them."""
    named = {use.mask for task in tasks for use in task.masks}
    around = facts.tasks_by_mask
    every = (mask for _, mask in facts.masks.values())
    return (mask for mask in every if mask.id in named or (mask.emergency and mask.id not in around))


def _kept_for_emergencies(facts: Facts, tasks: Tasks) -> bool:
    return bool(tasks) and any(mask.emergency for mask in _at_hand(facts, tasks))


def _with_cylinder(facts: Facts, tasks: Tasks) -> bool:
    return bool(tasks) and any(mask.mode in SCBA or mask.auxiliary_air for mask in _at_hand(facts, tasks))


def _air_supplied(facts: Facts, tasks: Tasks) -> bool:
    cleaned = (Mode.AIR_PURIFYING, Mode.POWERED, None)
    return bool(tasks) and any(mask.mode not in cleaned for mask in _at_hand(facts, tasks))


def _dangerous(facts: Facts, tasks: Tasks) -> bool:
    return any(facts.selection.air[task.id].is_immediately_dangerous for task in tasks if facts.is_worn(task))


SCOPES: dict[str, Callable[[Facts, Tasks], bool]] = {
    "tight-fitting": _sealing,
    "half-mask-by-instrument": _by_instrument(is_full=False),
    "full-facepiece-by-instrument": _by_instrument(is_full=True),
    "dangerous-air": _dangerous,
    "required-use": _worn,
    "emergency-mask": _kept_for_emergencies,
    "cylinder": _with_cylinder,
    "supplied-air": _air_supplied,
}
