"""What the model knows about a place in the description: its title, its words, what may be typed there.

A place is written as in the catalogue: `people[].fit_tests[].date`. Lists in it may be left unmarked at its end.
"""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date
from enum import StrEnum
from functools import cache
from typing import Annotated, Any, cast

from pydantic import BaseModel, PlainValidator, TypeAdapter, ValidationError

from progdoc.core.data_text import data_text
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import TEXTS, said
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.typed_text import as_id, as_text
from progdoc.model.description.words import as_written

__all__ = [
    "Field",
    "choice_text",
    "days_in",
    "every_place",
    "field_at",
    "is_one_value",
    "is_text_field",
    "kind_text",
    "models_at",
    "named_text",
    "said_in",
    "takes_ids",
    "texts_in",
    "title_called",
]

_STEP = re.compile(r"([^.\[\]]+)(\[\])?")
_BLANKS = str.maketrans("-_", "  ")
_YES_NO = {"yes": said("yes"), "no": said("no")}
# Choices whose spelling tells a newcomer nothing: by what a wearer notices, or what else the trade calls it.
_IN_WORDS = {
    "isoamyl-acetate": "isoamyl acetate (smell of bananas)",
    "saccharin": "saccharin (sweet taste)",
    "denatonium": "denatonium benzoate (bitter taste)",
    "irritant-smoke": "irritant smoke (makes one cough)",
    "generated-aerosol": "aerosol made in a chamber, measured",
    "ambient-cnc": "particle counter (CNC), all exercises",
    "ambient-cnc-short-elastomeric": "particle counter (CNC), short set for half masks and full facepieces",
    "ambient-cnc-short-filtering": "particle counter (CNC), short set for filtering facepieces",
    "controlled-negative-pressure": "controlled negative pressure (CNP)",
    "controlled-negative-pressure-redon": "controlled negative pressure (CNP), put on anew each time",
    "filtering-facepiece": "filtering facepiece (dust mask)",
    "appendix-b1": "the steps of Appendix B-1",
    "appendix-b2": "the steps of Appendix B-2",
}
_BY_ID = re.compile(r"\b((?:The )?[Ii]ds? of )(\w)|(?:'s|(?<=s)') ids?(?=\.)")
_FORMS: Mapping[str, type | tuple[type, ...]] = {"quantity": Quantity, "date": date, "number": (int, float)}


@dataclass(frozen=True, slots=True)
class Field:
    """One field of the description."""

    title: str
    description: str
    values: tuple[str, ...]  # what may be typed, where a list is closed
    is_list: bool
    kind: Any  # the annotation
    examples: tuple[str, ...] = ()
    form: str = "text"  # what is typed: yes-no, choice, text, date, number, quantity or group

    def read(self, text: str) -> Any:
        """Return what a text means here, or None where it means nothing."""
        try:
            return TypeAdapter(self.kind).validate_python(text)
        except ValidationError:
            return None

    def refusal(self, text: str) -> str:
        """Return why a value can't stand here, or nothing."""
        try:
            TypeAdapter(self.kind).validate_python(text)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            return str(first["ctx"]["error"]) if first["type"] == "value_error" else first["msg"]
        return ""


def choice_text(choice: str) -> str:
    """Return what may be typed, where a list is closed, as words.

    >>> choice_text("half-mask"), choice_text("saccharin")
    ('half mask', 'saccharin (sweet taste)')
    """
    return _YES_NO.get(choice) or data_text(_IN_WORDS.get(choice) or choice.translate(_BLANKS))


def named_text(description: str) -> str:
    """Return what a field says that takes ids, for a form that shows names.

    >>> named_text("Ids of the masks in which they go in."), named_text("The id of a mask.")
    ('The masks in which they go in.', 'A mask.')
    >>> named_text("The tasks' ids."), named_text("The cartridge's id.")
    ('The tasks.', 'The cartridge.')
    >>> named_text("If not: whose program does. The id of a body will do."), named_text("What is said of it.")
    ('If not: whose program does. A body will do.', 'What is said of it.')
    """
    told = _BY_ID.sub(_without_id, description, count=1)
    return data_text(told[:1].upper() + told[1:])


@cache
def title_called(name: str) -> str:
    """Return the title of the fields of a name, "" where no field has it; of several titles the words of the name.

    >>> title_called("gear_clear_of_seal"), title_called("shoes")
    ('Gear clear of the seal', '')
    """
    titles = sorted(_titles().get(name.rpartition(".")[2], ()))
    if not titles:
        return ""
    return data_text(titles[0]) if len(titles) == 1 else name.rpartition(".")[2].replace("_", " ").capitalize()


@cache
def _titles() -> Mapping[str, set[str]]:
    """Return the titles of every field by its name, those of groups too."""
    found: dict[str, set[str]] = {}
    models: list[type[BaseModel]] = [Program]
    for model in models:
        for name, field in model.model_fields.items():
            found.setdefault(name, set()).add(field.title or name)
            models += [one for one in _models(field.annotation) if one not in models]
    return found


def _without_id(found: re.Match[str]) -> str:
    opening, letter = found[1] or "", found[2] or ""
    return letter.upper() if opening[:1].isupper() else letter


def kind_text(model: type[BaseModel]) -> str:
    """Return what a group is that is one of several kinds: the first line of what its class says."""
    return data_text((model.__doc__ or "").strip().partition("\n")[0].rstrip("."))


@cache
def models_at(path: str) -> tuple[type[BaseModel], ...]:
    """Return the groups that a place holds, one of each kind; none where single values stand there.

    >>> [model.__name__ for model in models_at("people[].medical")], models_at("people[].name")
    (['MedicalEntry'], ())
    """
    field = field_at(path)
    return _models(field.kind) if field else ()


@cache
def field_at(path: str) -> Field | None:
    """Return the field at a place, or None where the description has none.

    >>> field = field_at("procedures.fit_testing.interval")
    >>> field.title, field.refusal("6 months"), field.refusal("yellow") == ""
    ('Interval', '', False)
    >>> field_at("people[].fit_tests[].date").title, field_at("people[].shoes")
    ('Date', None)
    """
    owners: tuple[type[BaseModel], ...] = (Program,)
    found: Field | None = None
    for name, _ in _STEP.findall(path):
        holder = next((owner for owner in owners if name in owner.model_fields), None)
        if holder is None:
            return None
        field = holder.model_fields[name]
        kind = field.annotation
        if field.metadata:
            kind = cast("Any", Annotated)[(kind, *field.metadata)]
        shown = tuple(as_written(_plain(example)) for example in field.examples or ())
        owners, values = _models(kind), _values(kind)
        form = _form(kind, values, bool(owners))
        title, told = data_text(field.title or name), data_text(field.description or "")
        found = Field(title, told, values, _is_list(kind), kind, shown, form)
    return found


def every_place(owner: type[BaseModel] = Program, path: str = "") -> Iterator[str]:
    """Yield the place of every single value that can be typed, lists marked; ids are none, they only tell things apart.

    >>> "people[].fit_tests[].date" in every_place(), "people[].id" in every_place()
    (True, False)
    """
    for name, field in owner.model_fields.items():
        place = (f"{path}.{name}" if path else name) + ("[]" if _is_list(field.annotation) else "")
        models = _models(field.annotation)
        for model in models:
            yield from every_place(model, place)
        if not models and name not in _ids_of(owner):
            yield place


def texts_in(described: BaseModel, path: str = "", silent: set[int] | None = None) -> Iterator[tuple[str, str]]:
    """Yield every free text in a described thing with its place; ids and choices from a list are none.

    `silent` are parts, by their ids, in which nothing was found: many people share them.
    """
    silent = set() if silent is None else silent
    values = described.__dict__
    for name, is_text in _holding_texts(type(described)):
        value = values[name]
        if value is None or value == ():
            continue
        for inner, entry in _entries(value, f"{path}.{name}" if path else name):
            if isinstance(entry, BaseModel):
                if id(entry) not in silent:
                    found = list(texts_in(entry, inner, silent))
                    yield from found
                    silent.update(() if found else (id(entry),))
            elif is_text and type(entry) in TEXTS:
                yield inner, entry


def is_text_field(owner: type[BaseModel], name: str) -> bool:
    """Return whether a field takes free text."""
    return name in _texts_of(owner)


def days_in(described: BaseModel, is_meant: Callable[[date], bool]) -> Iterator[tuple[str, date]]:
    """Yield each day that somebody typed and that is meant, with its place; of few it is anything, in most records."""
    return _days_in(described, "", is_meant, set())


def _days_in(
    described: BaseModel, path: str, is_meant: Callable[[date], bool], idle: set[int]
) -> Iterator[tuple[str, date]]:
    said = described.model_fields_set
    for name, value in described.__dict__.items():
        if name not in said or value is None or value == ():
            continue
        for inner, entry in _entries(value, f"{path}.{name}" if path else name):
            if isinstance(entry, BaseModel):
                if id(entry) not in idle:
                    found = list(_days_in(entry, inner, is_meant, idle))
                    yield from found
                    idle.update(() if found else (id(entry),))
            elif isinstance(entry, date) and is_meant(entry):
                yield inner, entry


def said_in(described: BaseModel, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield every value that somebody typed, with its place; ids, which only tell things apart, are none."""
    ids, said = _ids_of(type(described)), described.model_fields_set
    for name, value in described.__dict__.items():
        if name not in said or name in ids:
            continue
        for inner, entry in _entries(value, f"{path}.{name}" if path else name):
            if isinstance(entry, BaseModel):
                yield from said_in(entry, inner)
            elif entry is not None:
                yield inner, entry


def _entries(value: Any, place: str) -> Iterable[tuple[str, Any]]:
    return (
        [(f"{place}[{i}]", entry) for i, entry in enumerate(value)] if isinstance(value, tuple) else ((place, value),)
    )


@cache
def _holding_texts(owner: type[BaseModel]) -> tuple[tuple[str, bool], ...]:
    """Return the names of the fields in which a free text can stand, and whether it stands there itself."""
    texts = _texts_of(owner)
    found = ((name, name in texts, field) for name, field in owner.model_fields.items())
    return tuple((name, is_text) for name, is_text, field in found if is_text or _models(field.annotation))


@cache
def _texts_of(owner: type[BaseModel]) -> frozenset[str]:
    """Return the names of the fields that take free text: those whose reader is that of `Text`."""
    return _read_by(as_text, owner)


@cache
def _ids_of(owner: type[BaseModel]) -> frozenset[str]:
    """Return the names of the fields that take ids."""
    return _read_by(as_id, owner)


def takes_ids(path: str) -> bool:
    """Return whether ids are typed at a place.

    >>> takes_ids("people[].fit_tests[].mask"), takes_ids("people[].fit_tests[].filters"), takes_ids("tasks[].people")
    (True, False, True)
    """
    field = field_at(path)
    return field is not None and _is_read_by(as_id, (field.kind,))


def _read_by(reader: Any, owner: type[BaseModel]) -> frozenset[str]:
    kinds = {name: (field.annotation, *field.metadata) for name, field in owner.model_fields.items()}
    return frozenset(name for name, parts in kinds.items() if _is_read_by(reader, parts))


def _is_read_by(reader: Any, parts: Iterable[Any]) -> bool:
    """Whether a kind of value is read by a function, here or in its parts."""
    for part in parts:
        if isinstance(part, type):
            continue
        if isinstance(part, PlainValidator):
            if part.func is reader:
                return True
        elif _is_read_by(reader, (*getattr(part, "__metadata__", ()), *_parts(part))):
            return True
    return False


def is_one_value(path: str) -> bool:
    """Return whether a place leads to one value in every description: no unmarked list stands on the way to it.

    >>> is_one_value("masks[].sizes"), is_one_value("masks.sizes"), is_one_value("hazards[].exposure.row")
    (True, False, False)
    """
    owners: tuple[type[BaseModel], ...] = (Program,)
    steps = _STEP.findall(path)
    for count, (name, mark) in enumerate(steps, 1):
        if not owners or any(name not in owner.model_fields for owner in owners):
            return False  # an entry of another form has no such field
        kind = owners[0].model_fields[name].annotation
        if _is_list(kind) and not mark and count < len(steps):
            return False
        owners = _models(kind)
    return True


def _parts(kind: Any) -> tuple[Any, ...]:
    if typing.get_origin(kind) in (tuple, typing.Union, types.UnionType, typing.Annotated):
        return typing.get_args(kind)
    return ()


def _models(kind: Any) -> tuple[type[BaseModel], ...]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return (kind,)
    return tuple(model for part in _parts(kind) for model in _models(part))


def _values(kind: Any) -> tuple[str, ...]:
    if kind is bool:
        return ("yes", "no")
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return tuple(member.value for member in kind)
    if typing.get_origin(kind) is typing.Literal:
        return tuple(str(value) for value in typing.get_args(kind))
    return tuple(value for part in _parts(kind) for value in _values(part))


def _form(kind: Any, values: tuple[str, ...], is_group: bool) -> str:
    """Return the word for what is typed into a field."""
    if is_group:
        return "group"
    if values:
        return "yes-no" if values == ("yes", "no") else "choice"
    return next((form for form, wanted in _FORMS.items() if _holds(kind, wanted)), "text")


def _holds(kind: Any, wanted: type | tuple[type, ...]) -> bool:
    """Whether a value of a kind is, or holds, one of a type."""
    if isinstance(kind, type):
        return issubclass(kind, wanted)
    return any(_holds(part, wanted) for part in _parts(kind))


def _plain(example: Any) -> Any:
    """Return an example of a field as one value: of a list its entries, of a group nothing that reads on one line."""
    if isinstance(example, list | tuple):
        return tuple(_plain(entry) for entry in example)
    return "" if isinstance(example, dict) else example


def _is_list(kind: Any) -> bool:
    if typing.get_origin(kind) is tuple:
        return True
    return any(_is_list(part) for part in _parts(kind))
