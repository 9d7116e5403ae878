"""How many there are of a mask, and how many people wear it: fewer masks than wearers are shared, whatever is said."""

from __future__ import annotations

from progdoc.model.description.masks import Issue, Mask
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.requirement import Subject

__all__ = ["shortage", "stock_for_all_wearers"]


def shortage(facts: Facts, mask: Mask) -> tuple[int, int] | None:
    """Return how many people wear a mask and how many of it there are, where these are too few; else nothing.

    People wear it who were issued one, and those of a task that names no other mask. Single masks that have records
    of their own count as all there are, where nobody says how many are in stock.
    """
    pieces = mask.in_stock if mask.in_stock is not None else len(mask.units) or None
    if pieces is None or mask.disposable:
        return None
    issued = {person.id for _, person in facts.people.values() if any(one.mask == mask.id for one in person.masks)}
    alone = {
        person
        for _, task in facts.tasks_by_mask.get(mask.id, ())
        if all(use.mask == mask.id for use in task.masks)
        for person in task.people
    }
    wearers = len(issued | alone)
    return (wearers, pieces) if wearers > pieces else None


def stock_for_all_wearers(facts: Facts, subject: Subject) -> CheckResult:
    """Whoever is to have a mask of their own finds one."""
    path, mask = facts.masks[subject.ids[0].partition(".")[2]]
    paths = (f"{path}.issue", f"{path}.in_stock")
    if mask.in_stock is None and not mask.units:
        return CheckResult(paths, nothing="Nobody says how many there are.")
    short = shortage(facts, mask)
    if short is None or mask.issue is not Issue.EXCLUSIVE:
        return CheckResult(paths, shown=(f"{path}.in_stock" if mask.in_stock is not None else f"{path}.units",))
    return CheckResult(paths, ((paths[0], {"wearers": str(short[0]), "pieces": str(short[1])}),))
