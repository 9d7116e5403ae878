"""No code compares a choice of the description with a word in quotes: a slip in it would pass for another choice.

Members of the model's closed lists (`Hair.CLEAN_SHAVEN`) are compared instead, and those mypy knows. Where a function
is given a place and a word, the word is held against the model here.
"""

from __future__ import annotations

import ast
import typing
from collections.abc import Iterator
from enum import StrEnum
from pathlib import Path

import pytest
from pydantic import BaseModel
from source_trees import tree_of

from progdoc.model.description.fields import field_at
from progdoc.model.description.program import Program
from progdoc.rules.requirement import PATHS

PACKAGE = Path(__file__).resolve().parents[2] / "progdoc"


def kinds_in(annotation: object) -> Iterator[type]:
    if isinstance(annotation, type):
        yield annotation
    for part in typing.get_args(annotation):
        yield from kinds_in(part)


def closed_fields(model: type[BaseModel], seen: set[type]) -> Iterator[tuple[str, str]]:
    """Yield the name of every field that holds a closed list, with each of its values."""
    if model not in seen:
        seen.add(model)
        for name, field in model.model_fields.items():
            for kind in kinds_in(field.annotation):
                if issubclass(kind, StrEnum):
                    yield from ((name, member.value) for member in kind)
                elif issubclass(kind, BaseModel):
                    yield from closed_fields(kind, seen)


CHOICES = set(closed_fields(Program, set()))
NAMES = {name for name, _ in CHOICES}
LONG_VALUES = {value for _, value in CHOICES if "-" in value}  # no other thing is spelt so
# Names that other things have too: there, only a word of the model's is taken for a choice.
SHARED = {"kind", "place", "source", "sources", "basis", "form", "because", "result", "limits", "filters", "steps"}


def attribute_of(node: ast.expr) -> str:
    """Return the field that an expression reads: `task.use` and `task.use.value` alike."""
    if isinstance(node, ast.Attribute) and node.attr == "value":
        return attribute_of(node.value)
    return node.attr if isinstance(node, ast.Attribute) else ""


def words_of(node: ast.expr) -> list[str]:
    if isinstance(node, ast.Tuple | ast.List | ast.Set):
        return [word for item in node.elts for word in words_of(item)]
    return [node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []


def compared(tree: ast.AST) -> Iterator[tuple[int, str, str]]:
    """Yield each word in quotes that is compared with an attribute: its line, the attribute, the word."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            is_part_of_text = isinstance(node.ops[0], ast.In | ast.NotIn) and bool(words_of(node.left))
            for attribute in filter(None, map(attribute_of, sides)):
                if not is_part_of_text:
                    yield from ((node.lineno, attribute, word) for side in sides for word in words_of(side))
        elif isinstance(node, ast.Match) and (attribute := attribute_of(node.subject)):
            patterns = [inner for case in node.cases for inner in ast.walk(case.pattern)]
            values = [inner.value for inner in patterns if isinstance(inner, ast.MatchValue)]
            yield from ((value.lineno, attribute, word) for value in values for word in words_of(value))


def choices_in_quotes(tree: ast.AST) -> list[str]:
    return [
        f"line {line}: {attribute} is compared with {word!r}"
        for line, attribute, word in compared(tree)
        if attribute in NAMES
        if attribute not in SHARED or (attribute, word.replace(" ", "-")) in CHOICES or word in LONG_VALUES
    ]


def test_choices_are_compared_by_their_members() -> None:
    found = {file.relative_to(PACKAGE).as_posix(): choices_in_quotes(tree_of(file)) for file in PACKAGE.rglob("*.py")}
    assert len(found) > 300
    assert {name: slips for name, slips in found.items() if slips} == {}


@pytest.mark.parametrize(
    "slip",
    ['task.use == "voluntry"', 'rule.hair.value != "clean shaven"', 'mask.mode in ("powered", "airline")',
     'source.kind == "maker-data"', 'match task.use:\n    case "voluntary": pass'],
)  # fmt: skip
def test_a_word_in_quotes_is_found(slip: str) -> None:
    assert choices_in_quotes(ast.parse(slip))


def test_words_given_with_a_place_are_values_of_the_field_there() -> None:
    """`at_place("procedures.use.hair", equals("clean-shaven"))`: what a fact of the catalogue looks for."""
    held = 0
    files = sorted((PACKAGE / "rules" / "reading").glob("*predicates.py"))
    for node in (node for file in files for node in ast.walk(tree_of(file))):
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "at_place" and isinstance(node.args[1], ast.Call):
            [path] = words_of(node.args[0])
            words = [word for argument in node.args[1].args for word in words_of(argument)]
            fields = [field_at(base + path) for base in PATHS.values()] if path.startswith(".") else [field_at(path)]
            for word in words:
                held += 1
                assert any(field and word in field.values for field in fields), (path, word)
    assert held > 5
