"""What kind of edit each one is, and the paragraph that asks for what was edited.

A text is to be read where it is gone, where the law asks for it, or where it tells people what to do: nobody judges
here what it says. So is a fact that is taken out, whatever it was: it may be what bounds a danger, or shows that it is
bounded. Words that differ in nothing but their spacing, and what the document says of itself, are words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from enum import StrEnum
from functools import cache
from typing import Any, get_args, get_origin

from progdoc.comparison.changes import Change, Kind, Nature
from progdoc.comparison.description_changes import said
from progdoc.comparison.told_changes import WHOLE_THINGS
from progdoc.model.description.base import Described
from progdoc.model.description.program import Program
from progdoc.rules.requirement import Requirement

__all__ = ["with_law"]

_OF_THE_DOCUMENT = re.compile(
    r"program\.(control|history|revision|effective|title|paper|citations|look)\b|attachments\b"
)
_NAMES = ("name", "title", "description")
_TELLS_PEOPLE = re.compile(
    r"own_sections\b|definitions\b|procedures\.emergencies\b|tasks\[\]\.controls|accepted\b|procedures\.voluntary_use"
)
_LOSES_NOTHING = re.compile(  # taken out: told as things that went, or what asks for nothing and shows nothing
    r"(tasks|hazards|masks|filters|people|policies|accepted|renewal)\[\]|renewal\[\]\..*|tasks\[\]\.people"
)
_SAID = re.compile(r"(?:^|; )([a-z0-9 ]+): ")  # the fields in the words of an entry
_NO_LETTERS = re.compile(r"[^\w<>≤≥%°]+")


def with_law(edits: Iterable[Change], requirements: Iterable[Requirement]) -> Iterator[Change]:
    """Yield the edits with their nature and with the paragraph that reads what was edited, if any does."""
    reads = _citations(requirements)
    edits = tuple(edits)
    gone = {edit.place.rpartition(".")[2] for edit in edits if edit.kind is Kind.REMOVED and edit.field in WHOLE_THINGS}
    come = [edit for edit in edits if edit.kind is Kind.ADDED]
    for edit in edits:
        paragraph = next((reads[place] for place in _outwards(edit.field) if place in reads), "")
        nature = _nature(edit, bool(paragraph))
        if nature is Nature.LOST and edit.kind is Kind.REMOVED and (edit.old in gone or _is_replaced(edit, come)):
            nature = Nature.FACT
        yield replace(edit, nature=nature, citation=edit.citation or paragraph)


def _citations(requirements: Iterable[Requirement]) -> dict[str, str]:
    """Return by place of the model the first paragraph that reads it: what only reads it in passing comes last."""
    found: dict[str, tuple[int, str]] = {}
    for requirement in requirements:
        rank = len(requirement.reads)
        for place in requirement.reads:
            if place not in found or rank < found[place][0]:
                found[place] = rank, str(requirement.citation)
    return {place: citation for place, (_, citation) in found.items()}


def _outwards(field: str) -> Iterator[str]:
    """Yield a place of the model and those that it stands in, down to a field of a thing."""
    place = field
    while place.count(".") >= 1:
        yield place
        yield place.removesuffix("[]")
        place = place.rpartition(".")[0]
    yield place


def _nature(edit: Change, is_asked_for: bool) -> Nature:
    if edit.field.startswith("attachments[]") and edit.is_taken_out:
        return Nature.LOST
    if _OF_THE_DOCUMENT.match(edit.field) or edit.kind is Kind.MOVED:
        return Nature.WORDS
    if edit.nature is Nature.FACT:
        is_told = edit.kind is Kind.ADDED and edit.field.startswith(
            ("own_sections", "definitions", "accepted", "procedures.emergencies")
        )
        if not is_told and _is_lost(edit):
            return Nature.LOST
        return Nature.TEXT if is_told else Nature.FACT
    if edit.what in _NAMES or _bare(edit.old) == _bare(edit.new):
        return Nature.WORDS
    return Nature.TEXT if is_asked_for or edit.is_taken_out or _TELLS_PEOPLE.match(edit.field) else Nature.WORDS


def _is_lost(edit: Change) -> bool:
    """Whether an edit of fact takes something out; what is said where nothing is said counts as nothing."""
    if _LOSES_NOTHING.fullmatch(edit.field):
        return False
    return edit.is_taken_out or (bool(edit.old) and edit.new == _unsaid().get(edit.field))


def _is_replaced(edit: Change, come: list[Change]) -> bool:
    """Whether another entry came in its place that says as much; each stands for one only, and is used up."""
    said_of_it = set(_SAID.findall(edit.old))
    here = edit.field, edit.place.partition(".[")[0]
    for other in come:
        if (other.field, other.place.partition(".[")[0]) == here and said_of_it <= set(_SAID.findall(other.new)):
            come.remove(other)
            return edit.field != "tasks[].never_same_day"
    return False


@cache
def _unsaid() -> dict[str, str]:
    """Return by place of the model what holds where it is left out, of those where something does."""
    return dict(_defaults(Program, ""))


def _defaults(kind: Any, place: str) -> Iterator[tuple[str, str]]:
    if not (isinstance(kind, type) and issubclass(kind, Described)):
        for inner in get_args(kind):
            yield from _defaults(inner, f"{place}[]" if get_origin(kind) is tuple else place)
        return
    for name, field in kind.model_fields.items():
        inner = f"{place}.{name}" if place else name
        if isinstance(field.default, bool | StrEnum):
            yield inner, said(field.default)
        yield from _defaults(field.annotation, inner)


def _bare(text: str) -> str:
    return _NO_LETTERS.sub(" ", text.casefold()).strip()
