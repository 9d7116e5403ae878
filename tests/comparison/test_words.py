"""Words: what changes as one piece, and that both texts can be had back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from progdoc.comparison.marks import DELETED, END, INSERTED, new_text, old_text
from progdoc.comparison.word_changes import marked_text, tokens

_TEXTS = st.text(alphabet=st.sampled_from("ab 12.,µ/g%³m\n–"), max_size=40)


@given(_TEXTS, _TEXTS)
def test_both_texts_can_be_had_back(old: str, new: str) -> None:
    marked = marked_text(old, new)
    assert (old_text(marked), new_text(marked)) == (old, new)


@given(_TEXTS)
def test_no_mark_where_nothing_changed(text: str) -> None:
    assert marked_text(text, text) == text


@given(_TEXTS)
def test_tokens_are_the_text(text: str) -> None:
    assert "".join(tokens(text)) == text


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("5 µg/m³", "50 µg/m³"),
        ("0.05 mg/m³", "50 µg/m³"),
        ("12 months", "24 months"),
        ("19.5 %", "20.9 %"),
        ("1 March 2026", "1 April 2026"),
        ("2026-03-01", "2026-04-01"),
        ("1,000 ppm", "1,100 ppm"),
    ],
)
def test_a_number_changes_together_with_its_unit(old: str, new: str) -> None:
    marked = marked_text(f"Up to {old} in the air of this task.", f"Up to {new} in the air of this task.")
    assert marked == f"Up to {DELETED}{old}{END}{INSERTED}{new}{END} in the air of this task."
