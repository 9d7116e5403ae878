"""What is told of a value that does not fit the model: what stands there, what may, what to type.

Pydantic finds every fault at once. Its words are for programmers, so they are translated here. Values of medical
entries are never repeated.
"""

from __future__ import annotations

import difflib
import types
import typing
from collections.abc import Sequence
from dataclasses import replace
from enum import StrEnum
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import capital, changed, said, said_join, said_series, said_typed, unstopped
from progdoc.model.description.fields import choice_text
from progdoc.model.description.program import Program
from progdoc.model.private_faults import is_of_people
from progdoc.model.yaml.yaml_reader import Description

__all__ = ["MODEL_FAULTS", "model_fault", "shape_faults"]

MODEL_FAULTS: dict[str, tuple[str, str]] = {
    "MODEL-001": (
        "unknown-key",
        "A key that nobody reads would leave what you wrote out of the program, unseen.",
    ),
    "MODEL-002": ("value-missing", "Without it the entry cannot be told apart or used."),
    "MODEL-003": (
        "value-not-understood",
        "A value that can be read in two ways could end up wrong in the program.",
    ),
    "MODEL-004": ("wrong-shape", "Lists, groups of values and single values are written differently."),
    "MODEL-005": ("format-unknown", "The number tells which form the description is written in."),
    "MODEL-006": ("id-used-twice", "Two things with one id cannot be told apart in records and comparisons."),
    "MODEL-007": ("id-unknown", "A name that leads nowhere would leave the thing it means out of the program."),
    "MODEL-008": (
        "not-for-a-medical-entry",
        "Health answers belong to the health professional alone (29 CFR 1910.134(e)(4)(i), (e)(6)(i)). A medical"
        " entry holds a date, a recommendation, limits from a fixed list, the next review, whether a follow-up is"
        " pending and whether the worker has a copy: nothing else, and what was found is not repeated here.",
    ),
}


def model_fault(
    code: str, description: Description, path: str, what: str, fix: str, at_key: bool = False
) -> Diagnostic:
    """Return the finding for a place of a description."""
    name, why = MODEL_FAULTS[code]
    location = description.locate_key(path) if at_key else description.locate(path)
    return Diagnostic(location, code, name, Severity.INVALID, what, why, fix)


def shape_faults(error: ValidationError, description: Description) -> list[Diagnostic]:
    """Return what does not fit the model, in our words."""
    found: dict[tuple[str, str, str], Diagnostic] = {}
    details = error.errors(include_url=False, include_context=True)
    for detail in details:
        if _only_follows(detail, details):
            continue
        place = _Place.of(detail["loc"], description.values)
        if place.is_other_branch(detail):
            continue
        if place.path == "format" and detail["type"] == "missing":
            continue
        diagnostic = _one(detail, place, description)
        found.setdefault((diagnostic.code, place.path, diagnostic.what), diagnostic)
    return list(found.values())


def _only_follows(detail: ErrorDetails, details: list[ErrorDetails]) -> bool:
    """Whether a list counts as too short only because its entries have faults of their own."""
    loc = detail["loc"]
    return detail["type"] == "too_short" and any(
        len(other["loc"]) > len(loc) and other["loc"][: len(loc)] == loc for other in details
    )


_SHAPES = ((said("a group of values"), dict), (said("a list"), list), (said("a single value"), str))


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a fault is: dotted path, what stands there, and the model it should be part of."""

    path: str
    value: Any
    owner: type[BaseModel] | None
    key: str

    @classmethod
    def of(cls, loc: tuple[int | str, ...], values: Any) -> _Place:
        path, value, key = "", values, ""
        owner: type[BaseModel] | None = Program
        candidates: tuple[type[BaseModel], ...] = (Program,)
        for part in loc:
            if isinstance(part, int) and isinstance(value, str):  # a single text that stands for a list of one
                continue
            if isinstance(part, int):
                path += f"[{part}]"
                value = value[part] if isinstance(value, list) and part < len(value) else None
                continue
            holders = [c for c in candidates if part in c.model_fields]
            in_data = isinstance(value, dict) and part in value
            if not holders and not in_data:  # the tag of a union, not a key
                named = [c for c in candidates if part == c.__name__ or part == _kind_of(c)]
                candidates = tuple(named) or candidates
                continue
            owner = holders[0] if holders else (candidates[0] if candidates else None)
            key = part
            path = f"{path}.{part}" if path else part
            value = value.get(part) if isinstance(value, dict) else None
            candidates = _models(holders[0].model_fields[part].annotation) if holders else ()
        return cls(path, value, owner, key)

    @property
    def is_medical(self) -> bool:
        return self.path.startswith("people[") and ".medical[" in self.path

    def is_other_branch(self, detail: ErrorDetails) -> bool:
        """Whether the fault belongs to the alternative that the user did not mean."""
        return detail["type"] == "literal_error" and isinstance(self.value, dict)


def _models(annotation: Any) -> tuple[type[BaseModel], ...]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return (annotation,)
    if typing.get_origin(annotation) in (tuple, typing.Union, types.UnionType, typing.Annotated):
        return tuple(model for part in typing.get_args(annotation) for model in _models(part))
    return ()


def _kind_of(model: type[BaseModel]) -> str:
    field = model.model_fields.get("kind")
    args = typing.get_args(field.annotation) if field else ()
    return str(args[0]) if args else ""


def _one(detail: ErrorDetails, place: _Place, description: Description) -> Diagnostic:
    kind = detail["type"]
    if place.is_medical and kind not in ("missing",):
        allowed = ", ".join(f"`{key}`" for key in _keys(place.owner))
        entry = place.path[: place.path.index("]", place.path.index(".medical")) + 1]
        words = said_series([_to_type(f"`{one}`", one) for one in _allowed(detail)], "or")
        listed = said(" A value of a list is one of: %(words)s.", words=words) if kind == "enum" else ""
        return model_fault(
            "MODEL-008", description, entry, said("Something stands in a medical entry that does not belong there."),
            said(
                "Take it out. What may stand there: %(allowed)s.%(listed)s Ask the professional to keep the rest.",
                allowed=allowed, listed=listed,
            ),
        )  # fmt: skip
    if kind == "extra_forbidden":
        return _unknown_key(place, description)
    if kind == "missing":
        parent = place.path.rpartition(".")[0]
        title = _example(place)
        return model_fault(
            "MODEL-002",
            description,
            parent,
            said("%(key)s is missing here.", key=f"`{place.key}`"),
            said("Write %(line)s.", line=f"`{place.key}: {title}`"),
        )
    if kind in ("enum", "literal_error", "union_tag_invalid", "union_tag_not_found"):
        return _not_in_list(detail, place, description)
    if kind in ("model_type", "model_attributes_type", "dict_type", "tuple_type", "list_type"):
        return _wrong_shape(kind, place, description)
    text = detail["ctx"]["error"].args[0] if kind == "value_error" else detail["msg"]
    if kind == "too_short":
        text = said("The list is empty: at least one entry is needed.")
    what = said("%(what)s.", what=unstopped(changed(text, _what_of)))
    example = said("Write for example %(example)s.", example=f"`{_example(place)}`")
    fix = changed(text, _fix_of) if _fix_of(text) else example
    return model_fault("MODEL-003", description, place.path, what, fix)


def _what_of(text: str) -> str:
    """Return the first sentence, which tells what is wrong."""
    return text[: _end_of_first(text)]


def _fix_of(text: str) -> str:
    """Return what follows the first sentence: what to type."""
    return text[_end_of_first(text) :].lstrip(". ")


def _end_of_first(text: str) -> int:
    """Return where the first sentence ends; a value that it quotes may have stops of its own."""
    at = text.find(". ")
    while at >= 0 and text.count("`", 0, at) % 2:
        at = text.find(". ", at + 1)
    return at if at >= 0 else len(text)


def _keys(owner: type[BaseModel] | None) -> list[str]:
    return list(owner.model_fields) if owner else []


def _unknown_key(place: _Place, description: Description) -> Diagnostic:
    known = _keys(place.owner)
    near = difflib.get_close_matches(place.key.lower().replace("-", "_").replace(" ", "_"), known, 1, 0.6)
    hint = said(": did you mean %(near)s?", near=f"`{near[0]}`") if near else "."
    allowed = ", ".join(f"`{key}`" for key in known)
    if near:
        fix = said("Write %(near)s instead.", near=f"`{near[0]}:`")
    elif place.value is None:
        fix = said(
            "If it belongs to the text before it, put the whole of that text between double quotes: inside { } a comma"
            " ends a text. Else take it out, or use one of: %(allowed)s.",
            allowed=allowed,
        )
    else:
        fix = said("Take it out, or use one of: %(allowed)s.", allowed=allowed)
    if is_of_people(place.path):  # such a key may tell of somebody's health
        found = model_fault(
            "MODEL-001",
            description,
            place.path,
            said("This key is not known here%(hint)s", hint=hint),
            fix,
            at_key=True,
        )
        return replace(found, location=replace(found.location, path=place.path.rpartition(".")[0]))
    return model_fault(
        "MODEL-001",
        description,
        place.path,
        said("%(key)s is not a key that is known here%(hint)s", key=f"`{place.key}`", hint=hint),
        fix,
        at_key=True,
    )


def _not_in_list(detail: ErrorDetails, place: _Place, description: Description) -> Diagnostic:
    allowed = _allowed(detail)
    if detail["type"] == "union_tag_not_found":
        return model_fault(
            "MODEL-002", description, place.path, said("%(key)s is missing here.", key="`kind`"),
            said("Write `kind:` with one of: %(listed)s.", listed=_in_a_row(_tags(place))),
        )  # fmt: skip
    value = place.value.get("kind") if isinstance(place.value, dict) else place.value
    path = f"{place.path}.kind" if isinstance(place.value, dict) else place.path
    if not isinstance(value, str):
        return _wrong_shape("text", place, description)
    near = difflib.get_close_matches(value.lower().replace(" ", "-").replace("_", "-"), allowed, 1, 0.5)
    hint = said(" Did you mean `%(near)s`?", near=_to_type(near[0], near[0])) if near else ""
    return model_fault(
        "MODEL-003", description, path,
        said("“%(value)s” is not one of the values known here.%(hint)s", value=_short(value), hint=hint),
        said("Write one of: %(listed)s.", listed=_in_a_row(allowed)),
    )  # fmt: skip


def _allowed(detail: ErrorDetails) -> list[str]:
    """Return the values that pydantic names: "'a', 'b' or 'c'"."""
    context = detail.get("ctx", {})
    listed = str(context.get("expected", context.get("expected_tags", ""))).replace(" or ", ", ")
    return [part.strip().strip("'") for part in listed.split(",") if part.strip()]


def _in_a_row(choices: Sequence[str]) -> str:
    return said_join([_to_type(one, one) for one in choices], ", ")


def _to_type(typed: str, choice: str) -> str:
    return said_typed(typed, choice_text(choice))


def _tags(place: _Place) -> list[str]:
    if place.owner is None:
        return []
    return [_kind_of(model) for model in _models(place.owner.model_fields[place.key].annotation)]


def _wrong_shape(kind: str, place: _Place, description: Description) -> Diagnostic:
    stands = next((words for words, shape in _SHAPES if isinstance(place.value, shape)), said("nothing"))
    if kind in ("tuple_type", "list_type"):
        example = _example(place)
        fix = said(
            "Write it as a list, each entry on its own line after a dash, or in brackets: %(line)s.",
            line=f"`{place.key}: {example}`",
        )
        wanted = said("a list")
    elif kind == "text":
        fix, wanted = said("Write %(line)s.", line=f"`{place.key}: {_example(place)}`"), said("a single value")
    else:
        models = _models(place.owner.model_fields[place.key].annotation) if place.owner and place.key else ()
        keys = ", ".join(f"`{key}:`" for key in _keys(models[0] if models else place.owner))
        fix = said(
            "Write its parts on lines of their own, indented under %(key)s. They are: %(keys)s.",
            key=f"`{place.key}:`",
            keys=keys,
        )
        wanted = said("a group of values")
    what = said("%(stands)s stands here, where %(wanted)s is needed.", stands=capital(stands), wanted=wanted)
    return model_fault("MODEL-004", description, place.path, what, fix)


def _example(place: _Place) -> str:
    field = place.owner.model_fields.get(place.key) if place.owner else None
    if field is None or not field.examples:
        return "…"
    return _as_yaml(field.examples[0])


def _as_yaml(example: Any) -> str:
    """Return an example as it would be typed on one line."""
    if isinstance(example, list | tuple):
        return f"[{', '.join(map(_as_yaml, example))}]"
    if isinstance(example, dict):
        return f"{{{', '.join(f'{key}: {_as_yaml(value)}' for key, value in example.items())}}}"
    if isinstance(example, bool):
        return "yes" if example else "no"
    return str(example.value if isinstance(example, StrEnum) else example)


def _short(text: str) -> str:
    flat = " ".join(text.split())
    return flat if len(flat) <= 60 else flat[:57] + "…"
