"""Every fixed sentence of the program's templates has a ground, and none asserts a practice that nobody stated.

A sentence is affirmed by a requirement that it is printed for, is a lead-in to the firm's own words, or is marked as
law, definition, working, word about the document, or warning. What is read here is the templates themselves: their
syntax trees, with everything that is filled in as a blank.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from jinja2 import Environment, nodes
from published.law_tables import table

from progdoc.core.resources import templates_root
from progdoc.document.templating.section_renderer import GROUNDS
from progdoc.model.description.fields import field_at
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import PATHS, Proof, Requirement

ROOT = Path(str(templates_root())) / "program"
FILES = sorted(
    path.relative_to(ROOT).as_posix() for folder in ("sections", "pages") for path in (ROOT / folder).iterdir()
)
REQUIREMENTS = {requirement.code: requirement for requirement in built_in_catalogue().requirements}
BLANK = "□"
PRINTS_IF_MET = ("say", "item", "fact", "answer", "met")
WORD = re.compile(r"[A-Za-z]{2,}")


@dataclass(frozen=True)
class Ground:
    """What the text of a scope rests on: the codes it is printed for, or one of the marked kinds."""

    codes: tuple[str, ...] = ()
    kind: str = ""
    paragraph: str = ""


@dataclass
class Piece:
    """Text of one scope, in the order in which it is printed."""

    ground: Ground
    text: str = ""
    words: list[str] = field(default_factory=list)  # sentences that stand in a choice: {"a": "Sentence."}[…]


def pieces(name: str) -> list[Piece]:
    environment = Environment(trim_blocks=True, lstrip_blocks=True, comment_start_string="<#", comment_end_string="#>")
    found = [Piece(Ground())]

    def begin(ground: Ground) -> None:
        if found[-1].ground is not ground:
            found.append(Piece(ground))

    def walk(node: nodes.Node, ground: Ground) -> None:
        if isinstance(node, nodes.CallBlock):
            inner = _of_call(node.call, ground)
            for part in node.body:
                walk(part, inner)
            begin(ground)
        elif isinstance(node, nodes.If):
            inner = _of_test(node.test) or ground
            for part in node.body:
                walk(part, inner)
            for other in node.elif_:
                walk(other, ground)
            for part in node.else_:
                walk(part, ground)
        elif isinstance(node, nodes.For):
            for part in node.body:
                walk(part, ground)
        elif isinstance(node, nodes.Include):
            assert isinstance(node.template, nodes.Const), "a template names what it includes"
            for part in _tree(environment, node.template.value).body:
                walk(part, ground)
        elif isinstance(node, nodes.Output):
            begin(ground)
            for part in node.nodes:
                if isinstance(part, nodes.TemplateData):
                    found[-1].text += part.data
                elif said := _said(part):
                    found[-1].text += said
                else:
                    found[-1].text += BLANK
                    found[-1].words += [c.value for d in part.find_all(nodes.Dict) for c in _values(d)]
        elif isinstance(node, nodes.Template):
            for part in node.body:
                walk(part, ground)

    walk(_tree(environment, name), Ground())
    return found


def _said(part: nodes.Node) -> str:
    """Return the sentence in a call of `_`, which says it in the language of the page, with its blanks."""
    if not (isinstance(part, nodes.Call) and _named(part)[0] == "_" and isinstance(part.args[0], nodes.Const)):
        return ""
    return re.sub(r"%\(\w+\)s", BLANK, part.args[0].value)


def _tree(environment: Environment, name: str) -> nodes.Template:
    return environment.parse((ROOT / name).read_text(encoding="utf-8"))


def _values(choices: nodes.Dict) -> Iterator[Any]:
    for pair in choices.items:
        if isinstance(pair.value, nodes.Const) and str(pair.value.value)[:1].isupper():
            yield pair.value


def _named(call: nodes.Call) -> tuple[str, tuple[str, ...]]:
    arguments = tuple(a.value for a in call.args if isinstance(a, nodes.Const))
    return (call.node.name if isinstance(call.node, nodes.Name) else ""), arguments


def _of_call(call: nodes.Call, outer: Ground) -> Ground:
    name, arguments = _named(call)
    if name in PRINTS_IF_MET:
        return Ground(codes=arguments)
    if name in GROUNDS:
        return Ground(outer.codes if name == "quote" else (), name, "".join(arguments))
    return outer


def _of_test(test: nodes.Node) -> Ground | None:
    """`if met("X")`, also where more is asked beside it."""
    if isinstance(test, nodes.Call) and _named(test)[0] == "met":
        return Ground(codes=_named(test)[1])
    if isinstance(test, nodes.And):
        return _of_test(test.left) or _of_test(test.right)
    return None


def sentences(name: str) -> Iterator[tuple[Ground, str]]:
    for piece in pieces(name):
        for line in piece.text.splitlines():
            if line.startswith("#"):
                continue
            plain = re.sub(r"^\s*(?:[-*]|\d+\.)\s+|\*\*The \w+\.\*\*|\*|^!!! \w+", "", line)  # no signs, no labels
            for sentence in re.split(r"(?<=[.!?])\s+", plain):
                if WORD.search(sentence):
                    yield piece.ground, sentence.strip()
        for sentence in piece.words:
            yield piece.ground, sentence


def leaves(proof: Proof) -> Iterator[Proof]:
    if proof.parts:
        for part in proof.parts:
            yield from leaves(part)
    else:
        yield proof


def affirms(requirement: Requirement) -> bool:
    """Whether more than a text shows it: a yes, a choice of few, a figure, a date, a reference, records."""
    for proof in leaves(requirement.proof):
        if proof.kind not in ("given", "may_say"):
            return True
        path = PATHS[requirement.per] + proof.path if proof.path.startswith(".") else proof.path
        known = field_at(path)
        if proof.kind == "given" and known is not None and (known.values or not is_text(known.kind)):
            return True
    return False


def is_text(kind: Any) -> bool:
    return "as_text" in repr(kind)


def is_lead_in(sentence: str) -> bool:
    """The firm's words stand behind a colon; what is before it names what they are."""
    return bool(re.search(rf":[\s;,]*(?:{BLANK}|$)", sentence)) or not WORD.search(sentence.replace(BLANK, ""))


ALL = [(name, ground, sentence) for name in FILES for ground, sentence in sentences(name)]


def test_there_is_something_to_look_at() -> None:
    assert len(ALL) > 250


def test_every_fixed_sentence_has_a_ground() -> None:
    assert [(name, s) for name, ground, s in ALL if not ground.codes and not ground.kind] == []


def test_a_sentence_beside_a_text_alone_is_a_lead_in() -> None:
    """A text shows what it says and no more: who, where, how; it affirms no sentence of ours."""
    loose = []
    for name, ground, sentence in ALL:
        by_text_alone = ground.codes and not any(affirms(REQUIREMENTS[code]) for code in ground.codes)
        if (by_text_alone or ground.kind == "quote") and not is_lead_in(sentence):
            loose.append((name, ground.codes, sentence))
    assert loose == []


def test_what_is_said_of_the_law_names_it() -> None:
    pieces_of_law = [(name, p) for name in FILES for p in pieces(name) if p.ground.kind == "by_law"]
    named = re.compile(r"\b(law|standard|Appendix|CFR)\b")
    assert [(name, p.text) for name, p in pieces_of_law if not p.ground.paragraph and not named.search(p.text)] == []
    known = {row["paragraph"] for row in table("1910.134-paragraphs")}
    assert {p.ground.paragraph for _, p in pieces_of_law if p.ground.paragraph} <= known


def test_law_definitions_and_warnings_speak_of_nobody_s_practice() -> None:
    """“We do” is for what the firm affirmed."""
    ours = re.compile(r"\b(we|our|ours|us)\b", re.IGNORECASE)
    told = [(name, s) for name, ground, s in ALL if ground.kind in ("by_law", "term") and ours.search(s)]
    assert told == []


@pytest.mark.parametrize("name", FILES)
def test_a_heading_is_a_noun_and_claims_nothing(name: str) -> None:
    for line in (ROOT / name).read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            title = re.sub(r"^#+ | \{#.*", "", line)
            assert not re.search(
                r":|\b(is|are|be|stays?|covers?|apply|applies|needs?|gets?|who|what|when|how)\b",
                title,
                re.IGNORECASE,
            ), title
