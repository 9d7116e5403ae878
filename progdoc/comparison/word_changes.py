"""What changed between two texts, word by word. A number stays together with its unit, a date in one piece.

A reader must see "5 µg/m³" become "50 µg/m³", not a "0" slip in between. Where little is left of a sentence
it is shown as replaced: shreds of the old one between the new are harder to read than both.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Hashable, Iterator, Sequence
from difflib import SequenceMatcher
from itertools import groupby
from typing import TypeVar

from progdoc.comparison.align import cut_at_anchors, is_turned
from progdoc.comparison.marks import DELETED, INSERTED, words_marked

__all__ = ["Span", "changed_spans", "likeness", "marked_text", "tokens"]

T = TypeVar("T", bound=Hashable)
Span = tuple[str, list[T]]  # "" for what stands in both, INSERTED or DELETED

_UNITS = (
    "µg/m³|ug/m3|mg/m³|mg/m3|f/cm³|f/cc|ppm|ppb|L/min|mmHg|°F|°C|ft|%|kg|g|m|min|minutes?|h|hours?|days?|weeks?|months?"
    "|years?|times"
)
_MONTHS = "January|February|March|April|May|June|July|August|September|October|November|December"
_TOKEN = re.compile(
    rf"\d{{1,2}} (?:{_MONTHS}) \d{{4}}"
    r"|\d{4}-\d\d-\d\d"
    rf"|\d+(?:[.,]\d+)*(?:[ \u00a0]?(?:{_UNITS})(?![\w/]))?"
    r"|\w+|\s+|[^\w\s]"
)
_MOST_COMPARISONS = 40_000  # of words with words; beyond, a text is cut first
_LEAST_SHARE = 0.3  # of the longer text that must be left, or it counts as replaced
_LEAST_BRIDGE = 2  # words that must stand between two changes, or they are one


def tokens(text: str) -> list[str]:
    """Return the text in the pieces that change as a whole.

    >>> tokens("up to 0.05 mg/m³ on 1 March 2026")
    ['up', ' ', 'to', ' ', '0.05 mg/m³', ' ', 'on', ' ', '1 March 2026']
    """
    return _TOKEN.findall(text)


def marked_text(old: str, new: str) -> str:
    """Return both texts in one, what was taken out and what was put in between marks."""
    if old == new:
        return new
    pieces = ((mark, "".join(piece)) for mark, piece in changed_spans(tokens(old), tokens(new)))
    return "".join(words_marked(text, mark) if mark else text for mark, text in pieces)


def likeness(old: Counter[str], new: Counter[str]) -> float:
    """Return how much two bags of words have in common: 0 nothing, 1 all."""
    count = old.total() + new.total()
    return 2 * (old & new).total() / count if count else 1.0


def changed_spans(old: Sequence[T], new: Sequence[T]) -> Iterator[Span[T]]:
    """Yield what stands in both, what was deleted and what was inserted, in reading order."""
    start = _common_start(old, new)
    end = _common_start(old[start:][::-1], new[start:][::-1])
    olds, news = old[start : len(old) - end], new[start : len(new) - end]
    if start:
        yield "", list(new[:start])
    turned = is_turned(olds, news)
    pieces = _pieces(news, olds, start + end) if turned else _pieces(olds, news, start + end)
    for left, right in [(one, other) for other, one in pieces] if turned else pieces:
        if left == right:
            yield "", list(right)
            continue
        if left:
            yield DELETED, list(left)
        if right:
            yield INSERTED, list(right)
    if end:
        yield "", list(new[len(new) - end :])


def _common_start(old: Sequence[T], new: Sequence[T]) -> int:
    pairs = zip(old, new, strict=False)
    return next((i for i, (one, other) in enumerate(pairs) if one != other), min(len(old), len(new)))


def _pieces(old: Sequence[T], new: Sequence[T], kept: int) -> list[tuple[Sequence[T], Sequence[T]]]:
    """Return the texts cut into pieces that are the same or differ; short bridges between changes fall."""
    if not old or not new:
        return [(old, new)] if old or new else []
    cuts = list(_cuts(old, new))
    same = kept + sum(i2 - i1 for is_same, i1, i2, _, _ in cuts if is_same)
    if same < _LEAST_SHARE * (kept + max(len(old), len(new))):
        return [(old, new)]
    found: list[tuple[bool, int, int, int, int]] = []
    for are_same, group in groupby(cuts, key=lambda cut: cut[0]):
        run = list(group)
        i1, i2, j1, j2 = run[0][1], run[-1][2], run[0][3], run[-1][4]
        is_same = are_same and sum(map(_is_word, new[j1:j2])) >= _LEAST_BRIDGE
        if found and not found[-1][0] and not is_same:
            found[-1] = (False, found[-1][1], i2, found[-1][3], j2)
        else:
            found.append((is_same, i1, i2, j1, j2))
    return [(old[i1:i2], new[j1:j2]) for _, i1, i2, j1, j2 in found]


def _cuts(old: Sequence[T], new: Sequence[T]) -> Iterator[tuple[bool, int, int, int, int]]:
    """Yield where the texts are the same and where not; a long text is first cut at the words it holds once."""
    is_long = len(old) * len(new) > _MOST_COMPARISONS
    whole = [(range(len(old)), range(len(new)))]
    for olds, news in cut_at_anchors(old, new) if is_long else whole:
        here, there = old[olds.start : olds.stop], new[news.start : news.stop]
        if here == there or len(here) * len(there) > _MOST_COMPARISONS:
            if here or there:
                yield here == there, olds.start, olds.stop, news.start, news.stop
            continue
        for kind, i1, i2, j1, j2 in SequenceMatcher(None, here, there, autojunk=False).get_opcodes():
            yield kind == "equal", olds.start + i1, olds.start + i2, news.start + j1, news.start + j2


def _is_word(token: object) -> bool:
    return not isinstance(token, str) or token[:1].isalnum()
