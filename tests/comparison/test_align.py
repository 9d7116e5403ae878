"""Pairing: order kept, nothing lost, names before content before likeness."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from progdoc.comparison.align import paired

_LETTERS = st.lists(st.sampled_from("abcdefgh"), max_size=10)


def _pairs(old: list[str], new: list[str], named: str = "") -> list[tuple[str | None, str | None]]:
    return list(
        paired(old, new, lambda part: part[0] if part[0] in named else "", lambda *two: float(two[0] == two[1]))
    )


@given(_LETTERS, _LETTERS, st.sampled_from(["", "abcd", "abcdefgh"]))
def test_both_sides_come_back_whole_and_in_order(old: list[str], new: list[str], named: str) -> None:
    pairs = _pairs(old, new, named)
    assert [one for one, _ in pairs if one is not None] == old
    assert [other for _, other in pairs if other is not None] == new
    assert all(one == other for one, other in pairs if one is not None and other is not None)


@given(_LETTERS)
def test_a_sequence_is_paired_with_itself(parts: list[str]) -> None:
    assert _pairs(parts, parts) == [(part, part) for part in parts]


def test_what_moved_stands_unpaired_in_both_places() -> None:
    assert _pairs(list("abc"), list("bca"), "abc") == [("a", None), ("b", "b"), ("c", "c"), (None, "a")]


def test_likeness_pairs_what_has_no_name() -> None:
    pairs = list(paired(["old x"], ["new y", "old z"], lambda part: "", lambda *two: float(two[0][:3] == two[1][:3])))
    assert pairs == [(None, "new y"), ("old x", "old z")]
