"""What the changes mean for the people who wear masks: findings, the air of each task, verdicts, who does what.

Both descriptions are judged by the same rules on the same day, so that nothing here comes from the rules or
the calendar; what does is found by `findings.changed_by_rules`, from the findings a revision was issued with.
One direction is never weighed against another: anything that lowers protection is marked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf, isclose
from typing import Any

from progdoc.comparison.changes import Change, Direction, Kind, towards, worst_first
from progdoc.comparison.description_changes import Renames, renames_of, said
from progdoc.comparison.findings import changed_findings, changed_status
from progdoc.core.numbers import number_text
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity, in_unit, is_comparable
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Use
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.judged.mask_results import MaskVerdict
from progdoc.rules.judged.result import Judged

__all__ = ["changed_meaning"]

_LINE_OF_USE = (None, Use.NONE, Use.VOLUNTARY, Use.REQUIRED)
_INTERVALS = (  # a longer one is less protection
    ("procedures.fit_testing.interval", "time between fit tests"),
    ("procedures.training.interval", "time between trainings"),
    ("procedures.evaluation.interval", "time between program evaluations"),
    ("procedures.inspection.emergency_interval", "time between inspections of emergency masks"),
    ("procedures.inspection.scba_interval", "time between inspections of SCBA"),
)


def changed_meaning(old: Judged, new: Judged) -> tuple[Change, ...]:
    """Return what the changes of a description mean, what lowers protection first."""
    before, after = old.description, new.description
    renames = renames_of(before, after)
    return worst_first(
        (
            *changed_status(old.findings, new.findings),
            *changed_findings(old.findings, new.findings, renames),
            *_tasks(old, new, renames),
            *_schedules(before, after, renames),
            *_policies(before, after, renames),
            *_intervals(before, after),
            *_people(before, after, renames),
        )
    )


# ---- tasks --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Spot:
    """A thing on both sides."""

    place: str
    was: str

    def change(self, kind: Kind, part: str, what: str, words: tuple[str, str], direction: Direction) -> Change:
        place, was = (f"{path}.{part}" if part else path for path in (self.place, self.was))
        return Change(kind, place, what, *words, direction, was=was if was != place else "")


def _tasks(old: Judged, new: Judged, renames: Renames) -> Iterator[Change]:
    before, after = old.selection, new.selection
    was_of = {renames.get(f"tasks.{task}", f"tasks.{task}"): task for task in before.air}
    masks_of = {id(s): _masks_by_task(s.masks) for s in (before, after)}
    for task, air in after.air.items():
        was = was_of.get(f"tasks.{task}")
        if was is None:
            continue
        spot = _Spot(f"tasks.{task}", f"tasks.{was}")
        yield from _air(spot, before.air[was], air, renames)
        yield from _masks(
            spot,
            {renames.get(f"masks.{m}", f"masks.{m}"): v for m, v in masks_of[id(before)].get(was, {}).items()},
            {f"masks.{m}": v for m, v in masks_of[id(after)].get(task, {}).items()},
        )


def _masks_by_task(verdicts: Mapping[tuple[str, str], MaskVerdict]) -> dict[str, dict[str, MaskVerdict]]:
    found: dict[str, dict[str, MaskVerdict]] = {}
    for (task, mask), verdict in verdicts.items():
        found.setdefault(task, {})[mask] = verdict
    return found


def _air(spot: _Spot, old: TaskAir, new: TaskAir, renames: Renames) -> Iterator[Change]:
    """Yield how the air and what it calls for changed: behind the same mask, worse air is less protection."""
    if old.task.use is not new.task.use:
        words = said(old.task.use) or "not said", said(new.task.use) or "not said"
        direction = towards(_LINE_OF_USE.index(old.task.use), _LINE_OF_USE.index(new.task.use), Direction.MORE)
        yield spot.change(Kind.VERDICT_CHANGED, "use", "whether a mask must be worn", words, direction)
    if old.is_immediately_dangerous != new.is_immediately_dangerous:
        words = _danger_words(old), _danger_words(new)
        direction = towards(old.is_immediately_dangerous, new.is_immediately_dangerous, Direction.LESS)
        yield spot.change(Kind.VERDICT_CHANGED, "air", "the air counts as", words, direction)
    before, after = (old.needed.value, old.needed.strictly_above), (new.needed.value, new.needed.strictly_above)
    if before[1] != after[1] or not isclose(before[0], after[0], rel_tol=1e-9):
        words = _factor_words(*before), _factor_words(*after)
        direction = towards(before, after, Direction.LESS)
        yield spot.change(Kind.FIGURE_CHANGED, "needed", "protection factor needed", words, direction)
    known = {renames.get(f"hazards.{a.hazard.id}", f"hazards.{a.hazard.id}"): a for a in old.agents}
    for agent in new.agents:
        was = known.get(f"hazards.{agent.hazard.id}")
        if was is not None and not _close(was.hazard_ratio, agent.hazard_ratio):
            hazard = _Spot(f"hazards.{agent.hazard.id}", f"hazards.{was.hazard.id}")
            words = _ratio_words(was.hazard_ratio), _ratio_words(agent.hazard_ratio)
            direction = towards(_or_worst(was.hazard_ratio), _or_worst(agent.hazard_ratio), Direction.LESS)
            yield hazard.change(Kind.FIGURE_CHANGED, "", "hazard ratio", words, direction)


def _danger_words(air: TaskAir) -> str:
    return "immediately dangerous" if air.is_immediately_dangerous else "not immediately dangerous"


def _factor_words(value: float, is_strictly_above: bool) -> str:
    return f"{'over ' if is_strictly_above else ''}{number_text(value, 'up')}"


def _ratio_words(ratio: float | None) -> str:
    return "no figure" if ratio is None else f"{number_text(ratio, 'up')} times the limit"


def _or_worst(ratio: float | None) -> float:
    """Without a figure the air may be anything, and counts as the worst."""
    return inf if ratio is None else ratio


def _close(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return isclose(one, other, rel_tol=1e-9)


def _masks(spot: _Spot, old: Mapping[str, MaskVerdict], new: Mapping[str, MaskVerdict]) -> Iterator[Change]:
    """Yield the masks that came or went, and those whose verdict or factor is another."""
    for key in sorted(old.keys() | new.keys()):
        one, other = old.get(key), new.get(key)
        if one is not None and other is not None:
            words = _verdict(one), _verdict(other)
            inner = _Spot(f"{spot.place}.masks.{other.mask.id}", f"{spot.was}.masks.{one.mask.id}")
            if words[0] != words[1]:
                direction = towards(_worth(one), _worth(other), Direction.MORE)
                yield inner.change(Kind.VERDICT_CHANGED, "", "verdict on the mask", words, direction)
        elif one is not None:
            yield Change(Kind.REMOVED, f"{spot.was}.masks.{one.mask.id}", "mask of the task", _verdict(one), "")
        elif other is not None:
            yield Change(Kind.ADDED, f"{spot.place}.masks.{other.mask.id}", "mask of the task", "", _verdict(other))
    least = [min((_factor(verdict) for verdict in verdicts.values()), default=-1.0) for verdicts in (old, new)]
    if least[0] != least[1]:
        words = _least_words(least[0]), _least_words(least[1])
        direction = towards(least[0], least[1], Direction.MORE)
        yield spot.change(Kind.FIGURE_CHANGED, "least", "lowest protection factor worn", words, direction)


def _factor(verdict: MaskVerdict) -> float:
    return verdict.credit.apf or 0.0


def _worth(verdict: MaskVerdict) -> tuple[bool, float]:
    return verdict.is_adequate, _factor(verdict)


def _least_words(factor: float) -> str:
    return "no mask" if factor < 0 else number_text(factor, "down")


def _verdict(verdict: MaskVerdict) -> str:
    factor = "no factor" if verdict.credit.apf is None else f"factor {number_text(verdict.credit.apf, 'down')}"
    return f"{'protects' if verdict.is_adequate else 'does not protect'}, {factor}"


# ---- what the firm settles ----------------------------------------------------------------------------


def _schedules(old: Program, new: Program, renames: Renames) -> Iterator[Change]:
    path = "procedures.filter_changes.schedules"
    before = {renames.get(f"{path}.{s.id}", f"{path}.{s.id}"): s for s in old.procedures.filter_changes.schedules}
    after = {f"{path}.{s.id}": s for s in new.procedures.filter_changes.schedules}
    for key in sorted(before.keys() | after.keys()):
        one, other = before.get(key), after.get(key)
        if one is not None and other is not None:
            if not _is_same(one.after, other.after):
                words = said(one.after), said(other.after)
                direction = _longer(one.after, other.after)
                spot = _Spot(key, f"{path}.{one.id}")
                yield spot.change(Kind.FIGURE_CHANGED, "after", "longest use of a cartridge", words, direction)
        elif one is not None:
            gone = _change_words(one)
            yield Change(Kind.REMOVED, f"{path}.{one.id}", "change schedule", gone, "", Direction.LESS)
        elif other is not None:
            yield Change(Kind.ADDED, key, "change schedule", "", _change_words(other), Direction.MORE)


def _change_words(schedule: Any) -> str:
    return "; ".join(part for part in (said(schedule.after), said(schedule.change)) if part)


def _is_same(one: Quantity | None, other: Quantity | None) -> bool:
    if one is None or other is None:
        return one is other
    return is_comparable(one, other) and isclose(in_unit(one, other.unit), other.value, rel_tol=1e-9)


def _longer(one: Quantity | None, other: Quantity | None) -> Direction:
    """Return which way a longer time, or no end to it, moves protection."""
    if one is None or other is None:
        return towards(one is None, other is None, Direction.LESS)
    if not is_comparable(one, other):
        return Direction.NEUTRAL
    return towards(in_unit(one, other.unit), other.value, Direction.LESS)


def _policies(old: Program, new: Program, renames: Renames) -> Iterator[Change]:
    """A policy tightens, so that one that went is less protection; what changed inside one is for the reader."""
    before = {renames.get(f"policies.{p.id}", f"policies.{p.id}"): p for p in old.policies}
    after = {f"policies.{p.id}": p for p in new.policies}
    for key in sorted(before.keys() | after.keys()):
        one, other = before.get(key), after.get(key)
        if other is None and one is not None:
            yield Change(Kind.REMOVED, f"policies.{one.id}", "policy", f"{one.by}, {one.source}", "", Direction.LESS)
        elif one is None and other is not None:
            yield Change(Kind.ADDED, key, "policy", "", f"{other.by}, {other.source}", Direction.MORE)


def _intervals(old: Program, new: Program) -> Iterator[Change]:
    for path, what in _INTERVALS:
        one, other = _at(old, path), _at(new, path)
        if not _is_same(one, other):
            yield Change(Kind.FIGURE_CHANGED, path, what, said(one), said(other), _longer(one, other))


def _at(program: Program, path: str) -> Any:
    value: Any = program
    for name in path.split("."):
        value = getattr(value, name)
    return value


def _people(old: Program, new: Program, renames: Renames) -> Iterator[Change]:
    """Yield who does a task now, and who did it before."""
    before = {
        (renames.get(f"people.{p}", f"people.{p}"), renames.get(f"tasks.{t.id}", f"tasks.{t.id}")): (p, t)
        for t in old.tasks
        for p in t.people
    }
    after = {(f"people.{p}", f"tasks.{t.id}"): (p, t) for t in new.tasks for p in t.people}
    for key in sorted(before.keys() - after.keys()):
        person, task = before[key]
        yield Change(
            Kind.REMOVED, f"people.{person}.tasks.{task.id}", "task of a wearer", label_of(task), "", is_restricted=True
        )
    for key in sorted(after.keys() - before.keys()):
        person, task = after[key]
        yield Change(
            Kind.ADDED, f"people.{person}.tasks.{task.id}", "task of a wearer", "", label_of(task), is_restricted=True
        )
