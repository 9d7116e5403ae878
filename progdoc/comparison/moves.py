"""What one step from old to new means for protection, for each kind of thing that stands somewhere.

Nothing is better because evidence is gone: a duty that no longer applies is no longer asked, a figure that somebody
found is now known, and air that asks for less is told as that. What a mask does is judged against what the air asks.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf, isclose

from progdoc.comparison.changes import Change, Danger, Direction, Kind, Topic, towards
from progdoc.comparison.standing import (
    AIR_CITED,
    AirStands,
    DueStands,
    DutyStands,
    FigureStands,
    MaskStands,
    PersonStands,
    RatioStands,
    Stands,
)
from progdoc.core.diagnostics import Scope, Severity
from progdoc.core.numbers import long_date
from progdoc.core.report import Status
from progdoc.document.blocks.answers import told_plainly
from progdoc.model.description.quantities import Quantity, in_unit, is_comparable

__all__ = ["move"]

_BREATHED_CODES = ("SEL-", "ESC-")


def move(old: Stands | None, new: Stands | None) -> tuple[Change, ...]:
    """Return what changed from one to the other; nothing where nothing did that anybody has to know.

    A duty that is met and was not asked, or the other way round, is left to whoever counts them.
    """
    match old, new:
        case _ if old == new:
            return ()
        case (DutyStands() | None, DutyStands() | None):
            return _duty(old, new)
        case (MaskStands() | None, MaskStands() | None):
            return _mask(old, new)
        case (PersonStands() | None, PersonStands() | None):
            return _person(old, new)
        case (AirStands(), AirStands()):
            return tuple(filter(None, (_use(old, new), _danger(old, new), _needed(old, new), _least(old, new))))
        case (RatioStands(), RatioStands()):
            return _ratio(old, new)
        case (DueStands(), DueStands()):
            return _due(old, new)
        case (FigureStands(), FigureStands()):
            return _figure(old, new)
        case _:
            return ()


def _was(old: str, new: str) -> str:
    return old if old != new else ""


# ---- duties -------------------------------------------------------------------------------------------

_STATUS_WORDS = {Status.MET: "met", Status.GAP: "open", Status.UNDETERMINED: "not known"}


def _duty(old: DutyStands | None, new: DutyStands | None) -> tuple[Change, ...]:
    one = new or old
    if one is None:
        return ()
    before, after = bool(old and old.is_open), bool(new and new.is_open)
    if not before and not after:
        return ()
    if old and new and before and after and _weight(old) == _weight(new):
        return ()
    kind = Kind.FINDING_CHANGED if before and after else Kind.FINDING_APPEARED if after else Kind.FINDING_VANISHED
    lowered, lowers = bool(old and old.lowers), bool(new and new.lowers)
    direction = towards(lowered, lowers, Direction.LESS)
    if new is None and lowered:
        direction = Direction.NOT_ASKED
    elif old and new and old.status is Status.UNDETERMINED and new.status is Status.MET:
        direction = Direction.KNOWN
    return (
        Change(
            kind,
            one.place,
            "duty of the law" if one.severity is Severity.REQUIRED else "caution" if one.lowers else "advice",
            _duty_words(old),
            _duty_words(new),
            direction,
            is_restricted=one.is_restricted,
            was=_was(old.place, new.place) if old and new else "",
            topic=Topic.DUTY,
            danger=_duty_danger(new) if direction is Direction.LESS and new else Danger.NONE,
            citation=one.citation,
        ),
    )


def _weight(duty: DutyStands) -> tuple[object, ...]:
    return duty.lowers, duty.severity, duty.is_accepted


def _duty_words(duty: DutyStands | None) -> str:
    if duty is None:
        return "not asked"
    if duty.status is Status.MET:
        return "met"
    accepted = "accepted for a time: " if duty.is_accepted else ""
    return f"{accepted}{_STATUS_WORDS[duty.status]}: {told_plainly(duty.told)}"


def _duty_danger(duty: DutyStands) -> Danger:
    if duty.severity is not Severity.REQUIRED:
        return Danger.DOUBT
    if duty.code.startswith(_BREATHED_CODES):
        return Danger.BREATHED
    return Danger.BARRED if duty.scope is Scope.RECORD else Danger.LOST


# ---- air ----------------------------------------------------------------------------------------------


def _use(old: AirStands, new: AirStands) -> Change | None:
    if old.use == new.use:
        return None
    direction = towards(old.use_rank, new.use_rank, Direction.MORE)
    danger = Danger.BREATHED if direction is Direction.LESS else Danger.NONE
    return _air_change(old, new, "use", "whether a mask must be worn", (old.use, new.use), direction, danger)


def _danger(old: AirStands, new: AirStands) -> Change | None:
    if old.is_dangerous == new.is_dangerous:
        return None
    yes, no = "immediately dangerous", "not immediately dangerous"
    words = (yes if old.is_dangerous else no, yes if new.is_dangerous else no)
    if new.is_dangerous:
        return _air_change(old, new, "air", "the air counts as", words, Direction.LESS, Danger.BREATHED)
    direction = Direction.ASKS_LESS if old.is_danger_shown else Direction.KNOWN
    return _air_change(old, new, "air", "the air counts as", words, direction, Danger.NONE)


def _needed(old: AirStands, new: AirStands) -> Change | None:
    if old.is_strictly_above == new.is_strictly_above and isclose(old.needed, new.needed, rel_tol=1e-9):
        return None
    words, danger = (old.needed_words, new.needed_words), Danger.NONE
    if new.is_known and not old.is_known:
        direction = Direction.KNOWN  # whether the masks do is the verdict on them
    elif (new.needed, new.is_strictly_above) < (old.needed, old.is_strictly_above):
        direction = Direction.ASKS_LESS
    elif new.margin < old.margin and not isclose(new.margin, old.margin, rel_tol=1e-9) and new.needed > 1:
        direction, danger = Direction.LESS, Danger.BREATHED if new.margin < 1 else Danger.LOST
    else:
        direction = Direction.ASKS_MORE
    change = _air_change(old, new, "needed", "protection factor needed", words, direction, danger)
    return replace(change, is_below=max(old.needed, new.needed) <= 1)


def _least(old: AirStands, new: AirStands) -> Change | None:
    if old.least == new.least:
        return None
    direction = towards(old.least or 0.0, new.least or 0.0, Direction.MORE)
    danger = Danger.NONE
    if direction is Direction.LESS:
        danger = Danger.BREATHED if new.margin < 1 and new.needed > 1 else Danger.LOST
    words = (old.least_words, new.least_words)
    return _air_change(old, new, "least", "lowest protection factor worn", words, direction, danger)


def _air_change(
    old: AirStands, new: AirStands, part: str, what: str, words: tuple[str, str], direction: Direction, danger: Danger
) -> Change:
    kind = Kind.FIGURE_CHANGED if part in ("needed", "least") else Kind.VERDICT_CHANGED
    was = f"{old.place}.{part}" if old.place != new.place else ""
    place = f"{new.place}.{part}"
    return Change(
        kind, place, what, *words, direction, was=was, topic=Topic.AIR, danger=danger, citation=AIR_CITED
    )  # fmt: skip


def _ratio(old: RatioStands, new: RatioStands) -> tuple[Change, ...]:
    if old.ratio is None or new.ratio is None:
        if old.ratio is new.ratio:
            return ()
    elif isclose(old.ratio, new.ratio, rel_tol=1e-9):
        return ()
    danger = Danger.NONE
    if old.ratio is None:
        direction = Direction.KNOWN
    elif new.ratio is None:
        direction, danger = Direction.LESS, Danger.LOST
    elif new.ratio < old.ratio:
        direction = Direction.ASKS_LESS
    else:
        is_passed = new.ratio > 1
        direction, danger = (Direction.LESS, Danger.LOST) if is_passed else (Direction.ASKS_MORE, Danger.NONE)
    return (
        Change(
            Kind.FIGURE_CHANGED, new.place, "hazard ratio", old.words, new.words, direction,
            was=_was(old.place, new.place), topic=Topic.AIR, danger=danger, citation=new.citation,
            about=new.task, is_below=max(old.ratio or 2, new.ratio or 2) <= 1,
        ),
    )  # fmt: skip


# ---- masks and people ---------------------------------------------------------------------------------


def _mask(old: MaskStands | None, new: MaskStands | None) -> tuple[Change, ...]:
    one = new or old
    if one is None or (old and new and old.words == new.words):
        return ()
    place = _dotted(one.place)
    words = (old.words if old else "", new.told if new else "")
    if old is None or new is None:
        kind = Kind.ADDED if old is None else Kind.REMOVED
        is_harmful = new is not None and not new.is_adequate and new.is_required
        direction = Direction.LESS if is_harmful else Direction.NEUTRAL
        danger = Danger.BREATHED if is_harmful else Danger.NONE
        what = "mask of the task"
        return (
            Change(
                kind, place, what, *words, direction, topic=Topic.MASK, danger=danger, citation=one.citation
            ),
        )  # fmt: skip
    before, after = (old.is_adequate, old.factor or 0.0), (new.is_adequate, new.factor or 0.0)
    direction = towards(before, after, Direction.MORE)
    danger = Danger.NONE
    if direction is Direction.LESS:
        danger = Danger.LOST if new.is_adequate or not new.is_required else Danger.BREATHED
    was = _dotted(old.place)
    return (
        Change(
            Kind.VERDICT_CHANGED, place, "verdict on the mask", *words, direction,
            was=_was(was, place), topic=Topic.MASK, danger=danger, citation=new.citation,
        ),
    )  # fmt: skip


def _dotted(place: str) -> str:
    """Return "tasks.t masks.m" as one place: "tasks.t.masks.m"."""
    return place.replace(" ", ".")


def _person(old: PersonStands | None, new: PersonStands | None) -> tuple[Change, ...]:
    one = new or old
    if one is None or (old and new and (old.may, old.masks) == (new.may, new.masks)):
        return ()
    place = _dotted(one.place)
    direction, danger = Direction.NEUTRAL, Danger.NONE
    if new and not new.may and (old is None or old.may):
        direction, danger = Direction.LESS, Danger.BARRED
    elif old and new and new.may and not old.may:
        direction = Direction.MORE
    kind = Kind.ADDED if old is None else Kind.REMOVED if new is None else Kind.VERDICT_CHANGED
    is_other_mask = old and new and old.may == new.may
    what = "masks in which a wearer may do a task" if is_other_mask else "task of a wearer"
    before, after = ((_masks_words(side) if is_other_mask else side.words) if side else "" for side in (old, new))
    return (
        Change(
            kind, place, what, before, after, direction, is_restricted=True,
            was=_was(_dotted(old.place), place) if old and new else "",
            topic=Topic.PERSON, danger=danger, citation=one.citation,
        ),
    )  # fmt: skip


def _masks_words(person: PersonStands) -> str:
    return ", ".join(person.masks) or "none"


# ---- days and figures ---------------------------------------------------------------------------------


def _due(old: DueStands, new: DueStands) -> tuple[Change, ...]:
    if old.due == new.due:
        return ()
    before, after = (long_date(side.due) if side.due else "at once" for side in (old, new))
    return (
        Change(
            Kind.FIGURE_CHANGED, new.place, f"due date: {new.what}", before, after, is_restricted=new.is_restricted,
            was=_was(old.place, new.place), topic=Topic.DUE, citation=new.citation, about=new.about,
        ),
    )  # fmt: skip


def _figure(old: FigureStands, new: FigureStands) -> tuple[Change, ...]:
    if old.words == new.words:
        return ()
    before, after = _amounts(old, new)
    rising = Direction.LESS if old.is_stricter_lower else Direction.MORE
    direction = Direction.NEUTRAL if isclose(before, after, rel_tol=1e-9) else towards(before, after, rising)
    danger = Danger.LOST if direction is Direction.LESS else Danger.NONE
    return (
        Change(
            Kind.FIGURE_CHANGED, new.place, f"figure in force: {new.what}", old.words, new.words, direction,
            topic=Topic.FIGURE, danger=danger, citation=new.citation,
        ),
    )  # fmt: skip


def _amounts(old: FigureStands, new: FigureStands) -> tuple[float, float]:
    if isinstance(old.value, Quantity) and isinstance(new.value, Quantity):
        comparable = is_comparable(old.value, new.value)
        return (in_unit(old.value, new.value.unit), new.value.value) if comparable else (inf, inf)
    if isinstance(old.value, Quantity) or isinstance(new.value, Quantity):
        return inf, inf
    return float(old.value), float(new.value)
