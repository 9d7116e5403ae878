"""Evidence taken out, rules loosened, cautions silenced: what an edit takes away, whatever the rules then say.

A hazard, a sample, a control or a policy that is gone is never better protection: less is known or asked, and what
still names the thing is pointed to. What went because its whole task went is no loss of evidence.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from progdoc.comparison.bounds import bounds_loosened
from progdoc.comparison.changes import Change, Danger, Direction, Kind, Topic, towards
from progdoc.comparison.description_changes import Renames, said
from progdoc.comparison.standing import AIR_CITED, AirStands, RatioStands, Table
from progdoc.core.numbers import counted
from progdoc.model.description.house_rules import RuleKind
from progdoc.model.description.policies import Policy
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity, in_unit, is_comparable
from progdoc.rules.judged.figure_results import Law, Stricter

__all__ = ["weakened"]

_CONTROLS_CITED = "29 CFR 1910.134(a)(1)"
_SCHEDULES = "procedures.filter_changes.schedules"
_SCHEDULE_CITED = "29 CFR 1910.134(d)(3)(iii)(B)(2)"
_EVALUATED_CITED = "29 CFR 1910.134(l)"
_EMERGENCIES_CITED = "29 CFR 1910.134(c)(1)(iv)"
_NOT_LAW = "house rule"
_STRENGTH = {  # of what shows a level: an assumption, a judgment, figures of somebody else, own samples
    "unknown": 0,
    "lead-task": 1,
    "judgment": 2,
    "smoke": 2,
    "silica-table-1": 3,
    "estimate": 3,
    "objective-data": 4,
    "samples": 5,
}
_REACH = ("sites", "tasks", "agents", "masks")


def weakened(
    old: Program,
    new: Program,
    edits: Iterable[Change],
    renames: Renames,
    law: Law,
    before: Table,
    scheduled: Container[str],
) -> Iterator[Change]:
    """Yield what the edits took away.

    Parameters
    ----------
    law
        The figures of the day, which say in which direction a policy asks for more.
    before
        How things stood, to tell what was taken out.
    scheduled
        The new change schedules, by id, that hold: of cartridges that need one, and as the law wants them.
    """
    edits = tuple(edits)
    by_place = {edit.was or edit.place: edit for edit in edits} | {edit.place: edit for edit in edits}
    for change in (
        *_hazards(old, new, renames, before),
        *_controls(edits),
        *_policies(old, new, renames, law),
        *_house_rules(old, new),
        *_schedules(old, new, renames, scheduled),
        *_listed(old, edits),
        *_accepted(edits),
        *bounds_loosened(edits),
    ):
        cause = by_place.get(change.was or change.place) or by_place.get(change.place)
        yield replace(change, topic=Topic.EVIDENCE, causes=change.causes or ((cause,) if cause else ()))


def _lost(kind: Kind, place: str, what: str, old: str, new: str, citation: str, note: str = "") -> Change:
    return Change(kind, place, what, old, new, Direction.LESS, danger=Danger.LOST, citation=citation, note=note)


# ---- hazards and what shows their level ---------------------------------------------------------------


def _hazards(old: Program, new: Program, renames: Renames, before: Table) -> Iterator[Change]:
    after = {hazard.id: hazard for hazard in new.hazards}
    tasks = {task.id for task in new.tasks}
    for hazard in old.hazards:
        now = after.get(_now("hazards", hazard.id, renames))
        place = f"hazards.{hazard.id}"
        if now is not None:
            about = f"tasks.{now.task}"
            yield from (replace(c, about=about) for c in _exposure(f"hazards.{now.id}", place, hazard, now))
            continue
        task = _now("tasks", hazard.task, renames)
        if task not in tasks:
            continue
        ratio, air = before.get(("ratio", place)), before.get(("air", f"tasks.{task}"))
        told = [hazard.agent]
        told += [f"was {ratio.words}"] if isinstance(ratio, RatioStands) else []
        told += [f"its air asked for a factor of {air.needed_words}"] if isinstance(air, AirStands) else []
        note = _still_named(hazard.agent, task, new)
        change = _lost(Kind.REMOVED, place, "hazard", "; ".join(told), "", AIR_CITED, note)
        yield replace(change, about=f"tasks.{task}")


def _exposure(place: str, was: str, old: Any, new: Any) -> Iterator[Change]:
    one, other = old.exposure, new.exposure
    if one is None or one == other:
        return
    strength = [_STRENGTH[side.kind] if side is not None else -1 for side in (one, other)]
    spot = f"{place}.exposure"
    if strength[1] < strength[0]:
        words = (one.kind.replace("-", " "), other.kind.replace("-", " ") if other is not None else "nothing")
        yield replace(
            _lost(Kind.REWORDED, spot, "weaker evidence of the level", *words, AIR_CITED),
            was=f"{was}.exposure" if was != place else "",
        )
    elif one.kind == "samples" and other is not None and other.kind == "samples":
        kept = [result for result in one.results if result in other.results]
        if len(other.results) < len(one.results) and len(kept) == len(other.results):
            taken = [said(result.concentration) for result in one.results if result not in other.results]
            number = counted(len(one.results), "sample"), counted(len(other.results), "sample")
            yield _lost(
                Kind.REMOVED, f"{spot}.results", f"fewer samples, without {', '.join(taken)}", *number, AIR_CITED
            )


def _still_named(agent: str, task: str, new: Program) -> str:
    """Return where the new description still names an agent, in words; nothing where it does not."""
    named = [
        *((f"the filter “{part.name or part.id}”", part.agents) for part in new.filters),
        *((f"the change schedule “{plan.id}”", plan) for plan in new.procedures.filter_changes.schedules),
        *((f"the task “{one.name}”", one) for one in new.tasks if one.id == task),
        *((f"the own section “{section.title}”", section) for section in new.own_sections),
        ("the emergencies", new.procedures.emergencies),
    ]
    found = [words for words, said_there in named if agent.lower() in _all_words(said_there)]
    return f"Still named by {', '.join(found)}." if found else ""


def _all_words(value: Any) -> str:
    """Return all that is said in a part of the description, in small letters."""
    if isinstance(value, tuple):
        return " ".join(map(_all_words, value))
    fields = getattr(type(value), "model_fields", None)
    if fields is None:
        return said(value).lower()
    return " ".join(_all_words(getattr(value, name)) for name in fields if name in value.model_fields_set)


def _now(kind: str, identity: str, renames: Renames) -> str:
    return renames.get(f"{kind}.{identity}", f"{kind}.{identity}").removeprefix(f"{kind}.")


# ---- controls, and other things that are gone ---------------------------------------------------------


def _controls(edits: tuple[Change, ...]) -> Iterator[Change]:
    for edit in edits:
        if edit.what != "controls":
            continue
        if edit.kind is Kind.REMOVED:
            yield replace(_lost(Kind.REMOVED, edit.place, "control", edit.old, "", _CONTROLS_CITED), causes=(edit,))
        elif edit.kind is Kind.REWORDED and _words_of(edit.new) < _words_of(edit.old):
            change = _lost(Kind.REWORDED, edit.place, "control cut down", edit.old, edit.new, _CONTROLS_CITED)
            yield replace(change, causes=(edit,))


def _words_of(text: str) -> Counter[str]:
    return Counter(re.findall(r"\w+", text.lower()))


def _listed(old: Program, edits: tuple[Change, ...]) -> Iterator[Change]:
    done = {f"procedures.evaluation.findings.{f.id}" for f in old.procedures.evaluation.findings if f.done}
    for edit in edits:
        if edit.kind is not Kind.REMOVED:
            continue
        if edit.field == "procedures.emergencies.foreseeable[]":
            yield _lost(Kind.REMOVED, edit.place, "emergency", edit.old, "", _EMERGENCIES_CITED)
        elif edit.field == "procedures.evaluation.findings[]" and edit.place not in done:
            yield _lost(Kind.REMOVED, edit.place, "open finding", edit.old, "", _EVALUATED_CITED)
        elif edit.field == "own_sections[]":
            yield _lost(Kind.REMOVED, edit.place, "own section", edit.old, "", _NOT_LAW)


_ACCEPTED = {"until": "caution accepted until", "ground": "ground of what is accepted"}


def _accepted(edits: tuple[Change, ...]) -> Iterator[Change]:
    for edit in edits:
        if not edit.place.startswith("accepted.") or edit.kind in (Kind.REMOVED, Kind.RENAMED):
            continue
        if edit.kind is Kind.ADDED:
            change = _lost(Kind.ADDED, edit.place, "caution accepted", "", edit.new, _NOT_LAW)
            yield replace(change, danger=Danger.DOUBT)
        elif edit.what in _ACCEPTED:
            change = _lost(Kind.FIGURE_CHANGED, edit.place, _ACCEPTED[edit.what], edit.old, edit.new, _NOT_LAW)
            yield replace(change, danger=Danger.DOUBT, causes=(edit,))


# ---- what the firm binds itself by --------------------------------------------------------------------


def _policies(old: Program, new: Program, renames: Renames, law: Law) -> Iterator[Change]:
    after = {policy.id: policy for policy in new.policies}
    stricter = {value.policy: value.stricter for value in law.values.values() if value.policy}
    for policy in old.policies:
        now = after.pop(_now("policies", policy.id, renames), None)
        place = f"policies.{policy.id}"
        if now is None:
            told = f"{policy.by}, {policy.source}"
            yield _lost(Kind.REMOVED, place, "policy", told, "", told)
            continue
        for name in type(policy).model_fields:
            yield from _loosened(f"policies.{now.id}", name, policy, now, stricter)
    for policy in after.values():
        told = f"{policy.by}, {policy.source}"
        yield Change(Kind.ADDED, f"policies.{policy.id}", "policy", "", told, Direction.MORE, citation=told)


def _house_rules(old: Program, new: Program) -> Iterator[Change]:
    """Yield what the firm forbade or took for granted, and does no more."""
    after = {rule.id: rule.rule for rule in new.house_rules}
    for rule in old.house_rules:
        now = after.get(rule.id)
        if rule.rule is not RuleKind.PERMITTED and now is not rule.rule:
            kind = Kind.REWORDED if now else Kind.REMOVED
            told = f"{rule.rule.value}: {rule.says}"
            yield _lost(kind, f"house_rules.{rule.id}", "house rule", told, now.value if now else "", _NOT_LAW)


def _loosened(place: str, name: str, old: Policy, new: Policy, stricter: Mapping[str, Stricter]) -> Iterator[Change]:
    one, other = getattr(old, name), getattr(new, name)
    if one == other or name in ("id", "by", "source", "date"):
        return
    what, cited = f"policy loosened: {name.replace('_', ' ')}", f"{new.by}, {new.source}"
    if name in _REACH:
        is_wider = (one and not other) or (one and set(one) < set(other))
        if not is_wider:
            yield _lost(Kind.REWORDED, f"{place}.{name}", what, said(one) or "all", said(other) or "all", cited)
        return
    if _direction(one, other, stricter.get(name)) is Direction.LESS:
        yield _lost(Kind.FIGURE_CHANGED, f"{place}.{name}", what, said(one), said(other) or "not said", cited)


def _direction(one: Any, other: Any, stricter: Stricter | None) -> Direction:
    """Return which way a policy moved in one figure; of what has no order, less wherever something went."""
    if one is None or one == ():
        return Direction.MORE
    if other is None or other == ():
        return Direction.LESS
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        if not is_comparable(one, other):
            return Direction.LESS
        one, other = in_unit(one, other.unit), other.value
    if isinstance(one, bool):
        return Direction.LESS if one is (stricter is not Stricter.NO) else Direction.MORE
    if isinstance(one, int | float):
        is_lower = stricter is Stricter.LOWER or stricter is None
        return towards(one, other, Direction.LESS if is_lower else Direction.MORE)
    if isinstance(one, tuple):
        return Direction.MORE if set(one) <= set(other) else Direction.LESS
    return Direction.LESS


def _schedules(old: Program, new: Program, renames: Renames, scheduled: Container[str]) -> Iterator[Change]:
    before = {
        renames.get(f"{_SCHEDULES}.{s.id}", f"{_SCHEDULES}.{s.id}"): s for s in old.procedures.filter_changes.schedules
    }
    after = {f"{_SCHEDULES}.{s.id}": s for s in new.procedures.filter_changes.schedules}
    for key, one in before.items():
        other = after.get(key)
        if other is None:
            words = "; ".join(part for part in (said(one.after), said(one.change)) if part)
            yield _lost(Kind.REMOVED, f"{_SCHEDULES}.{one.id}", "change schedule", words, "", _SCHEDULE_CITED)
            continue
        direction = _longer(one.after, other.after)
        if direction is Direction.MORE and other.id not in scheduled:
            direction = Direction.NEUTRAL  # the hours of what is no schedule protect nobody
        if direction is not Direction.NEUTRAL:
            danger = Danger.LOST if direction is Direction.LESS else Danger.NONE
            was = f"{_SCHEDULES}.{one.id}.after" if one.id != other.id else ""
            before_words, words = (said(plan.after) or "no time said" for plan in (one, other))
            yield Change(
                Kind.FIGURE_CHANGED, f"{key}.after", "longest use of a cartridge", before_words, words, direction,
                was=was, danger=danger, citation=_SCHEDULE_CITED,
            )  # fmt: skip
    for key, other in after.items():
        if key not in before:
            words = "; ".join(part for part in (said(other.after), said(other.change)) if part)
            direction = Direction.MORE if other.id in scheduled else Direction.NEUTRAL
            yield Change(Kind.ADDED, key, "change schedule", "", words, direction, citation=_SCHEDULE_CITED)


def _longer(one: Quantity | None, other: Quantity | None) -> Direction:
    """Return which way a longer time, or no end to it, moves protection."""
    if one is None or other is None:
        return towards(one is None, other is None, Direction.LESS)
    if not is_comparable(one, other):
        return Direction.LESS
    return towards(round(in_unit(one, other.unit), 9), round(other.value, 9), Direction.LESS)
