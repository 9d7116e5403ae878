"""Looks at approval numbers: whether one is written, looks like one, and can be the one of such a mask or filter.

What a mask or filter says of itself counts as well: one that is called “not approved” is not shown to be.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from progdoc.core.said import said, same
from progdoc.model.description.masks import Filter
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.approvals import (
    covers_filter,
    covers_mask,
    has_approval_shape,
    holds_no_gas,
    schedule_covers,
    unapproved_words,
)
from progdoc.rules.requirement import Subject

__all__ = ["APPROVAL_CHECKS"]

_NOT_WRITTEN = said("No approval number is written.")


def _without_number(facts: Facts, subject: Subject) -> CheckResult:
    """Words in the place of the number, such as `none` or `pending`, are no approval."""
    path = f"{subject.path}.approval"
    approval = facts.value_at(path)
    return result_at(path, {} if approval is None or not any(c.isdecimal() for c in approval) else None)


def _misspelt(facts: Facts, subject: Subject) -> CheckResult:
    """A NIOSH approval number has one of six shapes."""
    path = f"{subject.path}.approval"
    approval = facts.value_at(path)
    if approval is None:
        return CheckResult((path,), nothing=_NOT_WRITTEN)
    return result_at(path, None if has_approval_shape(approval) else {"approval": approval})


def _mask_of_another_kind(facts: Facts, subject: Subject) -> CheckResult:
    """The schedule at the beginning of the number covers other kinds of mask than this one."""
    path, mode = f"{subject.path}.approval", f"{subject.path}.mode"
    mask = facts.value_at(subject.path)
    if mask.approval is None or mask.mode is None or not has_approval_shape(mask.approval):
        return CheckResult((path, mode), nothing=said("Number or kind of the mask is not said, or can't be read."))
    if covers_mask(mask.approval, mask):
        return CheckResult((path, mode))
    mode_words = same(mask.mode.value)
    if mask.auxiliary_air:
        mode_words = said("%(mode)s with auxiliary air", mode=mode_words)
    words = {"approval": mask.approval, "covers": schedule_covers(mask.approval), "mode": mode_words}
    return CheckResult((path, mode), ((path, words),))


def _filter_of_another_kind(facts: Facts, subject: Subject) -> CheckResult:
    """The number of a filter looks like none, or is one for things that hold no such filter."""
    path = f"{subject.path}.approval"
    part = facts.value_at(subject.path)
    if part.approval is None:
        return CheckResult((path,), nothing=_NOT_WRITTEN)
    trouble = said("does not look like a NIOSH approval number")
    if has_approval_shape(part.approval):
        covers = schedule_covers(part.approval)
        against = said("a cartridge against gases") if part.gases else said("a filter")
        trouble = (
            ""
            if covers_filter(part.approval, part)
            else said("is for %(covers)s, and this is %(against)s", covers=covers, against=against)
        )
        if not trouble and not part.gases and not holds_no_gas(part.approval):
            alone = next((label_of(task) for task in _alone_in(facts, part)), "")
            trouble = (
                said(
                    "is for %(covers)s, and in “%(alone)s” this filter is worn with no cartridge",
                    covers=covers,
                    alone=alone,
                )
                if alone
                else ""
            )
    return result_at(path, {"approval": part.approval, "trouble": trouble} if trouble else None)


def _alone_in(facts: Facts, part: Filter) -> Iterator[Task]:
    """Yield the tasks in which a filter is worn, and no cartridge beside it."""
    for _, task in facts.our_tasks:
        for use in task.masks:
            if part.id in use.filters and not any(facts.filters[one][1].gases for one in use.filters):
                yield task


def _calls_itself_unapproved(facts: Facts, subject: Subject) -> CheckResult:
    """The name, make, model or style says that it is not certified, or is certified elsewhere."""
    thing = facts.value_at(subject.path)
    fields = [name for name in ("name", "make", "model", "style") if getattr(thing, name, None)]
    paths = tuple(f"{subject.path}.{name}" for name in fields)
    for path, field in zip(paths, fields, strict=True):
        if words := unapproved_words(getattr(thing, field)):
            return CheckResult(paths, ((path, {"words": words}),))
    return CheckResult(paths, nothing=said("Neither its name nor its make says that it is not approved."))


APPROVAL_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "approval-numbered": _without_number,
    "approval-shaped": _misspelt,
    "approval-suits-mask": _mask_of_another_kind,
    "approval-suits-filter": _filter_of_another_kind,
    "mask-not-called-unapproved": _calls_itself_unapproved,
    "filter-not-called-unapproved": _calls_itself_unapproved,
}
