"""Forms narrowed to what the choices in them need: fields that wait for another stand behind it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.input_fields import Entry, Input, Only, Part, pattern_of
from progdoc.rules.lookup.asked_when import ANY, AskedWhen, asked_when

__all__ = ["Stated", "narrowed"]

Stated = Callable[[str], tuple[str, ...]]  # what is typed at a place; nothing where nothing is


@dataclass(frozen=True, slots=True)
class _Waits:
    """For which choices a field is asked, and where the choice stands."""

    at: str  # "people[0].fit_tests[+].protocol"
    one_of: tuple[str, ...]
    or_unsaid: bool


def narrowed(parts: Iterable[Part], stated: Stated, things: Any) -> tuple[Part, ...]:
    """Return the parts of a form with those behind a choice that wait for it.

    What was decided in another form is not asked again: a field that it rules out is left out where nothing stands
    in it.

    Parameters
    ----------
    things
        What is described, to look up what a choice names: an attribute for each list of things.
    """
    known = [
        replace(one, inputs=narrowed(one.inputs, stated, things)) if isinstance(one, Entry) else one for one in parts
    ]
    inputs = {one.path: one for one in known if isinstance(one, Input)}
    waits = {path: found for path in inputs if (found := _waits_for(path, inputs, things))}
    first = [inputs[found.at] for found in waits.values() if found.at in inputs]
    left = list(_in_order(known, first, waits))
    return tuple(_grouped(left, inputs, waits, stated))


def _in_order(parts: Iterable[Part], first: list[Input], waits: dict[str, _Waits]) -> Iterator[Part]:
    """Yield the parts with each choice before what waits for it."""
    asked: set[str] = set()
    deciding = {one.path: one for one in first}
    for part in parts:
        at = waits[part.path].at if isinstance(part, Input) and part.path in waits else ""
        if at in deciding and at not in asked:
            asked.add(at)
            yield deciding[at]
        if part.path not in asked:
            asked.add(part.path)
            yield part


def _grouped(parts: list[Part], inputs: dict[str, Input], waits: dict[str, _Waits], stated: Stated) -> Iterator[Part]:
    held: list[Part] = []
    behind: _Waits | None = None
    for part in parts:
        found = waits.get(part.path) if isinstance(part, Input) else None
        if found is not None and (found.at not in inputs or not (found.one_of or found.or_unsaid)):
            if _is_ruled_out(found, stated) and not stated(part.path):
                continue
            found = None
        if behind is not None and found != behind:
            yield Only(inputs[behind.at], behind.one_of, behind.or_unsaid, tuple(held))
            held = []
        behind = found
        if found is None:
            yield part
        else:
            held.append(part)
    if behind is not None:
        yield Only(inputs[behind.at], behind.one_of, behind.or_unsaid, tuple(held))


def _is_ruled_out(waits: _Waits, stated: Stated) -> bool:
    said = stated(waits.at)
    if waits.one_of == ANY:
        return not said
    return not waits.one_of or (bool(said) and not set(said) & set(waits.one_of))


def _waits_for(path: str, inputs: dict[str, Input], things: Any) -> _Waits | None:
    pattern = pattern_of(path)
    for rule in asked_when():
        if pattern.startswith(f"{rule.of}.") and _is_among(pattern.removeprefix(f"{rule.of}."), rule.fields):
            at = f"{_base(path, rule.of)}.{rule.by}"
            if rule.its and rule.or_unsaid and at in inputs and not getattr(things, inputs[at].things, ()):
                return None  # nothing is there yet that could be named
            one_of = _named(rule, inputs[at].things, things) if rule.its and at in inputs else rule.one_of
            return _Waits(at, one_of, rule.or_unsaid)
    return None


def _is_among(field: str, fields: tuple[str, ...]) -> bool:
    return any(field == one or field.startswith(f"{one}.") for one in fields)


def _base(path: str, pattern: str) -> str:
    """Return the part of a place that a pattern is of: "hazards[2]" of "hazards[2].limit.value"."""
    return ".".join(path.split(".")[: len(pattern.split("."))])


def _named(rule: AskedWhen, kind: str, things: Any) -> tuple[str, ...]:
    """Return the ids of those things for which a choice is meant; of one that says nothing too."""
    known = getattr(things, kind, ())
    return tuple(one.id for one in known if getattr(one, rule.its) is None or getattr(one, rule.its) in rule.one_of)
