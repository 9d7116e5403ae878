"""Pairs the parts of two sequences: by stable name, then by equal content, then by likeness.

Compared the other way round, the same parts are pairs. Pairs never cross: what moved stands unpaired in both
places. Time grows in line with the length as long as names or contents tell the parts apart; only short
stretches that share neither are compared each with each.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from typing import TypeVar

__all__ = ["cut_at_anchors", "is_turned", "paired"]

T = TypeVar("T", bound=Hashable)
Pair = tuple[int | None, int | None]
_MOST_COMPARISONS = 2_500  # of a stretch in which each part is held against each


def paired(
    old: Sequence[T], new: Sequence[T], name: Callable[[T], str], likeness: Callable[[T, T], float]
) -> Iterator[tuple[T | None, T | None]]:
    """Yield pairs in an order that keeps both sequences'; None where a part has no counterpart.

    Parameters
    ----------
    name
        What a part keeps through every change; "" for a part that has no such name.
    likeness
        From 0, never to be paired, to 1, the same.

    Examples
    --------
    >>> list(paired("abc", "axc", lambda part: "" if part in "bx" else part, lambda *two: float(two[0] == two[1])))
    [('a', 'a'), ('b', None), (None, 'x'), ('c', 'c')]
    """
    turned = is_turned(old, new)
    first, second = (new, old) if turned else (old, new)
    pairs = [*_paired(first, second, name, likeness)]
    yield from _olds_first([(one, other) for other, one in pairs] if turned else pairs)


def is_turned(old: Sequence[Hashable], new: Sequence[Hashable]) -> bool:
    """Return which of two sequences counts as the first: the same one, whichever way round they are compared."""
    for one, other in zip(old, new, strict=False):
        if one != other:
            return repr(one) > repr(other)
    return len(old) > len(new)


def _olds_first(pairs: Iterable[tuple[T | None, T | None]]) -> Iterator[tuple[T | None, T | None]]:
    """Yield the pairs, and of what stands unpaired between two of them the old parts before the new ones."""
    waiting: list[tuple[T | None, T | None]] = []
    for one, other in pairs:
        if one is None:
            waiting.append((one, other))
            continue
        if other is not None:
            yield from waiting
            waiting = []
        yield one, other
    yield from waiting


def _paired(
    old: Sequence[T], new: Sequence[T], name: Callable[[T], str], likeness: Callable[[T, T], float]
) -> Iterator[tuple[T | None, T | None]]:
    old_names, new_names = [name(part) for part in old], [name(part) for part in new]
    shared = set(old_names) & set(new_names) - {""}

    def like(i: int, j: int) -> float:
        """Parts that have their counterpart elsewhere moved: they are paired with nothing here."""
        is_moved = old_names[i] != new_names[j] and (old_names[i] in shared or new_names[j] in shared)
        return 0.0 if is_moved else likeness(old[i], new[j])

    whole = (range(len(old)), range(len(new)))
    by_name = _anchors(old_names, new_names, *whole)
    for stretch in _stretches(by_name, *whole):
        by_content = _anchors(old, new, *stretch)
        for rest in _stretches(by_content, *stretch):
            for i, j in _by_likeness(*rest, like) if len(rest[0]) and len(rest[1]) else _unpaired(*rest):
                yield (None if i is None else old[i]), (None if j is None else new[j])


def cut_at_anchors(old: Sequence[Hashable], new: Sequence[Hashable]) -> Iterator[tuple[range, range]]:
    """Yield both sequences in stretches, cut at what stands once in each, in one order."""
    whole = (range(len(old)), range(len(new)))
    return _stretches(_anchors(old, new, *whole), *whole)


def _anchors(old: Sequence[Hashable], new: Sequence[Hashable], olds: range, news: range) -> list[tuple[int, int]]:
    """Return the pairs of equal values, each the only one of its side, as many as keep their order."""
    places = _only_ones(old, olds)
    here = _only_ones(new, news)
    return _longest_in_order([(i, here[value]) for value, i in places.items() if value and value in here])


def _only_ones(values: Sequence[Hashable], where: range) -> dict[Hashable, int]:
    found: dict[Hashable, int] = {}
    twice: set[Hashable] = set()
    for i in where:
        twice.update([values[i]] if values[i] in found else [])
        found[values[i]] = i
    return {value: i for value, i in found.items() if value not in twice}


def _longest_in_order(pairs: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return the longest run of pairs, sorted by their first, in which the second rises too."""
    ends: list[int] = []  # the smallest second with which a run of each length can end
    last: list[int] = []  # the pair it belongs to
    before: list[int] = []
    for k, (_, j) in enumerate(pairs):
        length = bisect_left(ends, j)
        before.append(last[length - 1] if length else -1)
        ends[length : length + 1] = [j]
        last[length : length + 1] = [k]
    run = []
    k = last[-1] if last else -1
    while k >= 0:
        run.append(pairs[k])
        k = before[k]
    return run[::-1]


def _stretches(anchors: list[tuple[int, int]], olds: range, news: range) -> Iterator[tuple[range, range]]:
    """Yield every anchor as a stretch of one and one, and what lies between them."""
    i, j = olds.start, news.start
    for at, to in anchors:
        yield range(i, at), range(j, to)
        yield range(at, at + 1), range(to, to + 1)
        i, j = at + 1, to + 1
    yield range(i, olds.stop), range(j, news.stop)


def _unpaired(olds: range, news: range) -> Iterator[Pair]:
    yield from ((i, None) for i in olds)
    yield from ((None, j) for j in news)


def _by_likeness(olds: range, news: range, like: Callable[[int, int], float]) -> Iterator[Pair]:
    """Yield the pairs that together are most alike, in order; a long stretch is taken one by one instead."""
    if len(olds) * len(news) > _MOST_COMPARISONS:
        kept = [(i, j) for i, j in zip(olds, news, strict=False) if like(i, j) > 0]
    else:
        kept = _most_alike([[like(i, j) for j in news] for i in olds], olds.start, news.start)
    i, j = olds.start, news.start
    for at, to in [*kept, (olds.stop, news.stop)]:
        yield from _unpaired(range(i, at), range(j, to))
        if at < olds.stop:
            yield at, to
        i, j = at + 1, to + 1


def _most_alike(scores: list[list[float]], first_old: int, first_new: int) -> list[tuple[int, int]]:
    rows, columns = len(scores), len(scores[0])
    best = [[0.0] * (columns + 1) for _ in range(rows + 1)]
    for i in reversed(range(rows)):
        for j in reversed(range(columns)):
            together = best[i + 1][j + 1] + scores[i][j] if scores[i][j] > 0 else 0.0
            best[i][j] = max(best[i + 1][j], best[i][j + 1], together)
    kept, i, j = [], 0, 0
    while i < rows and j < columns:
        if scores[i][j] > 0 and best[i][j] == best[i + 1][j + 1] + scores[i][j]:
            kept.append((first_old + i, first_new + j))
            i, j = i + 1, j + 1
        elif best[i][j] == best[i + 1][j]:
            i += 1
        else:
            j += 1
    return kept
