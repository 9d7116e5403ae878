"""The keys of a rule and of a figure, and the type of each: how a text of a pack becomes a day, a condition, a proof.

What the names in it lead to is judged in `rule_faults`; here only the form is.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from progdoc.model.yaml.yaml_tree import Node
from progdoc.model.yaml.yaml_values import (
    ShapeError,
    day_of,
    entries_of,
    group_of,
    line_of,
    text_of,
    texts_of,
    yes_or_no_of,
)
from progdoc.rules.requirement import Condition, Proof

__all__ = ["ENTRY_KEYS", "LIMIT_KEYS", "PRINTED_KEYS", "VALUE_KEYS", "WHO", "condition_of", "proof_of"]

_LISTED = ("includes", "one_of")  # proofs that name several values
_CONDITION = "Write a fact, a list of facts, {all: […]}, {any: […]} or {not: …}."
_PROOF = "Write it as `progdoc/catalogue/README.md` shows, for example {given: procedures.storage.place}."
_BRACES = re.compile(r"\{([a-z][a-z_]*|[a-z0-9]+(-[a-z0-9]+)+)\}|[{}]")  # {subject}, the word of a check; {a-figure}


def condition_of(node: Node) -> Condition:
    """Return a condition: the name of a fact, or facts joined by all, any and not."""
    content = node.content
    if isinstance(content, str):
        return Condition("fact", content)
    if isinstance(content, list):
        return Condition("all", parts=tuple(map(condition_of, content)))
    if isinstance(content, dict) and len(content) == 1:
        ((kind, inner),) = content.items()
        if kind == "not":
            return Condition("not", parts=(condition_of(inner),))
        if kind in ("all", "any"):
            return Condition(kind, parts=tuple(map(condition_of, _some(inner, _CONDITION))))
    raise ShapeError(node, "a condition", _CONDITION)


def proof_of(node: Node) -> Proof:
    """Return a proof: one way to look at the description, or several joined by all and any."""
    content = node.content
    if isinstance(content, list):
        return Proof("all", parts=tuple(map(proof_of, _some(node, _PROOF))))
    if isinstance(content, dict) and len(content) == 1:
        ((kind, inner),) = content.items()
        if kind in ("all", "any"):
            return Proof(kind, parts=tuple(map(proof_of, _some(inner, _PROOF))))
        if kind in ("check", "value"):
            return Proof(kind, value=text_of(inner))
        return Proof(kind, path=text_of(inner))
    if isinstance(content, dict) and content.keys() == {"reason", "rests_on"}:
        return Proof("reason", value=text_of(content["reason"]), grounds=texts_of(content["rests_on"]))
    if isinstance(content, dict) and len(content) == 2 and "path" in content:
        ((kind, wanted),) = ((kind, inner) for kind, inner in content.items() if kind != "path")
        return Proof(kind, text_of(content["path"]), texts_of(wanted) if kind in _LISTED else text_of(wanted))
    raise ShapeError(node, "a proof", _PROOF)


def _some(node: Node, fix: str) -> list[Node]:
    entries = entries_of(node)
    if not entries:
        raise ShapeError(node, "a list with entries", fix)
    return entries


def _template_of(node: Node) -> str:
    """Return a text that may hold {a_word} or {a-figure}, and no other brace: no width, no part of a value."""
    text = line_of(node)
    for found in _BRACES.finditer(text):
        if found[0] in "{}":
            fix = "Write {name} in small letters, and no other brace."
            raise ShapeError(node, "a text with plain placeholders", fix)
    return text


def _example_of(node: Node) -> str:
    return text_of(node).rstrip()


def _adopting_of(node: Node) -> tuple[tuple[str, Any], ...]:
    """Return what adopting states, by place: a text, or a list of them."""
    stated = group_of(node).items()
    return tuple(
        (path, texts_of(value) if isinstance(value.content, list) else text_of(value)) for path, value in stated
    )


# Texts that are printed, and so said in the language of a paper; of rules and of figures.
WHO = "The employer"  # must do what an entry names nobody for
PRINTED_KEYS = ("duty", "what", "why", "fix", "who", "differs", "words")

ENTRY_KEYS: dict[str, Callable[[Node], Any]] = {
    "code": text_of,
    "name": text_of,
    "citation": text_of,
    "also": texts_of,
    "in_force": day_of,
    "until": day_of,
    "per": text_of,
    "applies": condition_of,
    "proof": proof_of,
    "severity": text_of,
    "scope": text_of,
    "audience": text_of,
    "bars": text_of,
    "who": line_of,
    "duty": line_of,
    "what": _template_of,
    "why": line_of,
    "fix": _template_of,
    "example": _example_of,
    "reads": texts_of,
    "figures": texts_of,
    "adopting": _adopting_of,
    "differs": line_of,
}

VALUE_KEYS: dict[str, Callable[[Node], Any]] = {
    "id": text_of,
    "words": line_of,
    "value": text_of,
    "kind": text_of,
    "stricter": text_of,
    "citation": text_of,
    "in_force": day_of,
    "until": day_of,
    "policy": text_of,
    "program": text_of,
    "measured": yes_or_no_of,
    "binds": text_of,
}

LIMIT_KEYS: dict[str, Callable[[Node], Any]] = {
    "agent": line_of,
    "names": texts_of,
    "kind": text_of,
    "value": text_of,
    "industry": text_of,
    "fraction": text_of,
    "form": text_of,
    "skin": yes_or_no_of,
    "citation": text_of,
    "in_force": day_of,
    "until": day_of,
    "note": line_of,
}
