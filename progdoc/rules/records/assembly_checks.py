"""Looks at mask and filter together: whether the two can be one approved assembly.

NIOSH approves masks whole. A filter of a class that is not given to such masks, of another maker, or under a number
that covers other kinds of mask was never tested on this one, however well it screws in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join
from progdoc.model.description.masks import Filter, Mask, Mode
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import MaskUse
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.approvals import covers_filter, covers_mask, has_approval_shape, schedule_covers, schedule_of
from progdoc.rules.lookup.facepieces import seals
from progdoc.rules.lookup.hood_reports import hood_troubles
from progdoc.rules.lookup.law_tables import assigned_factors_for, filter_class
from progdoc.rules.requirement import Subject

__all__ = ["ASSEMBLY_CHECKS"]

_HAIR = 1.0 + 1e-9  # cubic feet come to litres with a tail
_NO_PARTS = said("No filter is fitted to it here.")


def _parts(facts: Facts, subject: Subject) -> tuple[str, Mask, list[tuple[str, str, Filter]]]:
    """Return a mask with its place, and each filter fitted in the task: where it is named, where described, and it."""
    place, mask = facts.masks[subject.ids[1].partition(".")[2]]
    use: MaskUse = facts.value_at(subject.path)
    named = ((f"{subject.path}.filters[{i}]", *facts.filters[part]) for i, part in enumerate(use.filters))
    return place, mask, list(named)


def _of_such_masks(facts: Facts, subject: Subject) -> CheckResult:
    """The class and the number of every filter are ones that masks of this kind are given."""
    place, mask, parts = _parts(facts, subject)
    if mask.mode not in (Mode.AIR_PURIFYING, Mode.POWERED) or not parts:
        return CheckResult((f"{place}.mode",), nothing=_NO_PARTS)
    faults = [
        (at, {"filter": label_of(part), "trouble": trouble})
        for at, _, part in parts
        for trouble in _troubles(part, mask)
    ]
    read = (f"{place}.mode", *(f"{path}.particulate" for _, path, _ in parts))
    return CheckResult(read, tuple(faults), shown=(f"{subject.path}.filters",))


def _troubles(part: Filter, mask: Mask) -> Iterator[str]:
    is_powered = mask.mode is Mode.POWERED
    its_class = filter_class(part.particulate.value) if part.particulate else None
    if its_class is not None and its_class.is_for_powered is not is_powered:
        kinds = (
            said("masks without a blower, and this mask has one"),
            said("masks with a blower, and this mask has none"),
        )
        yield said(
            "%(its_class)s is a class of %(kinds)s", its_class=its_class.name, kinds=kinds[its_class.is_for_powered]
        )
    if part.approval and _is_for_others(part.approval, part, mask):
        yield said(
            "its number, “%(approval)s”, is for %(schedule_covers)s",
            approval=part.approval,
            schedule_covers=schedule_covers(part.approval),
        )


def _is_for_others(approval: str, part: Filter, mask: Mask) -> bool:
    """A number of filters like this one, and of masks unlike this one; what else is wrong with it is told apart."""
    return has_approval_shape(approval) and covers_filter(approval, part) and not covers_mask(approval, mask)


def _of_one_maker(facts: Facts, subject: Subject) -> CheckResult:
    """A filter of another maker is said to stand on the approval label of the mask."""
    place, mask, parts = _parts(facts, subject)
    strange = [
        (at, {"filter": label_of(part), "its_maker": part.make, "maker": mask.make})
        for at, _, part in parts
        if part.make and mask.make and _plain(part.make) != _plain(mask.make)
    ]
    return _unless_on_label(subject, place, mask, strange, parts, "make")


def _of_one_number(facts: Facts, subject: Subject) -> CheckResult:
    """A filter that bears another number of the same schedule is said to stand on the approval label of the mask."""
    place, mask, parts = _parts(facts, subject)
    strange = [
        (at, {"filter": label_of(part), "its_number": part.approval, "number": mask.approval})
        for at, _, part in parts
        if part.approval and mask.approval and _is_other_number(part.approval, mask.approval)
    ]
    return _unless_on_label(subject, place, mask, strange, parts, "approval")


def _is_other_number(one: str, other: str) -> bool:
    shaped = has_approval_shape(one) and has_approval_shape(other)
    return shaped and schedule_of(one) == schedule_of(other) and one != other


def _unless_on_label(
    subject: Subject,
    place: str,
    mask: Mask,
    strange: list[tuple[str, dict[str, str]]],
    parts: list[tuple[str, str, Filter]],
    field: str,
) -> CheckResult:
    paths = (f"{place}.{field}", *(f"{path}.{field}" for _, path, _ in parts))
    if not parts:
        return CheckResult(paths, nothing=_NO_PARTS)
    if strange and mask.filters_on_label:
        return CheckResult((*paths, f"{place}.filters_on_label"), shown=(f"{place}.filters_on_label",))
    return CheckResult(paths, tuple(strange), shown=(f"{subject.path}.filters",))


def _stops_what_is_there(facts: Facts, subject: Subject) -> CheckResult:
    """A mask worn by choice stops the agents of its task; nobody has to, and whoever wears one believes in it."""
    task, mask = (name.partition(".")[2] for name in subject.ids)
    read = (subject.path, f"{facts.masks[mask][0]}.filters")
    passes = facts.selection.masks[task, mask].passes
    if not facts.selection.air[task].agents:
        return CheckResult(read, nothing=said("No agent is described in the task."))
    faults = ((subject.path, {"agents": said_join(passes, ", ")}),) if passes else ()
    return CheckResult(read, faults, (subject.path,))


def _blows_enough(facts: Facts, subject: Subject) -> CheckResult:
    """The blower moves as much air as masks of its kind have to have for their approval."""
    path, mask = facts.masks[subject.ids[0].partition(".")[2]]
    read = (f"{path}.blower_flow", f"{path}.facepiece")
    if mask.blower_flow is None or mask.facepiece is None:
        return CheckResult(read, nothing=said("The flow of its blower, or its facepiece, is not said."))
    kind = "tight-fitting" if seals(mask.facepiece) else "loose-fitting"
    least = facts.law_of(*facts.tasks_of(subject)).amount(f"blower-{kind}", "L/min")
    if in_unit(mask.blower_flow, "L/min") * _HAIR >= least:
        return CheckResult(read)
    words = {"flow": mask.blower_flow.printed, "least": said("%(least)s L/min", least=number_text(least)), "kind": kind}
    return CheckResult(read, ((read[0], words),))


def _hood_shown(facts: Facts, subject: Subject) -> CheckResult:
    """The maker's report of a hood or helmet is told in parts, and shows what the higher factor takes."""
    path, mask = facts.masks[subject.ids[0].partition(".")[2]]
    mode, face = mask.mode, mask.facepiece
    cells = assigned_factors_for(mode.value, face.value) if mode and face else ()
    wanted = [cell.apf for cell in cells if cell.needs_maker_evidence and cell.apf]
    if not wanted:
        return CheckResult(
            (f"{path}.hood_report",), nothing=said("No higher factor is assigned to it on such a report.")
        )
    faults = tuple((f"{path}.{field}", {"trouble": told}) for field, told in hood_troubles(mask, min(wanted)))
    return CheckResult((f"{path}.hood_report", f"{path}.hood_proven"), faults[:1])


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


ASSEMBLY_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "filters-of-such-masks": _of_such_masks,
    "filters-of-one-maker": _of_one_maker,
    "filters-of-one-number": _of_one_number,
    "chosen-mask-stops-agents": _stops_what_is_there,
    "blower-strong-enough": _blows_enough,
    "hood-report-shows-it": _hood_shown,
}
