"""What a figure is about at the firm, and how much of that a policy binds.

Where a policy binds any of it, the program's silence is a gap. Where it binds all of it, or what it speaks of is one
for the whole firm, the program's own figure has to keep it. Else that figure speaks of others too: they need not obey,
and the document prints the policy beside it. One for some of a crew binds what they share with the others, and not
what is said of work whoever does it. The names stand under `binds` in the values of the packs. What nobody said
about a mask counts as having to do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.model.description.policies import Policy
from progdoc.model.description.workplace import Task
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.rule_set import RuleSet, binding
from progdoc.rules.judged.figure_results import LawValue
from progdoc.rules.lookup.facepieces import SCBA, may_seal
from progdoc.rules.lookup.fit_protocols import is_quantitative

__all__ = ["Reach", "holds_somewhere", "masks_meant", "reach_of"]

Pair = tuple[Task, Mask | None]  # a mask in a task; without one, the task itself


@dataclass(frozen=True, slots=True)
class Reach:
    """How much of what a figure is about a policy binds."""

    tasks: tuple[Task, ...]  # those of our people whose air it binds, whoever does them
    shared: tuple[Task, ...]  # those in which it binds some of the crew alone
    bound: tuple[Pair, ...]
    is_whole: bool  # nothing else is meant by the program's own figure


def holds_somewhere(facts: Facts, policy: Policy) -> bool:
    """Say whether our people do work for which a policy holds, for whatever mask."""
    return any(policy in facts.rules.policies[task.id] for _, task in facts.our_tasks)


def reach_of(facts: Facts, policy: Policy, rule: LawValue) -> Reach:
    """Return how much of what a figure is about a policy binds."""
    about = tuple(SCOPES[rule.binds](facts)) if rule.binds else ()
    bound = tuple(pair for pair in about if _is_bound(facts.rules, policy, pair))
    for_all = [pair for pair in bound if _is_bound(facts.rules_of_crews, policy, pair)]
    is_all = bool(bound) and (len(for_all) == len(about) or rule.binds in ONE_FOR_ALL)
    held = [task for _, task in facts.our_tasks if _is_bound(facts.rules, policy, (task, None))]
    tasks = tuple(task for task in held if _is_bound(facts.rules_of_crews, policy, (task, None)))
    return Reach(tasks, tuple(task for task in held if task not in tasks), bound, is_all or policy.is_general)


def masks_meant(facts: Facts, rule: LawValue) -> tuple[Mask, ...] | None:
    """Return the masks that a figure is about at the firm; None for one of the air."""
    if not rule.binds:
        return facts.description.masks
    about = tuple(SCOPES[rule.binds](facts))
    found = {mask.id: mask for _, mask in about if mask is not None}
    return tuple(found.values()) if found or not about else None


def _is_bound(rules: RuleSet, policy: Policy, pair: Pair) -> bool:
    task, mask = pair
    return any(one.id == policy.id for one in binding(rules, (task,), None if mask is None else (mask,)))


# ---- what figures are about ---------------------------------------------------------------------------


def _worn(facts: Facts) -> Iterator[Pair]:
    for _, task in facts.our_tasks:
        if facts.is_worn(task):
            masks = facts.masks_of(task)
            yield from ((task, mask) for _, mask in masks)
            yield from () if masks else ((task, None),)


def _sealing(facts: Facts) -> Iterator[tuple[Task, Mask]]:
    return ((task, mask) for task, mask in _worn(facts) if mask is not None and may_seal(mask))


def _by_instrument(is_full: bool) -> Callable[[Facts], Iterator[Pair]]:
    def scope(facts: Facts) -> Iterator[Pair]:
        if any(map(is_quantitative, facts.description.procedures.fit_testing.protocols)):
            for task, mask in _sealing(facts):
                if (mask.facepiece is Facepiece.FULL_FACEPIECE) is is_full:
                    yield task, mask

    return scope


def _at_hand(test: Callable[[Mask], object]) -> Callable[[Facts], Iterator[Pair]]:
    """The masks of our tasks, and those that hang on the wall for whoever needs them."""

    def scope(facts: Facts) -> Iterator[Pair]:
        for _, mask in facts.masks.values():
            if test(mask) and (mask.id in facts.tasks_by_mask or mask.emergency):
                yield from ((task, mask) for task in facts.tasks_around(mask))

    return scope


def _dangerous(facts: Facts) -> Iterator[Pair]:
    for _, task in facts.our_tasks:
        if facts.is_worn(task) and facts.selection.air[task.id].is_immediately_dangerous:
            yield task, None


SCOPES: dict[str, Callable[[Facts], Iterator[Pair]]] = {
    "tight-fitting": _sealing,
    "half-mask-by-instrument": _by_instrument(is_full=False),
    "full-facepiece-by-instrument": _by_instrument(is_full=True),
    "dangerous-air": _dangerous,
    "required-use": _worn,
    "whole-program": _worn,
    "emergency-mask": _at_hand(lambda mask: mask.emergency),
    "cylinder": _at_hand(lambda mask: mask.mode in SCBA or mask.auxiliary_air),
    "supplied-air": _at_hand(lambda mask: mask.mode not in (Mode.AIR_PURIFYING, Mode.POWERED, None)),
}
ONE_FOR_ALL = ("whole-program", "supplied-air")  # one evaluation, one compressor: whoever is bound, all get it
