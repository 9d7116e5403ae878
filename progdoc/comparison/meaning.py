"""What the edits and the passage of time mean for the people who wear masks, put together from its parts.

What only looks better because evidence was taken out or a rule was loosened is told as that, never as better.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from progdoc.comparison.causes import Edits
from progdoc.comparison.changes import (
    Change,
    CountedPeople,
    Danger,
    Direction,
    Kind,
    Nature,
    Topic,
    towards,
    worst_first,
)
from progdoc.comparison.counted_people import counted_people
from progdoc.comparison.description_changes import Renames, changed_descriptions, renames_of
from progdoc.comparison.effects import effects
from progdoc.comparison.natures import with_law
from progdoc.comparison.places import heads
from progdoc.comparison.related import related
from progdoc.comparison.standing import Table, people_standing, standing
from progdoc.comparison.weakened import weakened
from progdoc.core.diagnostics import Scope, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.report import Status
from progdoc.model.description.program import Program
from progdoc.rules.judged.result import Judged

__all__ = ["Meaning", "changed_meaning"]

_BETTER = (Direction.MORE, Direction.ASKS_LESS, Direction.KNOWN)
_HOW = {True: "it rests on taking out a", False: "it rests on a"}
_COMPLETE_CITED = "29 CFR 1910.134(c)(1)"


@dataclass(frozen=True, slots=True)
class Meaning:
    """The edits, what they and time did, and what time would have done."""

    edits: tuple[Change, ...]
    moved: tuple[Change, ...]
    kept_up: tuple[Change, ...]
    people: tuple[CountedPeople, ...] = ()


def changed_meaning(
    one: Program,
    other: Program,
    old: Judged,
    new: Judged,
    on_its_day: Judged | None = None,
    by_its_rules: Judged | None = None,
) -> Meaning:
    """Return what the edits of a description mean.

    Parameters
    ----------
    one, other
        Both descriptions as they were written.
    old, new
        Both as they are judged on the day of the comparison.
    on_its_day
        The old one as it was judged on its own day, where time has passed since.
    by_its_rules
        The old one as it was judged on its own day by its own rules, where today's are others.
    """
    renames = renames_of(one, other)
    edits = worst_first(with_law(changed_descriptions(one, other), new.known.values()))
    then = on_its_day or old
    steps = (by_its_rules or then, then, old, new)
    each = {id(judged): (judged, {} if judged is new else renames) for judged in steps}
    known = {name: standing(judged, called) for name, (judged, called) in each.items()}
    touched = heads(spot for edit in edits for spot in (edit.place, edit.was)) | _moved_things(*known.values())
    whole = {name: {**known[name], **people_standing(*side, touched)} for name, side in each.items()}
    first, before, aged, after = (whole[id(judged)] for judged in steps)
    gone, come = _whole_things(one, other, renames)
    found = effects(first, before, aged, after, Edits(edits, related(one, other)), gone, come)
    lost = tuple(weakened(one, other, edits, renames, new.figures.law, aged, _scheduled(new)))
    moved = (*_honest(found.moved, lost), *lost, *_status(steps[0], old, new, found.moved))
    return Meaning(edits, worst_first(moved), found.kept_up, counted_people(old, new, renames))


def _scheduled(judged: Judged) -> frozenset[str]:
    """Return the ids of the change schedules that hold: of cartridges against gas, and nothing required is open."""
    schedules = judged.description.procedures.filter_changes.schedules
    open_ones = {
        v.subject.ids
        for v in judged.verdicts.open
        if v.requirement.per == "schedule" and v.requirement.severity is Severity.REQUIRED and v.status is Status.GAP
    }
    of_gas = (plan for plan in schedules if plan.filter in judged.gas_cartridges)
    return frozenset(plan.id for plan in of_gas if (f"schedules.{plan.id}",) not in open_ones)


def _moved_things(*tables: Table) -> frozenset[str]:
    """Return the people and tasks about whom anything stands otherwise in one of the tables."""
    keys = {key for table in tables for key in table}
    moved = (key for key in keys if len({table.get(key) for table in tables}) > 1)
    return frozenset(part for key in moved for part in key[1:] if part.startswith(("people.", "tasks.")))


def _whole_things(one: Program, other: Program, renames: Renames) -> tuple[frozenset[str], frozenset[str]]:
    """Return what only the old or only the new side has; a hazard that goes or comes alone is no whole thing."""
    sides = [
        {f"{kind}.{thing.id}" for kind in ("tasks", "masks", "filters", "people") for thing in getattr(program, kind)}
        for program in (one, other)
    ]
    before, after = {renames.get(place, place) for place in sides[0]}, sides[1]
    return frozenset(before - after), frozenset(after - before)


def _honest(moved: Iterable[Change], lost: Iterable[Change]) -> Iterator[Change]:
    """Yield the effects; what looks better by something that was taken away is no better."""
    taken = {id(cause): change for change in lost if change.direction is Direction.LESS for cause in change.causes}
    for change in moved:
        behind = [taken[id(cause)] for cause in change.causes if id(cause) in taken]
        if behind and change.direction in _BETTER:
            whys = "; ".join(dict.fromkeys(f"{_HOW[one.kind is Kind.REMOVED]} {one.what}" for one in behind))
            yield replace(change, direction=Direction.NOT_ASKED, note=f"Not better: {whys}.")
        elif change.direction in _BETTER and change.causes and all(map(_is_record_taken_out, change.causes)):
            yield replace(change, direction=Direction.NOT_ASKED, note="Not better: a record of it was taken out.")
        else:
            yield change


def _is_record_taken_out(edit: Change) -> bool:
    """Whether an edit takes out an entry of a list of records, a test, an examination, a sample, or another fact."""
    return edit.nature is Nature.LOST or (edit.kind is Kind.REMOVED and ".[" in edit.place)


def _status(first: Judged, old: Judged, new: Judged, moved: Iterable[Change]) -> Iterator[Change]:
    """Yield whether the written program became complete, or ceased to be, by the edits that moved its duties."""
    first_count, old_count, new_count = (
        sum(d.severity is Severity.REQUIRED and d.scope is Scope.PROGRAM for d in side.findings)
        for side in (first, old, new)
    )
    counts = (first_count, new_count)
    if bool(first_count) != bool(new_count) != bool(old_count):
        words = [f"a draft, {n} required {'gap' if n == 1 else 'gaps'}" if n else "complete" for n in counts]
        direction = towards(counts[0], counts[1], Direction.LESS)
        danger = Danger.LOST if counts[1] else Danger.NONE
        duties = (c for c in moved if c.topic is Topic.DUTY and not c.is_restricted and c.direction is direction)
        causes = tuple(dict.fromkeys(cause for change in duties for cause in change.causes))
        yield Change(
            Kind.VERDICT_CHANGED, "program", "the written program", words[0], words[1], direction,
            topic=Topic.DUTY, danger=danger, citation=_COMPLETE_CITED, causes=causes,
        )  # fmt: skip
