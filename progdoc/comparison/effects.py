"""What changed in how things stand, told apart by what brought it about: an edit, other rules, or nothing but time.

Four tables are set side by side: the old description on its own day by its own rules, on that day by today's rules, on
the day of the comparison, and the new one on that day. What differs between the first two is the rules' doing, between
the next two time's, and between the last two the edits'. What rules or time undid and the edits mended was kept up.
The judging of each single change is in `moves`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from progdoc.comparison.causes import Edits
from progdoc.comparison.changes import Cause, Change, Danger, Direction, Kind, Topic, worst_first
from progdoc.comparison.moves import move
from progdoc.comparison.standing import AirStands, DutyStands, Key, MaskStands, Stands, Table
from progdoc.core.late_dataclass import dataclass

__all__ = ["Effects", "effects"]


@dataclass(frozen=True, slots=True)
class Effects:
    """What changed, and what time or other rules would have changed."""

    moved: tuple[Change, ...]
    kept_up: tuple[Change, ...]


def effects(
    first: Table, before: Table, aged: Table, after: Table, edits: Edits, gone: frozenset[str], come: frozenset[str]
) -> Effects:
    """Return what changed from `first` to `after`.

    Parameters
    ----------
    first, before, aged
        The old description on its own day by its own rules; by today's, one and the same where these are its own; and
        on the day of `after`, one and the same where no time passed.
    gone, come
        The things that only one side has: what is true of them goes with them, and is no change of its own.
    """
    moved: list[Change] = []
    kept_up: list[Change] = []
    asked: dict[tuple[str, bool], list[DutyStands]] = {}
    turned = {key: duty for key, duty in after.items() if isinstance(duty, DutyStands) and aged.get(key) != duty}
    for key in sorted(first.keys() | before.keys() | aged.keys() | after.keys()):
        a, b, c = before.get(key), aged.get(key), after.get(key)
        by_edit, by_time, by_rules = move(b, c), move(a, b), move(first.get(key), a)
        in_all = move(first.get(key), c) if by_time or by_rules else by_edit
        others = [(Cause.RULES, by_rules), (Cause.TIME, by_time)]
        if (by_time or by_rules) and not in_all:
            kept_up += (replace(change, cause=cause) for cause, changes in others for change in changes)
        elif by_edit and not (c is None and _goes_with(key, gone)):
            reasons = _reasons(key, b, c, turned, edits)
            moved += (replace(change, causes=_causes(change, (b, c), reasons, key, edits)) for change in in_all)
        elif (by_time or by_rules) and not by_edit:
            moved += (replace(change, cause=cause) for cause, changes in others for change in changes)
        elif (b is None) is not (c is None) and not _goes_with(key, gone | come):
            duty = b or c
            if isinstance(duty, DutyStands):
                asked.setdefault((_thing(key), b is None), []).append(duty)
    moved += _asked(asked, edits)
    return Effects(worst_first(moved), worst_first(kept_up))


def _causes(
    change: Change, stands: tuple[Stands | None, Stands | None], reasons: frozenset[str], key: Key, edits: Edits
) -> tuple[Change, ...]:
    """Return the edits behind a change: of those it may rest on the ones at its reasons, where these were edited."""
    found = edits.behind(_rests_on(change, *stands), key[1:])
    narrowed = edits.at(reasons)
    return tuple(edit for edit in found if edit in narrowed) or narrowed or found


def _reasons(
    key: Key, old: Stands | None, new: Stands | None, turned: Mapping[Key, DutyStands], edits: Edits
) -> frozenset[str]:
    """Return the places at fault: of a duty that is open; of a mask those of the duties that now speak against it."""
    if isinstance(new, DutyStands):
        return new.places.all(new.at_fault)
    if not isinstance(new, MaskStands) or not isinstance(old, MaskStands):
        return frozenset()
    against = set(new.why_not.split(", ")) - set(old.why_not.split(", "))
    things = edits.beside(key[1:])
    found = [duty for about, duty in turned.items() if duty.code in against and not things.isdisjoint(about[2:])]
    return frozenset(place for duty in found for place in duty.paths)


def _rests_on(change: Change, *stands: Stands | None) -> frozenset[str]:
    """Return the places behind a change: of the least that is worn in a task those of its masks alone."""
    told = [one for one in stands if one is not None]
    if change.place.endswith(".least"):
        return frozenset(place for one in told if isinstance(one, AirStands) for place in one.worn_paths)
    if change.topic is Topic.MASK and change.kind in (Kind.ADDED, Kind.REMOVED):
        return frozenset((change.place.partition(".masks.")[0] + ".masks",))
    return frozenset(place for one in told for place in one.paths)


def _thing(key: Key) -> str:
    return key[-1] if len(key) > 2 else "program"


def _goes_with(key: Key, things: frozenset[str]) -> bool:
    """Whether a key is about a thing that goes or comes as a whole; a mask that goes is still told of its tasks."""
    return any(part in things for part in (key[1:2] if key[0] == "mask" else key[1:]))


def _asked(asked: Mapping[tuple[str, bool], list[DutyStands]], edits: Edits) -> Iterator[Change]:
    """Yield, thing by thing, the duties that are kept and were not asked before, or are no longer asked."""
    for (thing, is_new), duties in sorted(asked.items()):
        codes = ", ".join(sorted({duty.code for duty in duties}))
        places = frozenset(place for duty in duties for place in duty.paths)
        yield Change(
            Kind.VERDICT_CHANGED,
            thing,
            "duties of the law that are asked now, and met" if is_new else "duties of the law that are no longer asked",
            "" if is_new else codes,
            codes if is_new else "",
            Direction.NEUTRAL if is_new else Direction.NOT_ASKED,
            is_restricted=any(duty.is_restricted for duty in duties),
            topic=Topic.DUTY,
            danger=Danger.NONE,
            citation=duties[0].citation if len({duty.citation for duty in duties}) == 1 else "",
            causes=edits.behind(places, () if thing == "program" else (thing,)),
        )
