"""A description's plain values to the model; whatever does not fit becomes a finding with its place.

Pydantic finds every fault at once. Its words are for programmers, so they are translated here: what stands
there, what may stand there, the nearest spelling, what to type. Values of medical entries are never repeated.
"""

from __future__ import annotations

import difflib
import types
import typing
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, replace
from enum import StrEnum
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.unread import Unread
from progdoc.model.description.ids import reference_faults
from progdoc.model.description.program import Program
from progdoc.model.health_words import places_of_health_answers
from progdoc.model.migrate import FORMAT, migrated
from progdoc.model.people_table.former_people import with_former_people
from progdoc.model.people_table.people_tables import tables_named_in, with_people_of_tables
from progdoc.model.private_faults import guarded, is_of_people
from progdoc.model.yaml.yaml_reader import Description, is_description, read_description

__all__ = ["FORMAT", "MODEL_FAULTS", "Beside", "Loaded", "load", "named_beside", "parsed", "understood"]

_MOST_OF_A_TABLE = 50

MODEL_FAULTS: dict[str, tuple[str, str]] = {
    "MODEL-001": ("unknown-key", "A key that nobody reads would leave what you wrote out of the program, unseen."),
    "MODEL-002": ("value-missing", "Without it the entry cannot be told apart or used."),
    "MODEL-003": ("value-not-understood", "A value that can be read in two ways could end up wrong in the program."),
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


@dataclass(frozen=True, slots=True)
class Loaded:
    """A description as read. `program` is None while it can't be understood."""

    program: Program | None
    description: Description
    diagnostics: tuple[Diagnostic, ...]
    files: Mapping[str, bytes | Unread] = field(default_factory=dict, repr=False)  # all that it was read from

    def locate(self, path: str) -> Location:
        return self.description.locate(path)

    def content(self, name: str) -> bytes | None:
        """Return what a file held when it was read; None where it could not be had."""
        found = self.files.get(name)
        return None if isinstance(found, Unread) else found


@dataclass(frozen=True, slots=True)
class Beside:
    """Names that a description asks for: the tables of its people, attachments, the folder of its look."""

    tables: tuple[str, ...]
    attachments: tuple[str, ...]
    look: str


def load(files: Mapping[str, bytes], name: str = "description") -> Loaded:
    """Read and validate a description held in memory.

    Parameters
    ----------
    files
        The files of its folder by name: YAML, the table of people, attachments ("texts/appendix-d.pdf"), those of
        the firm's own look ("look/look.yaml").
    name
        What findings call the folder.
    """
    described = {file: content for file, content in files.items() if is_description(file)}
    return understood(parsed(name, described), files)


def parsed(name: str, files: Mapping[str, bytes | Unread], faults: Sequence[Diagnostic] = ()) -> Description:
    """Read the YAML files of a description, in today's format; not yet the files that they name."""
    return migrated(read_description(name, files, faults))


def named_beside(description: Description) -> Beside:
    """Return the names of the files that belong to a description beside its YAML."""
    listed = description.values.get("attachments")
    entries = listed if isinstance(listed, list) else []
    files = [entry.get("file") for entry in entries if isinstance(entry, dict)]
    attachments = tuple(file.strip() for file in files if isinstance(file, str))
    program = description.values.get("program")
    look = program.get("look") if isinstance(program, dict) else None
    return Beside(tables_named_in(description), attachments, look.strip() if isinstance(look, str) else "")


def understood(description: Description, files: Mapping[str, bytes | Unread]) -> Loaded:
    """Validate a description that was parsed, with all its files at hand."""
    was_told = "people" in description.values
    description = with_people_of_tables(description, files)
    description, without_day = with_former_people(description, was_told)
    found = list(description.diagnostics)
    found += [
        _fault(
            "MODEL-002", description, path, "Of one of the former people it is not said when they left.",
            "Write `left: 2026-10-30` with the day; or move the entry back under `people`.",
        )
        for path in without_day
    ]  # fmt: skip
    found += _format_faults(description)
    program = None
    try:
        program = Program.model_validate(description.values)
    except ValidationError as error:
        if description.is_complete or description.values:
            found += _few_of_each_table(_translated(error, description), description)
    if program is not None:
        people_are_known = description.is_complete or "people" in description.values
        found += [
            _fault("MODEL-006" if twice else "MODEL-007", description, path, what, fix)
            for twice, path, what, fix in reference_faults(program)
            if people_are_known or ".people[" not in path
        ]
        found += [
            _fault(
                "MODEL-008", description, path, "What stands here seems to tell of somebody's health.",
                "Take it out. The health professional alone keeps such answers; of a job, write what the person does.",
            )
            for path in places_of_health_answers(program)
        ]  # fmt: skip
    is_understood = all(fault.severity is not Severity.INVALID for fault in found)
    return Loaded(program if is_understood else None, description, tuple(map(guarded, found)), files)


def _few_of_each_table(found: list[Diagnostic], description: Description) -> list[Diagnostic]:
    """A column filled in the wrong way makes a fault in every row: show some of a table's, and how many there are."""
    tables = [file for file in description.files if not file.endswith((".yaml", ".yml"))]
    kept = list(found)
    for file in tables:
        of_table = [fault for fault in found if fault.location.file.partition("#")[0] == file]
        if len(of_table) > _MOST_OF_A_TABLE:
            left_out = len(of_table) - _MOST_OF_A_TABLE
            dropped = set(map(id, of_table[_MOST_OF_A_TABLE:]))
            kept = [fault for fault in kept if id(fault) not in dropped]
            what = f"{left_out} more values of {file} are not understood; they are not listed."
            kept.append(
                _fault("MODEL-003", description, "people", what, "Mend those that are listed, and check again.")
            )
    return kept


def _fault(code: str, description: Description, path: str, what: str, fix: str, at_key: bool = False) -> Diagnostic:
    name, why = MODEL_FAULTS[code]
    location = description.locate_key(path) if at_key else description.locate(path)
    return Diagnostic(location, code, name, Severity.INVALID, what, why, fix)


def _format_faults(description: Description) -> Iterator[Diagnostic]:
    written = description.values.get("format")
    if not description.is_complete and written is None:
        return
    if written is None:
        yield _fault(
            "MODEL-005", description, "", "The description does not say which format it has.",
            f"Write `format: {FORMAT}` as the first line of one file.",
        )  # fmt: skip
    elif written != str(FORMAT):
        yield _fault(
            "MODEL-005", description, "format", f"`format: {written}` is not known to this version of progdoc.",
            f"Write `format: {FORMAT}`.",
        )  # fmt: skip


# ---- pydantic's words to ours ---------------------------------------------------------------------------


def _translated(error: ValidationError, description: Description) -> list[Diagnostic]:
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
        words = str(detail.get("ctx", {}).get("expected", "")).replace("'", "`")
        listed = f" A value of a list is one of: {words}." if kind == "enum" else ""
        return _fault(
            "MODEL-008", description, entry, "Something stands in a medical entry that does not belong there.",
            f"Take it out. What may stand there: {allowed}.{listed} Ask the professional to keep the rest.",
        )  # fmt: skip
    if kind == "extra_forbidden":
        return _unknown_key(place, description)
    if kind == "missing":
        parent = place.path.rpartition(".")[0]
        title = _example(place)
        return _fault(
            "MODEL-002", description, parent, f"`{place.key}` is missing here.", f"Write `{place.key}: {title}`."
        )
    if kind in ("enum", "literal_error", "union_tag_invalid", "union_tag_not_found"):
        return _not_in_list(detail, place, description)
    if kind in ("model_type", "model_attributes_type", "dict_type", "tuple_type", "list_type"):
        return _wrong_shape(kind, place, description)
    text = str(detail["ctx"]["error"]) if kind == "value_error" else detail["msg"]
    if kind == "too_short":
        text = "The list is empty: at least one entry is needed."
    what, _, fix = text.partition(". ")
    return _fault(
        "MODEL-003", description, place.path, f"{what.rstrip('.')}.", fix or f"Write for example `{_example(place)}`."
    )


def _keys(owner: type[BaseModel] | None) -> list[str]:
    return list(owner.model_fields) if owner else []


def _unknown_key(place: _Place, description: Description) -> Diagnostic:
    known = _keys(place.owner)
    near = difflib.get_close_matches(place.key.lower().replace("-", "_").replace(" ", "_"), known, 1, 0.6)
    hint = f": did you mean `{near[0]}`?" if near else "."
    allowed = ", ".join(f"`{key}`" for key in known)
    fix = f"Write `{near[0]}:` instead." if near else f"Take it out, or use one of: {allowed}."
    if is_of_people(place.path):  # such a key may tell of somebody's health
        found = _fault("MODEL-001", description, place.path, f"This key is not known here{hint}", fix, at_key=True)
        return replace(found, location=replace(found.location, path=place.path.rpartition(".")[0]))
    return _fault(
        "MODEL-001", description, place.path, f"`{place.key}` is not a key that is known here{hint}", fix, at_key=True
    )


def _not_in_list(detail: ErrorDetails, place: _Place, description: Description) -> Diagnostic:
    context = detail.get("ctx", {})
    allowed = [
        part.strip().strip("'")
        for part in str(context.get("expected", context.get("expected_tags", ""))).replace(" or ", ", ").split(",")
        if part.strip()
    ]
    if detail["type"] == "union_tag_not_found":
        return _fault(
            "MODEL-002", description, place.path, "`kind` is missing here.",
            f"Write `kind:` with one of: {', '.join(_tags(place))}.",
        )  # fmt: skip
    value = place.value.get("kind") if isinstance(place.value, dict) else place.value
    path = f"{place.path}.kind" if isinstance(place.value, dict) else place.path
    if not isinstance(value, str):
        return _wrong_shape("text", place, description)
    near = difflib.get_close_matches(value.lower().replace(" ", "-").replace("_", "-"), allowed, 1, 0.5)
    hint = f" Did you mean `{near[0]}`?" if near else ""
    return _fault(
        "MODEL-003", description, path, f"“{_short(value)}” is not one of the values known here.{hint}",
        f"Write one of: {', '.join(allowed)}.",
    )  # fmt: skip


def _tags(place: _Place) -> list[str]:
    if place.owner is None:
        return []
    return [_kind_of(model) for model in _models(place.owner.model_fields[place.key].annotation)]


def _wrong_shape(kind: str, place: _Place, description: Description) -> Diagnostic:
    shapes = (("a group of values", dict), ("a list", list), ("a single value", str))
    stands = next((words for words, shape in shapes if isinstance(place.value, shape)), "nothing")
    if kind in ("tuple_type", "list_type"):
        example = _example(place)
        fix = f"Write it as a list, each entry on its own line after a dash, or in brackets: `{place.key}: {example}`."
        wanted = "a list"
    elif kind == "text":
        fix, wanted = f"Write `{place.key}: {_example(place)}`.", "a single value"
    else:
        models = _models(place.owner.model_fields[place.key].annotation) if place.owner and place.key else ()
        keys = ", ".join(f"`{key}:`" for key in _keys(models[0] if models else place.owner))
        fix = f"Write its parts on lines of their own, indented under `{place.key}:`. They are: {keys}."
        wanted = "a group of values"
    return _fault(
        "MODEL-004", description, place.path, f"{stands.capitalize()} stands here, where {wanted} is needed.", fix
    )


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
