"""What may be typed at a place of the description, as a form asks it: single fields, groups, one more of a list.

A place is written as in messages, `tasks[0].use`; one more entry of a list is `people[0].medical[+]`.
"""

from __future__ import annotations

import re
import typing
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from pydantic import BaseModel

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.fields import Field, field_at, kind_text, models_at, takes_ids
from progdoc.model.description.scalars import PROTOCOLS

__all__ = [
    "NEW",
    "ONE_MORE",
    "Entry",
    "Input",
    "Kinds",
    "Only",
    "Part",
    "flat",
    "inputs_at",
    "pattern_of",
    "suggested_at",
    "things_at",
]

ONE_MORE = "[+]"
NEW = "+new"  # behind a place: names of things that are not listed yet
_KIND = "kind"
_INDEX = re.compile(r"\[(?:\d+|\+)\]")

# The lists whose ids a field takes, by its name.
_THINGS = {
    "appendix_d_attachment": "attachments",
    "against": "hazards",
    "attachment": "attachments",
    "escape_masks": "masks",
    "filter": "filters",
    "filters": "filters",
    "hazard": "hazards",
    "mask": "masks",
    "masks": "masks",
    "never_same_day": "tasks",
    "people": "people",
    "sites": "organisation.sites",
    "task": "tasks",
    "tasks": "tasks",
}

# What a list suggests that is not closed: another name may stand there too, and a rule tells what it comes to.
_NAMED_IN_A_LIST = {"protocol": PROTOCOLS, "protocols": PROTOCOLS}


@dataclass(frozen=True, slots=True)
class Input:
    """One field of a form."""

    path: str
    field: Field
    is_needed: bool  # an entry can't be read without it
    things: str = ""  # the list of which ids may be named: "people"
    listed: tuple[tuple[str, str], ...] = ()  # what a table of the law lists for it: what is typed, what it stands for


@dataclass(frozen=True, slots=True)
class Kinds:
    """A group that is one of several kinds; which fields it has is known once one is chosen."""

    path: str
    field: Field
    kinds: tuple[tuple[str, str], ...]  # (kind, what it is)
    chosen: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a list: one that stands there, to be changed or taken out, or one more beside it."""

    path: str  # "people[0].fit_tests[1]", or "people[0].fit_tests[+]"
    field: Field  # of the list
    number: int  # counted from 1; 0 for one more
    inputs: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Only:
    """Fields that are asked for some choices of another field of the form, and for no other."""

    by: Input
    one_of: tuple[str, ...]
    or_unsaid: bool  # asked, too, while nothing is chosen
    inputs: tuple[Part, ...]

    @property
    def path(self) -> str:
        return self.inputs[0].path


Part = Input | Kinds | Entry | Only


def inputs_at(path: str, chosen: Mapping[str, str], there: Any = None) -> Iterator[Part]:
    """Yield what is asked at a place.

    Parameters
    ----------
    chosen
        Of which kind a group is to be, by its place.
    there
        What is typed there as the file has it: its entries are asked too, and a group is of the kind that it has.
    """
    field = field_at(pattern_of(path))
    if field is None:
        raise KeyError(path)
    yield from _asked(path, field, chosen, False, there)


def flat(parts: Iterable[Part]) -> Iterator[Input | Kinds]:
    """Yield the fields and kinds, those within entries too."""
    for part in parts:
        if isinstance(part, Entry | Only):
            yield from flat(part.inputs)
        else:
            yield part


def _asked(path: str, field: Field, chosen: Mapping[str, str], is_needed: bool, there: Any) -> Iterator[Part]:
    models = models_at(pattern_of(path))
    if not models:
        named = _NAMED_IN_A_LIST.get(pattern_of(path).rpartition(".")[2])
        shown = replace(field, values=named, form="choice") if named else field
        yield Input(path, shown, is_needed, things_at(path))
        return
    if not field.is_list:
        if field.values:  # a word may stand there instead of the group: a limit, or "none published"
            yield Input(path, field, False)
        yield from _group(path, field, models, chosen, there)
        return
    entries = there if isinstance(there, list) else []
    for number, entry in enumerate(entries):
        one = f"{path}[{number}]"
        yield Entry(one, field, number + 1, tuple(_group(one, field, models, chosen, entry)))
    more = tuple(_group(f"{path}{ONE_MORE}", field, models, chosen, None))
    yield Entry(f"{path}{ONE_MORE}", field, 0, more)


def _group(
    path: str, field: Field, models: tuple[type[BaseModel], ...], chosen: Mapping[str, str], there: Any
) -> Iterator[Part]:
    values = there if isinstance(there, dict) else {}
    if len(models) == 1:
        yield from _fields_of(path, models[0], chosen, values, ("id",))
        return
    by_kind = {kind: model for model in models for kind in _kinds_of(model)}
    stands = values.get(_KIND, "")
    kind = chosen.get(path, stands if isinstance(stands, str) else "")
    yield Kinds(path, field, tuple((name, kind_text(model)) for name, model in by_kind.items()), kind)
    if kind in by_kind:
        yield from _fields_of(path, by_kind[kind], chosen, values if kind == stands else {})


def _fields_of(
    path: str,
    model: type[BaseModel],
    chosen: Mapping[str, str],
    values: Mapping[str, Any],
    not_asked: tuple[str, ...] = ("id", _KIND),
) -> Iterator[Part]:
    for name, info in model.model_fields.items():
        place = f"{path}.{name}"
        field = field_at(pattern_of(place))
        if field is None or name in not_asked:
            continue
        if path.endswith("]") and field.is_list and field.form == "group" and not info.is_required():
            continue  # what comes later in the life of an entry is asked by a question of its own
        yield from _asked(place, field, chosen, info.is_required(), values.get(name))


def things_at(path: str) -> str:
    """Return the list whose ids are typed at a place, or "".

    >>> things_at("tasks[0].people"), things_at("people[+].name")
    ('people', '')
    """
    name = path.rpartition(".")[2].partition("[")[0]
    return _THINGS.get(name, "") if "." in path and takes_ids(pattern_of(path)) else ""


def suggested_at(path: str) -> tuple[str, ...]:
    """Return what a place takes of a list, closed or not.

    >>> suggested_at("people[0].fit_tests[1].protocol")[:2], suggested_at("people[].hair_in_seal")
    (('isoamyl-acetate', 'saccharin'), ('yes', 'no'))
    """
    place = pattern_of(path)
    known = field_at(place.removesuffix("[]")) or field_at(place)
    named = _NAMED_IN_A_LIST.get(place.removesuffix("[]").rpartition(".")[2])
    return named or (known.values if known else ())


def pattern_of(path: str) -> str:
    """Return a place without its numbers: "people[].medical[]"."""
    return _INDEX.sub("[]", path)


def _kinds_of(model: type[BaseModel]) -> tuple[str, ...]:
    return tuple(map(str, typing.get_args(model.model_fields[_KIND].annotation)))
