"""What changed in the description: thing by thing, by id, never by position.

A thing that kept its content under another id is renamed, not removed and added. The same amount in another
unit is no change. What a medical entry says is never repeated, only that there is another one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from progdoc.comparison.changes import Change, Kind, worst_first
from progdoc.core.numbers import long_date, number_text
from progdoc.model.description.base import Described
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity, is_same_amount

__all__ = ["Renames", "changed_descriptions", "renames_of", "said"]

Renames = Mapping[str, str]  # "tasks.scrape" → "tasks.scrape-sashes"

_LISTS = ("tasks", "hazards", "masks", "filters", "people", "policies", "attachments", "own_sections")
_INNER_LISTS = ("organisation.sites", "procedures.filter_changes.schedules", "procedures.evaluation.findings")
_LABELS = ("name", "title", "agent", "what", "file", "filter", "source")
_KEYS = ("revision", "date", "mask", "protocol", "code", "subject", "what", "facepiece", "kind", "averaging")
_REFERS = {
    "task": "tasks",
    "tasks": "tasks",
    "mask": "masks",
    "masks": "masks",
    "escape_masks": "masks",
    "never_same_day": "tasks",
    "filter": "filters",
    "filters": "filters",
    "people": "people",
    "sites": "organisation.sites",
    "attachment": "attachments",
    "appendix_d_attachment": "attachments",
}
_LEAST_LIKE = 0.5  # share of what is said that has to be the same, for a thing with another id


def changed_descriptions(old: Program, new: Program) -> tuple[Change, ...]:
    """Return every change of what the description says, in the order of its places."""
    return worst_first(_Walk(renames_of(old, new)).model("", "", old, new))


# ---- renames ------------------------------------------------------------------------------------------


def renames_of(old: Program, new: Program) -> Renames:
    """Return the things that go by another id now, by their old place."""
    found: dict[str, str] = {}
    for path in (*_LISTS, *_INNER_LISTS):
        olds, news = _things(old, path), _things(new, path)
        gone = [thing for key, thing in olds.items() if key not in news]
        come = [thing for key, thing in news.items() if key not in olds]
        for one, other in _same_label(gone, come):
            if _likeness(one, other) >= _LEAST_LIKE:
                found[f"{path}.{one.id}"] = f"{path}.{other.id}"
    return found


def _things(program: Program, path: str) -> dict[str, Any]:
    value: Any = program
    for name in path.split("."):
        value = getattr(value, name)
    return {thing.id: thing for thing in value}


def _label(thing: Any) -> str:
    return next((str(value) for name in _LABELS if (value := getattr(thing, name, None))), "")


def _same_label(gone: Sequence[Any], come: Sequence[Any]) -> Iterator[tuple[Any, Any]]:
    """Yield the pairs of one label that nothing else on either side has."""
    counts = Counter(map(_label, gone)), Counter(map(_label, come))
    by_label = {_label(thing): thing for thing in come}
    for thing in gone:
        label = _label(thing)
        if label and counts[0][label] == counts[1][label] == 1:
            yield thing, by_label[label]


def _likeness(one: Any, other: Any) -> float:
    """Return the share of what either says, ids and references aside, that both say."""
    fields = [f for f in type(one).model_fields if f != "id" and f not in _REFERS]
    told = [f for f in fields if f in one.model_fields_set or f in other.model_fields_set]
    return sum(getattr(one, f) == getattr(other, f) for f in told) / len(told) if told else 0.0


# ---- the walk -----------------------------------------------------------------------------------------


class _Walk:
    """One walk through two descriptions, field by field. `was` is the place on the old side."""

    def __init__(self, renames: Renames) -> None:
        self._renames = renames

    def model(self, place: str, was: str, old: Described, new: Described) -> Iterator[Change]:
        """Yield what changed in two of a kind; ids are told apart by whoever pairs them."""
        for name in type(old).model_fields:
            if name == "id" or (not place and name == "format"):
                continue
            dot = "." if place else ""
            inner = _Spot(f"{place}{dot}{name}", f"{was}{dot}{name}", name)
            yield from self._value(inner, getattr(old, name), getattr(new, name))

    def _value(self, spot: _Spot, old: Any, new: Any) -> Iterator[Change]:
        if isinstance(old, tuple) and isinstance(new, tuple):
            if any(isinstance(item, Described) for item in (*old, *new)):
                yield from self._things(spot, old, new)
            else:
                yield from self._choices(spot, old, new)
        elif isinstance(old, Described) and type(old) is type(new):
            yield from self.model(spot.place, spot.was, old, new)
        elif isinstance(old, Quantity) and isinstance(new, Quantity):
            if not is_same_amount(old, new):
                yield spot.change(Kind.FIGURE_CHANGED, said(old), said(new))
        elif self._renamed(spot.name, old) != new:
            kind = Kind.FIGURE_CHANGED if _is_figure(old) or _is_figure(new) else Kind.REWORDED
            yield spot.change(kind, said(old), said(new))

    def _renamed(self, name: str, value: Any) -> Any:
        """Return what a reference of the old side is called on the new side; any other value as it is."""
        kind = _REFERS.get(name)
        if kind is None or not isinstance(value, str):
            return value
        return self._renames.get(f"{kind}.{value}", f"{kind}.{value}").removeprefix(f"{kind}.")

    def _choices(self, spot: _Spot, old: tuple[Any, ...], new: tuple[Any, ...]) -> Iterator[Change]:
        """Yield what was chosen or left out; lists of choices have no order."""
        before = [(self._renamed(spot.name, said(value)), said(value)) for value in old]
        left = Counter(map(said, new))
        for renamed, text in before:
            if left[renamed]:
                left[renamed] -= 1
            else:
                yield spot.change(Kind.REMOVED, text, "")
        yield from (spot.change(Kind.ADDED, "", text) for text in left.elements())

    def _things(self, spot: _Spot, old: tuple[Any, ...], new: tuple[Any, ...]) -> Iterator[Change]:
        before, after = self._keyed(spot, old, is_old=True), self._keyed(spot, new, is_old=False)
        for key, (was, thing) in before.items():
            if key not in after:
                yield spot.inner(was, was).change(Kind.REMOVED, _summary(thing), "")
        for key, (_, thing) in after.items():
            if key not in before:
                yield spot.inner(key, key).change(Kind.ADDED, "", _summary(thing))
                continue
            was, counterpart = before[key]
            inner = spot.inner(key, was)
            if key != was and hasattr(thing, "id"):
                yield inner.change(Kind.RENAMED, was, key)
            yield from self._pair(inner, counterpart, thing)
        if spot.name != "people" and all(hasattr(thing, "id") for thing in (*old, *new)):
            kept = [key for key in before if key in after]
            if kept != [key for key in after if key in before]:
                orders = ", ".join(before[key][0] for key in kept), ", ".join(key for key in after if key in before)
                yield spot.change(Kind.MOVED, *orders)

    def _pair(self, spot: _Spot, old: Any, new: Any) -> Iterator[Change]:
        if spot.is_medical:
            if old != new:
                yield spot.change(Kind.REWORDED, "", "")
        elif type(old) is type(new):
            yield from self.model(spot.place, spot.was, old, new)
        elif old != new:
            yield spot.change(Kind.REWORDED, _summary(old), _summary(new))

    def _keyed(self, spot: _Spot, things: tuple[Any, ...], is_old: bool) -> dict[str, tuple[str, Any]]:
        """Return the things by what they are called on the new side, with what they are called on their own."""
        found: dict[str, tuple[str, Any]] = {}
        for thing in things:
            own = _key_of(thing, lambda name, text: text)
            key = own
            if is_old and hasattr(thing, "id"):
                path = spot.place
                key = self._renames.get(f"{path}.{own}", f"{path}.{own}").removeprefix(f"{path}.")
            elif is_old:
                key = _key_of(thing, self._renamed)
            count = 1
            numbered = key
            while numbered in found:
                count += 1
                numbered = f"{key}#{count}"
            found[numbered] = (own if count == 1 else f"{own}#{count}", thing)
        return found


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where the walk is: the place on either side, and the field's name."""

    place: str
    was: str
    name: str

    def inner(self, key: str, was: str) -> _Spot:
        return _Spot(f"{self.place}.{key}", f"{self.was}.{was}", self.name)

    @property
    def is_medical(self) -> bool:
        return self.place.startswith("people.") and ".medical" in self.place

    def change(self, kind: Kind, old: str, new: str) -> Change:
        if self.is_medical:
            old = new = ""
        place = self.was if kind is Kind.REMOVED else self.place
        was = self.was if kind not in (Kind.REMOVED, Kind.ADDED) and self.was != self.place else ""
        of_people = self.place.split(".")[0] in ("people", "renewal")
        is_restricted = of_people or (self.place[:6] == "tasks." and self.name == "people")
        return Change(kind, place, self.name.replace("_", " "), old, new, is_restricted=is_restricted, was=was)


def _key_of(thing: Any, renamed: Callable[[str, str], str]) -> str:
    """Return a thing's id; without one, what tells it from its like."""
    if hasattr(thing, "id"):
        return str(thing.id)
    told = ((name, getattr(thing, name, None)) for name in _KEYS)
    texts = [renamed(n, v.isoformat() if isinstance(v, date) else said(v)) for n, v in told if v is not None]
    return f"[{' '.join(texts)}]"


def _is_figure(value: Any) -> bool:
    return isinstance(value, int | float | Quantity) and not isinstance(value, bool)


# ---- values as words ----------------------------------------------------------------------------------


def said(value: Any) -> str:
    """Return a value as the description says it; nothing said is nothing."""
    match value:
        case None | ():
            return ""
        case bool():
            return "yes" if value else "no"
        case Quantity():
            return value.text
        case StrEnum():
            return value.value
        case date():
            return long_date(value)
        case int() | float():
            return number_text(float(value), digits=12)
        case tuple():
            return ", ".join(map(said, value))
        case Described():
            return _summary(value)
        case _:
            return str(value)


def _summary(thing: Any) -> str:
    """Return in a phrase what a thing is: its label, or all that is said of it."""
    label = _label(thing)
    if label:
        return label
    told = ((name, said(getattr(thing, name))) for name in type(thing).model_fields if name in thing.model_fields_set)
    return "; ".join(f"{name.replace('_', ' ')}: {text}" for name, text in told if text)
