"""The masks of a wearer held against the policies of their group; what policies for all bar stands elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from progdoc.core.said import said
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.reasons import Reason
from progdoc.rules.requirement import Subject

__all__ = ["GROUP_POLICY_CHECKS"]

_OF_POLICIES = "POL-"  # what else speaks against a mask is no duty where it is worn by choice


def _masks_do_for_group(facts: Facts, subject: Subject) -> CheckResult:
    """In each task one of a wearer's masks for it does by the policies of their group, where one does for others."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.masks"
    of_all = facts.of_everybody
    faults, shown = [], []
    tasks = facts.tasks_of(subject) if facts.selection is not of_all.selection else ()
    about = {mask.id for mask in facts.masks_about(subject)}
    elsewhere = {use.mask for task in tasks if not _is_by_choice(facts, task) for use in task.masks}
    for task in tasks:
        # A mask that was issued for other work is none for this one, where nobody has to wear any.
        allowed = {use.mask for use in task.masks} & about - (elsewhere if _is_by_choice(facts, task) else set())
        issued = [i for i, one in enumerate(person.masks) if one.mask in allowed]
        here = [i for i in issued if not is_withdrawn(facts.masks[person.masks[i].mask][1], facts.as_of)]
        if not here or not any(person.group in policy.groups for policy in facts.rules.policies[task.id]):
            continue
        against = {i: tuple(_against(facts, task, person.masks[i].mask)) for i in here}
        good = [i for i in here if not against[i]]
        if good:
            shown.append(f"{path}[{good[0]}].mask")
        elif any(not tuple(_against(of_all, task, person.masks[i].mask)) for i in here):
            told = ", ".join(label_of(facts.masks[person.masks[i].mask][1]) for i in here)
            by = against[here[0]][0].words.get("citation", "")
            words = {"task": label_of(task), "masks": told, "by": by or said("the law")}
            faults.append((f"{path}[{here[0]}]", {**words, "citation": by} if by else words))
    nothing = "" if shown else said("No policy for their group alone asks anything of the masks they have.")
    return CheckResult((path,), tuple(faults), tuple(dict.fromkeys(shown)), nothing)


def _is_by_choice(facts: Facts, task: Task) -> bool:
    return not facts.is_worn(task) and task.use is not None


def _against(facts: Facts, task: Task, mask: str) -> Iterator[Reason]:
    is_by_choice = _is_by_choice(facts, task)
    for reason in facts.selection.masks[task.id, mask].reasons:
        if not reason.is_caution and (not is_by_choice or reason.code.startswith(_OF_POLICIES)):
            yield reason


GROUP_POLICY_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "masks-do-for-group": _masks_do_for_group,
}
