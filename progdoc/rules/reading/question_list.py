"""Reads `catalogue/questions.yaml`: what a firm is asked, and which requirement's gaps each answer settles.

A requirement belongs to the question that names its code; else to the one that asks the field of its proof; else to
the one that names the beginning of its code. So a new requirement needs no word here where its field is asked already.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache, cached_property

from progdoc.core.citations import Source
from progdoc.core.data_text import data_text
from progdoc.core.late_dataclass import dataclass
from progdoc.core.resources import catalogue_root
from progdoc.model.yaml.yaml_tree import Node
from progdoc.model.yaml.yaml_values import entries_of, group_of, line_of, read_shipped, texts_of
from progdoc.rules.reading.catalogue import shipped_sources
from progdoc.rules.reading.pack import citation_of
from progdoc.rules.reading.rules_before import read_before
from progdoc.rules.requirement import PATHS, Requirement

__all__ = ["Asking", "QuestionList", "proof_fields", "question_list", "read_questions"]

_STANDARD = "us-29cfr1910.134"
_LISTS = ("cites", "fields", "beside", "settles", "danger", "prompts")
_INDEX = re.compile(r"\[\d+\]")


@dataclass(frozen=True, slots=True)
class Asking:
    """A question as the catalogue words it, for a subject that is still to be named."""

    id: str
    per: str  # program, task, hazard, mask, filter, schedule or person
    section: str
    asks: str  # may hold {names}
    why: str
    cites: tuple[str, ...]
    fields: tuple[str, ...]  # places of the description, lists written "people[]"
    settles: tuple[str, ...]  # codes, and beginnings of codes, of what no field proves
    danger: tuple[str, ...]  # codes and beginnings whose required gaps are dangerous
    prompts: tuple[str, ...] = ()  # what to think of; they ask, and fill in nothing
    beside: tuple[str, ...] = ()  # fields, of this question or another, that its form has while nobody has said them
    begins: bool = False  # asked before anything else while no task is described


class QuestionList:
    """The questions in the order of the program, and what belongs to each."""

    def __init__(self, questions: tuple[Asking, ...]) -> None:
        self.questions = questions

    @cached_property
    def rank(self) -> Mapping[str, int]:
        """The place of each question in the order of the program, by its id."""
        return {asking.id: number for number, asking in enumerate(self.questions)}

    @cached_property
    def begin(self) -> frozenset[str]:
        """The questions with which somebody begins who has described no work yet."""
        return frozenset(asking.id for asking in self.questions if asking.begins)

    @cached_property
    def _by_code(self) -> Mapping[str, Asking]:
        return {code: asking for asking in self.questions for code in asking.settles}

    @cached_property
    def _by_field(self) -> Mapping[str, Asking]:
        return {field: asking for asking in self.questions for field in asking.fields}

    def asking(self, path: str) -> Asking | None:
        """Return the question that asks for a place of the description, or for what it stands in."""
        steps = _INDEX.sub("[]", path).split(".")
        for length in range(len(steps), 0, -1):
            place = ".".join(steps[:length])
            found = self._by_field.get(place) or self._by_field.get(place.removesuffix("[]"))
            if found is not None:
                return found
        return None

    def of(self, requirement: Requirement) -> Asking | None:
        """Return the question that a requirement belongs to; a rule of a local pack may have none."""
        named = self._by_code.get(requirement.code) or self.asking_of_proof(requirement)
        return named or self._by_code.get(f"{requirement.code.partition('-')[0]}-")

    def asking_of_proof(self, requirement: Requirement) -> Asking | None:
        """Return the question that asks the first field of a requirement's proof."""
        asked = (self.asking(place) for place in proof_fields(requirement))
        return next((found for found in asked if found), None)


def proof_fields(requirement: Requirement) -> tuple[str, ...]:
    """Return the places that a requirement's proof looks at itself, and not by a check of records."""
    base = PATHS.get(requirement.per, "")
    paths = (part.path for part in requirement.proof.singles() if part.path)
    return tuple(dict.fromkeys(base + path if path.startswith(".") else path for path in paths))


@cache
def question_list() -> QuestionList:
    """Return the questions that ship with progdoc."""
    before: tuple[Asking, ...] | None = read_before("questions")
    return QuestionList(read_questions() if before is None else before)


def read_questions() -> tuple[Asking, ...]:
    """Return the questions, read from their file."""
    sources = shipped_sources()
    file = catalogue_root() / "questions.yaml"
    return read_shipped(file, lambda top: _questions(top["questions"], sources))


def _questions(node: Node, sources: Mapping[str, Source]) -> tuple[Asking, ...]:
    return tuple(_asking(group_of(entry), sources) for entry in entries_of(node))


def _asking(group: Mapping[str, Node], sources: Mapping[str, Source]) -> Asking:
    lists = {key: texts_of(group[key]) if key in group else () for key in _LISTS}
    return Asking(
        id=line_of(group["id"]),
        per=line_of(group["per"]) if "per" in group else "program",
        section=line_of(group["section"]),
        asks=data_text(line_of(group["asks"])),
        why=data_text(line_of(group["why"])),
        cites=tuple(_citation(text, sources) for text in lists["cites"]),
        fields=lists["fields"],
        settles=lists["settles"],
        danger=lists["danger"],
        prompts=tuple(map(data_text, lists["prompts"])),
        beside=lists["beside"],
        begins="begins" in group,
    )


def _citation(text: str, sources: Mapping[str, Source]) -> str:
    return str(citation_of(text if text.partition(" ")[0] in sources else f"{_STANDARD} {text}", sources))
