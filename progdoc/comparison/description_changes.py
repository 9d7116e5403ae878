"""What changed in the description: thing by thing, by id, never by position.

A thing that kept its content under another id is renamed, not removed and added. The same amount in another
unit is no change, and a text of a list that was reworded is one change. What a medical entry says is never repeated,
only that there is another one.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from enum import StrEnum
from typing import Any

from progdoc.comparison.changes import Change, Kind, Nature, worst_first
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date, number_text
from progdoc.core.said import TEXTS
from progdoc.model.description.base import Described
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity, is_same_amount

__all__ = ["Renames", "changed_descriptions", "renames_of", "said"]

Renames = Mapping[str, str]  # "tasks.scrape" → "tasks.scrape-sashes"

_LISTS = (
    *("tasks", "hazards", "masks", "filters", "people", "policies", "attachments", "own_sections"),
    *("bodies", "roles", "groups", "house_rules"),
)
_INNER_LISTS = ("organisation.sites", "procedures.filter_changes.schedules", "procedures.evaluation.findings")
_LABELS = ("name", "title", "agent", "what", "file", "filter", "says", "source")
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
    "group": "groups",
    "groups": "groups",
    "body": "bodies",
    "clinic": "bodies",
    "attachment": "attachments",
    "appendix_d_attachment": "attachments",
}
_FACTS = ("agent", "cas", "size", "state", "code", "serial", "approval", "kind")  # texts on which the rules decide
_LEAST_LIKE = 0.5  # share of what is said that has to be the same, for a thing with another id
_LEAST_ALIKE = 0.8  # the same for a thing with another id and another name
_LEAST_REWORDED = 0.6  # share of the words of a text in a list that has to be the same
_LEAST_COMMON = 2  # words
_WORD = re.compile(r"\w+")


def changed_descriptions(old: Program, new: Program) -> tuple[Change, ...]:
    """Return every change of what the description says, in the order of its places."""
    return worst_first(_Walk(renames_of(old, new)).model("", "", "", old, new))


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
        if path != "people":  # two people may have all but their name in common
            left = [thing for thing in gone if f"{path}.{thing.id}" not in found]
            free = [thing for thing in come if f"{path}.{thing.id}" not in found.values()]
            found |= {f"{path}.{one.id}": f"{path}.{other.id}" for one, other in _alike(left, free)}
    return found


def _alike(gone: Sequence[Any], come: Sequence[Any]) -> Iterator[tuple[Any, Any]]:
    """Yield the pairs that say nearly the same under another id and another name, and nothing else does."""
    for one in gone:
        like = [other for other in come if type(one) is type(other) and _likeness(one, other) >= _LEAST_ALIKE]
        if len(like) == 1 and sum(_likeness(two, like[0]) >= _LEAST_ALIKE for two in gone) == 1:
            yield one, like[0]


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

    def model(self, place: str, was: str, field: str, old: Described, new: Described) -> Iterator[Change]:
        """Yield what changed in two of a kind; ids are told apart by whoever pairs them."""
        for name in type(old).model_fields:
            if name == "id" or (not place and name == "format"):
                continue
            dot = "." if place else ""
            inner = _Spot(f"{place}{dot}{name}", f"{was}{dot}{name}", name, f"{field}{dot}{name}")
            yield from self._value(inner, getattr(old, name), getattr(new, name))

    def _value(self, spot: _Spot, old: Any, new: Any) -> Iterator[Change]:
        if not self._renames and old == new:  # most of it: nobody has to look inside
            return
        if isinstance(old, tuple) and isinstance(new, tuple):
            if any(isinstance(item, Described) for item in (*old, *new)):
                yield from self._things(spot, old, new)
            else:
                yield from self._choices(spot, old, new)
        elif isinstance(old, Described) and type(old) is type(new):
            yield from self.model(spot.place, spot.was, spot.field, old, new)
        elif isinstance(old, Quantity) and isinstance(new, Quantity):
            if not is_same_amount(old, new):
                yield spot.change(Kind.FIGURE_CHANGED, said(old), said(new))
        elif self._renamed(spot.name, old) != new:
            kind = Kind.FIGURE_CHANGED if _is_figure(old) or _is_figure(new) else Kind.REWORDED
            is_text = all(value is None or _is_text(spot.name, value) for value in (old, new))
            yield spot.change(kind, said(old), said(new), is_text)

    def _renamed(self, name: str, value: Any) -> Any:
        """Return what a reference of the old side is called on the new side; any other value as it is."""
        if name == "subject" and isinstance(value, str):
            return self._renames.get(value, value)
        kind = _REFERS.get(name)
        if kind is None or not isinstance(value, str):
            return value
        return self._renames.get(f"{kind}.{value}", f"{kind}.{value}").removeprefix(f"{kind}.")

    def _choices(self, spot: _Spot, old: tuple[Any, ...], new: tuple[Any, ...]) -> Iterator[Change]:
        """Yield what was chosen or left out; lists of choices have no order."""
        before = [(self._renamed(spot.name, said(value)), said(value)) for value in old]
        left = Counter(map(said, new))
        gone: list[str] = []
        for renamed, text in before:
            if left[renamed]:
                left[renamed] -= 1
            else:
                gone.append(text)
        come = list(left.elements())
        if gone and come and all(_is_text(spot.name, value) for value in (*old, *new)):
            for one, other in _reworded(gone, come):
                yield spot.change(Kind.REWORDED, one, other, is_text=True)
                gone.remove(one)
                come.remove(other)
        yield from (spot.change(Kind.REMOVED, text, "") for text in gone)
        yield from (spot.change(Kind.ADDED, "", text) for text in come)

    def _things(self, spot: _Spot, old: tuple[Any, ...], new: tuple[Any, ...]) -> Iterator[Change]:
        before, after = self._keyed(spot, old, is_old=True), self._keyed(spot, new, is_old=False)
        if not all(hasattr(thing, "id") for thing in (*old, *new)):
            before = _paired_by_words(before, after)
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
            yield from self.model(spot.place, spot.was, spot.field, old, new)
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
    field: str  # the place in the model, lists written "people[]"

    def inner(self, key: str, was: str) -> _Spot:
        return _Spot(f"{self.place}.{key}", f"{self.was}.{was}", self.name, f"{self.field}[]")

    @property
    def is_medical(self) -> bool:
        return self.place.startswith("people.") and ".medical" in self.place

    def change(self, kind: Kind, old: str, new: str, is_text: bool = False) -> Change:
        if self.is_medical:
            old = new = ""
        place = self.was if kind is Kind.REMOVED else self.place
        was = self.was if kind not in (Kind.REMOVED, Kind.ADDED) and self.was != self.place else ""
        of_people = self.place.split(".")[0] in ("people", "renewal")
        is_restricted = of_people or (self.place[:6] == "tasks." and self.name == "people")
        what, nature = self.name.replace("_", " "), Nature.TEXT if is_text else Nature.FACT
        return Change(
            kind, place, what, old, new, is_restricted=is_restricted, was=was, nature=nature, field=self.field
        )


def _key_of(thing: Any, renamed: Callable[[str, str], str]) -> str:
    """Return a thing's id; without one, what tells it from its like."""
    if hasattr(thing, "id"):
        return str(thing.id)
    told = ((name, getattr(thing, name, None)) for name in _KEYS)
    texts = [renamed(n, v.isoformat() if isinstance(v, date) else said(v)) for n, v in told if v is not None]
    return f"[{' '.join(texts)}]"


def _paired_by_words(
    before: dict[str, tuple[str, Any]], after: dict[str, tuple[str, Any]]
) -> dict[str, tuple[str, Any]]:
    """Return the old things without an id under the keys of the new ones whose words are left of theirs."""
    gone = {_label(thing): key for key, (_, thing) in before.items() if key not in after and _label(thing)}
    come = {_label(thing): key for key, (_, thing) in after.items() if key not in before and _label(thing)}
    keys = {gone[one]: come[other] for one, other in _reworded(list(gone), list(come))}
    return {keys.get(key, key): value for key, value in before.items()}


def _is_text(name: str, value: Any) -> bool:
    """Whether a value is free words, neither a choice nor what something is called elsewhere."""
    return type(value) in TEXTS and name not in _REFERS and name not in _FACTS


def _reworded(gone: Sequence[str], come: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Yield the texts of a list that are left of one another, the likest first."""
    bags = {text: Counter(_WORD.findall(text.lower())) for text in (*gone, *come)}
    pairs = sorted((-_share_kept(bags[one], bags[other]), one, other) for one in gone for other in come)
    used: set[tuple[int, str]] = set()
    for like, one, other in pairs:
        if -like >= _LEAST_REWORDED and not {(0, one), (1, other)} & used:
            used |= {(0, one), (1, other)}
            yield one, other


def _share_kept(one: Counter[str], other: Counter[str]) -> float:
    """Return the share of the shorter text's words that the longer one has too; one word in common says nothing."""
    common = (one & other).total()
    return common / min(one.total(), other.total()) if common >= _LEAST_COMMON else 0.0


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
    if label and not hasattr(thing, "kind"):  # of what shows a level, the kind of evidence says more than its source
        text = getattr(thing, "text", None)
        return f"{label}: {text}" if text else label
    told = ((name, said(getattr(thing, name))) for name in type(thing).model_fields if name in thing.model_fields_set)
    return "; ".join(f"{name.replace('_', ' ')}: {text}" for name, text in told if text)
