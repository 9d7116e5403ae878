"""How the work of a regular expression may grow with its text, told from the expression alone.

An expression becomes an automaton. Where one text leads on two ways round the same loop, the ways double with every
round; where it stays in one loop, passes on to a second one, and stays there as well, there are as many ways as there
are places to pass on (a search may begin anywhere, which is such a loop). The conditions are those of A. Weber and
H. Seidl, "On the degree of ambiguity of finite automata", Theoretical Computer Science 88 (1991) 325-349. A place
where the expression is matched already costs nothing, whatever follows: it is what remains when the rest fails.
"""

from __future__ import annotations

import re
import string
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any

__all__ = ["Growth", "growth"]

_PARSER: Any = import_module("re._parser")
_C: Any = import_module("re._constants")
_SIGNS = string.printable + "\0\xa0é–—“”’…°µ²€≤\ufffd"
_PERHAPS = object()  # a condition that takes more than one sign to tell
_UNROLLED = 8  # rounds of a bounded repeat that are told apart

Growth = str  # "linear", "square" or "explosive"
_Edge = tuple[Any, int]  # what it asks, where it leads


@dataclass
class _Automaton:
    """States by number; an edge takes one sign (a set of them) or none (a condition on the signs at either side)."""

    signs: str
    flags: int
    takes: dict[int, list[tuple[frozenset[str], int]]] = field(default_factory=lambda: defaultdict(list))
    free: dict[int, list[_Edge]] = field(default_factory=lambda: defaultdict(list))
    count: int = 0
    groups: dict[int, Any] = field(default_factory=dict)
    is_in_loop: bool = False

    def state(self) -> int:
        self.count += 1
        return self.count

    def matching(self, items: Any) -> frozenset[str]:
        """Return the signs that a single item of an expression matches; asked of `re` itself."""
        return frozenset(sign for sign in self.signs if _matches(items, sign, self.flags))

    def add(self, tree: Any, start: int) -> int:
        for op, value in tree:
            start = self._one(op, value, start)
        return start

    def _one(self, op: Any, value: Any, start: int) -> int:
        end = self.state()
        if op in (_C.LITERAL, _C.NOT_LITERAL, _C.ANY, _C.IN):
            self.takes[start].append((self.matching((op, value)), end))
        elif op is _C.SUBPATTERN:
            self.groups[value[0]] = value[3]
            self.free[self.add(value[3], start)].append((None, end))
        elif op is _C.ATOMIC_GROUP:
            self.free[self.add(value, start)].append((None, end))
        elif op is _C.GROUPREF:
            self.free[self.add(self.groups[value], start)].append((None, end))
        elif op is _C.BRANCH:
            for branch in value[1]:
                if not self.is_in_loop and not _has_loop(branch):
                    continue  # no loop leads there or from there
                inner = self.state()
                self.free[start].append((None, inner))
                self.free[self.add(branch, inner)].append((None, end))
        elif op in (_C.MAX_REPEAT, _C.MIN_REPEAT, _C.POSSESSIVE_REPEAT):
            self._repeat(*value, start, end)
        elif op is _C.AT:
            is_line = value is _C.AT_BEGINNING and self.flags & re.MULTILINE
            self.free[start].append((_C.AT_BEGINNING_LINE if is_line else value, end))
        elif op in (_C.ASSERT, _C.ASSERT_NOT):
            self.free[start].append((self._beside(op, *value), end))
            self.add(value[1], start)  # looked through, and left at its end
        else:
            raise ValueError(f"nobody has said what {op} lets pass: say it here before an expression uses it")
        return end

    def _repeat(self, low: int, high: Any, body: Any, start: int, end: int) -> None:
        for _ in range(min(low, _UNROLLED)):
            start = self.add(body, start)
        if high is _C.MAXREPEAT:
            loop, was = self.state(), self.is_in_loop
            self.is_in_loop = True
            self.free[start].append((None, loop))
            self.free[self.add(body, loop)].append((None, loop))
            self.is_in_loop = was
            self.free[loop].append((None, end))
            return
        self.free[start].append((None, end))
        for _ in range(min(high - low, _UNROLLED)):
            start = self.add(body, start)
            self.free[start].append((None, end))

    def _beside(self, op: Any, direction: int, body: Any) -> Any:
        """Return the condition of a look at one sign; of a longer one that nobody can be sure of it."""
        wanted = op is _C.ASSERT
        parts = list(body)
        low, high = body.getwidth()
        if len(parts) == 1 and low == high == 1 and parts[0][0] is not _C.BRANCH:
            return (direction, self.matching(parts[0]), wanted)
        return _PERHAPS

    def ways(self, state: int, before: str, after: str, for_sure: bool = False) -> dict[int, int]:
        """Return where one gets from a state without taking a sign, and whether in one way (1) or in more (2)."""
        found: dict[int, int] = defaultdict(int)

        def walk(at: int, passed: frozenset[tuple[int, int]]) -> None:
            if found[at] == 2:
                return
            found[at] += 1
            for asked, to in self.free.get(at, ()):
                if (at, to) not in passed and _holds(asked, before, after, for_sure):
                    walk(to, passed | {(at, to)})

        walk(state, frozenset())
        return found


def _has_loop(tree: Any) -> bool:
    return "MAXREPEAT" in repr(tree)


def _matches(item: Any, sign: str, flags: int) -> bool:
    key = (repr(item), flags)
    if key not in _KNOWN:
        pattern = _PARSER.SubPattern(_PARSER.State(), [item])
        pattern.state.flags = flags
        _KNOWN[key] = import_module("re._compiler").compile(pattern)
    return _KNOWN[key].fullmatch(sign) is not None


_KNOWN: dict[tuple[str, int], Any] = {}


def _is_word(sign: str) -> bool:
    return sign.isalnum() or sign == "_"


def _holds(asked: Any, before: str, after: str, for_sure: bool) -> bool:
    """Whether a condition holds between two signs of a text; `""` stands for its ends."""
    if asked is None or asked is _PERHAPS:
        return asked is None or not for_sure
    if isinstance(asked, tuple):
        direction, signs, wanted = asked
        return ((after if direction > 0 else before) in signs) == wanted
    if asked in (_C.AT_BOUNDARY, _C.AT_NON_BOUNDARY):
        return (_is_word(before) != _is_word(after)) == (asked is _C.AT_BOUNDARY)
    if asked in (_C.AT_BEGINNING_STRING, _C.AT_BEGINNING):
        return before == ""
    if asked is _C.AT_BEGINNING_LINE:
        return before in ("", "\n")
    return after in ("", "\n") if asked is _C.AT_END else after == ""


# ---- the ways through a text --------------------------------------------------------------------------

_At = tuple[int, str]  # a state, and the sign that led to it
_Steps = dict[_At, dict[str, dict[_At, int]]]


def growth(pattern: str | bytes, flags: int = 0, method: str = "search") -> Growth:
    r"""Return how the work of a method grows with the length of the text, at worst.

    >>> growth(r"(-\S+ ?)+", method="fullmatch"), growth(r"\s+end"), growth(r"\bend")
    ('explosive', 'square', 'linear')
    """
    if isinstance(pattern, bytes):  # each of which is a sign
        pattern = pattern.decode("latin-1")
    tree = _PARSER.parse(pattern, flags)
    if not _has_loop(tree):
        return "linear"
    automaton = _Automaton(_SIGNS + "".join(set(pattern)), tree.state.flags)
    begin = automaton.state()
    last = automaton.add(tree, begin)
    if method == "fullmatch":
        automaton.free[last].append((_C.AT_END_STRING, automaton.state()))
        last = automaton.count
    signs = _one_of_each(automaton)
    firsts = {(begin, sign) for sign in ("", *signs)} if method not in ("match", "fullmatch") else {(begin, "")}
    steps = _steps(automaton, firsts, signs)
    loops = _loops({at: found for at, found in steps.items() if _may_fail(automaton, at, last, signs)})
    if any(_doubles(loop, steps) for loop in loops):
        return "explosive"
    is_searched = method not in ("match", "fullmatch")
    if is_searched and any(_meets((begin, one[1]), one, loop, steps) for loop in loops for one in loop):
        return "square"
    pairs = ((a, b) for a in _loops(steps) for b in loops if not a & b and b & _after(a, steps))
    return "square" if any(_passes_on(a, b, steps) for a, b in pairs) else "linear"


def _after(places: Iterable[_At], steps: _Steps) -> set[_At]:
    return _reached(places, lambda at: [to for found in steps[at].values() for to in found])


def _one_of_each(automaton: _Automaton) -> list[str]:
    """Return one sign for all those that every part of the expression treats alike."""
    sets = {signs for edges in automaton.takes.values() for signs, _ in edges}
    sets |= {asked[1] for edges in automaton.free.values() for asked, _ in edges if isinstance(asked, tuple)}
    kinds: dict[tuple[bool, ...], str] = {}
    for sign in automaton.signs:
        kinds.setdefault((*(sign in signs for signs in sets), _is_word(sign), sign == "\n"), sign)
    return list(kinds.values())


def _steps(automaton: _Automaton, firsts: Iterable[_At], signs: list[str]) -> _Steps:
    steps: _Steps = {}
    waiting = list(firsts)
    while waiting:
        at = waiting.pop()
        if at in steps:
            continue
        steps[at] = {}
        for sign in signs:
            found: dict[_At, int] = {}
            for state, ways in automaton.ways(at[0], at[1], sign).items():
                for taken, to in automaton.takes.get(state, ()):
                    if sign in taken:
                        found[to, sign] = ways
            if found:
                steps[at][sign] = found
                waiting += found
    return steps


def _reached(starts: Iterable[Any], onward: Callable[[Any], Iterable[Any]]) -> set[Any]:
    """Return whatever is reached in one step or more."""
    seen: set[Any] = set()
    waiting = [to for start in starts for to in onward(start)]
    while waiting:
        at = waiting.pop()
        if at not in seen:
            seen.add(at)
            waiting += onward(at)
    return seen


def _loops(steps: _Steps) -> list[frozenset[_At]]:
    """Return the sets of places that lead to each other."""
    after = {at: {to for found in steps[at].values() for to in found if to in steps} for at in steps}
    while True:  # a place that nothing of the rest leads on from is in no loop
        ends = [at for at, onward in after.items() if not onward]
        if not ends:
            break
        for at in ends:
            del after[at]
        after = {at: onward - set(ends) for at, onward in after.items()}
    reached = {at: _reached([at], after.__getitem__) for at in after}
    return list({frozenset(to for to in reached[at] if at in reached[to]) for at in after if at in reached[at]})


def _may_fail(automaton: _Automaton, at: _At, last: int, signs: list[str]) -> bool:
    """Whether there is a sign before which the expression is not matched yet."""
    return any(last not in automaton.ways(*at, after, for_sure=True) for after in ("", *signs))


def _doubles(loop: frozenset[_At], steps: _Steps) -> bool:
    """Whether one text leads on two ways from a place in the loop back to it."""

    def onward(pair: tuple[_At, _At]) -> list[tuple[_At, _At]]:
        return [
            (one, two)
            for sign in steps[pair[0]]
            for one in steps[pair[0]][sign]
            for two in steps[pair[1]].get(sign, ())
            if one in loop and two in loop
        ]

    if any(ways > 1 for at in loop for found in steps[at].values() for to, ways in found.items() if to in loop):
        return True
    apart = {pair for at in loop for pair in _reached([(at, at)], onward) if pair[0] != pair[1]}
    return any(one == two for pair in apart for one, two in _reached([pair], onward))


def _meets(first: _At, at: _At, loop: frozenset[_At], steps: _Steps) -> bool:
    """Whether a text leads from where a search begins to a place in the loop, and from there back to it as well."""

    def onward(pair: tuple[_At, _At]) -> list[tuple[_At, _At]]:
        return [
            (one, two)
            for sign in steps[pair[0]]
            for one in steps[pair[0]][sign]
            for two in steps[pair[1]].get(sign, ())
            if two in loop
        ]

    return (at, at) in _reached([(first, at)], onward)


def _passes_on(one: frozenset[_At], other: frozenset[_At], steps: _Steps) -> bool:
    """Whether one text leads round the first loop, from it to the second one, and round that."""

    def onward(three: tuple[_At, _At, _At]) -> list[tuple[_At, _At, _At]]:
        return [
            (a, b, c)
            for sign in steps[three[0]]
            for a in steps[three[0]][sign]
            if a in one
            for b in steps[three[1]].get(sign, ())
            for c in steps[three[2]].get(sign, ())
            if c in other
        ]

    return any((p, q, q) in _reached([(p, p, q)], onward) for p in one for q in other)
