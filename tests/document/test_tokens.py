"""Whatever a user types, it stays text: it makes no heading, no link, no table cell, no token."""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass, replace
from datetime import date
from functools import cache
from typing import Any

import pytest
from document.reading import of_type, program_of
from examples import examples
from hypothesis import assume, given
from hypothesis import strategies as st
from programs.patching import AS_OF, PROGRAMS

from progdoc.app.disk.description_files import load_path
from progdoc.document.tree.nodes import Text
from progdoc.document.tree.tokens import MARKERS, Tokens
from progdoc.model.description.quantities import Dimension, parse_quantity
from progdoc.model.description.scalars import as_text
from progdoc.model.description.workplace import Use
from progdoc.model.load import Loaded
from progdoc.rules.judge import judge
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.reading.catalogue import built_in_catalogue

NASTY = [
    "|", "](javascript:1)", "[x](https://x.example)", "{{ 7 * 7 }}", "{% raw %}", "{#id}", "<# x #>", "<b>", "&amp;",
    "\n# x", "\n\n- y", "\n\n1. z", "\n    code", "**", "_", "`", "\\", "!!! danger", "---", "\ue000" "0\ue001",
    *(f"{mark}1{MARKERS['stop']}" for mark in MARKERS.values()), "\n\n\ue003\n\n", ".", "!", "In the end.",
]  # fmt: skip
TEXTS = st.lists(st.sampled_from(NASTY) | st.text(max_size=4), min_size=1, max_size=5).map("".join)


@cache
def _loaded() -> Loaded:
    return load_path(PROGRAMS / "base.yaml")


def _with_texts(text: str) -> Loaded:
    """Return the base program with one text in a heading, a sentence, a list, a table and a name."""
    loaded = _loaded()
    program = loaded.program
    assert program is not None
    medical = program.procedures.medical.model_copy(update={"confidential": text})
    emergencies = program.procedures.emergencies.model_copy(
        update={"foreseeable": (program.procedures.emergencies.foreseeable[0].model_copy(update={"what": text}),)}
    )
    procedures = program.procedures.model_copy(update={"medical": medical, "emergencies": emergencies})
    first, *rest = program.tasks
    changed = program.model_copy(
        update={
            "procedures": procedures,
            "officer": program.officer.model_copy(update={"authority": text}),
            "tasks": (first.model_copy(update={"name": text, "controls": (text, text)}), *rest),
            "hazards": (program.hazards[0].model_copy(update={"source": text}), *program.hazards[1:]),
            "masks": (program.masks[0].model_copy(update={"name": text}), *program.masks[1:]),
        }
    )
    return replace(loaded, program=changed)


def _shape(node: Any) -> Any:
    """Return a tree without its words: kinds of node, ids, and the places that user text came from."""
    if isinstance(node, tuple):
        return tuple(_shape(one) for one in node if not (isinstance(one, Text) and not one.path))
    if isinstance(node, Text):
        return node.path
    if is_dataclass(node) and not isinstance(node, type):
        kept = [f for f in fields(node) if f.name not in ("title", "caption", "text", "alternative", "svg", "png")]
        return (type(node).__name__, *(_shape(getattr(node, f.name)) for f in kept))
    return node


@cache
def _plain_shape() -> Any:
    return _shape(program_of(judge(_with_texts("plain words"), built_in_catalogue(), AS_OF)).blocks)


@examples(12)
@given(TEXTS)
def test_no_text_changes_the_structure(text: str) -> None:
    try:
        clean = as_text(text)
    except ValueError:
        assume(False)
    assume(said_by(clean) is Said.ANSWER)  # "?" answers nothing, so its passage is an open point
    clean = clean if len(re.findall(r"\w+", clean)) > 1 else f"{clean} and more"  # one word does not say how
    nasty = program_of(judge(_with_texts(clean), built_in_catalogue(), AS_OF))
    assert _shape(nasty.blocks) == _plain_shape()
    said = {t.text for t in of_type(nasty.blocks, Text) if t.path == "procedures.emergencies.foreseeable[0].what"}
    assert said == {clean}


def test_a_sentence_does_not_end_twice() -> None:
    tokens = Tokens()
    ended, bare = tokens.hide("Ask the officer.", "a"), tokens.hide("Ask the officer", "b")
    assert "".join(t.text for t in tokens.reveal(f"{ended}. {bare}.")) == "Ask the officer. Ask the officer."


@pytest.mark.parametrize(
    ("text", "inside"),
    [
        ("In paid hours.", "in paid hours"),
        ("The officer, in a week", "the officer, in a week"),
        ("Ada Brook", "Ada Brook"),
        ("Toxline Ltd.", "Toxline Ltd"),
        ("Italian and English", "Italian and English"),
        ("A", "a"),
    ],
)
def test_a_phrase_fits_into_a_sentence(text: str, inside: str) -> None:
    tokens = Tokens()
    (shown,) = tokens.reveal(tokens.phrase(tokens.hide(text, "officer.name")))
    assert shown == Text(inside, "officer.name")


def test_model_values_become_words() -> None:
    tokens = Tokens()
    assert tokens.shown(Use.REQUIRED, "x") == "required"
    assert tokens.shown(True, "x") is True
    assert tokens.shown(None, "x") is None
    for value, printed in (
        (date(2026, 3, 1), "1 March 2026"),
        (parse_quantity("50 ug/m3", Dimension.CONCENTRATION), "50 µg/m³"),
        (12, "12"),
        ("two\n lines", "two lines"),
    ):
        assert [t.text for t in tokens.reveal(tokens.shown(value, "x"))] == [printed]
    with pytest.raises(TypeError, match=r"officer\.x: object"):
        tokens.shown(object(), "officer.x")
