"""What kind of edit each one is, and the paragraph that asks for what was edited.

A text is to be read where the law asks for it, or where it tells people what to do: nobody judges here what it says.
Words that differ in nothing but their spacing, and what the document says of itself, are words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from progdoc.comparison.changes import Change, Kind, Nature
from progdoc.rules.requirement import Requirement

__all__ = ["with_law"]

_OF_THE_DOCUMENT = re.compile(r"program\.(history|revision|effective|title|paper|citations|look)\b|attachments\b")
_NAMES = ("name", "title", "description")
_TELLS_PEOPLE = re.compile(
    r"own_sections\b|procedures\.emergencies\b|tasks\[\]\.controls|accepted\b|procedures\.voluntary_use"
)
_NO_LETTERS = re.compile(r"[^\w<>≤≥%°]+")


def with_law(edits: Iterable[Change], requirements: Iterable[Requirement]) -> Iterator[Change]:
    """Yield the edits with their nature and with the paragraph that reads what was edited, if any does."""
    reads = _citations(requirements)
    for edit in edits:
        paragraph = next((reads[place] for place in _outwards(edit.field) if place in reads), "")
        yield replace(edit, nature=_nature(edit, bool(paragraph)), citation=edit.citation or paragraph)


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
    if _OF_THE_DOCUMENT.match(edit.field) or edit.kind is Kind.MOVED:
        return Nature.WORDS
    if edit.nature is Nature.FACT:
        is_told = edit.kind is Kind.ADDED and edit.field.startswith(
            ("own_sections", "accepted", "procedures.emergencies")
        )
        return Nature.TEXT if is_told else Nature.FACT
    if edit.what in _NAMES or _bare(edit.old) == _bare(edit.new):
        return Nature.WORDS
    return Nature.TEXT if is_asked_for or _TELLS_PEOPLE.match(edit.field) else Nature.WORDS


def _bare(text: str) -> str:
    return _NO_LETTERS.sub(" ", text.casefold()).strip()
