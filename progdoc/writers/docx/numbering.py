"""Numbering that Word counts itself: headings, annexes, lists.

The lists' looks (abstract numbering) are in the reference document. What is printed must be the number
in the tree, since references name it: where Word would count otherwise, the number is typed instead.
"""

from __future__ import annotations

__all__ = ["Numbering"]

_ANNEXES, _BULLETS, _STEPS = 2, 3, 4
_FIRST_LIST = 11  # below are the instances that the reference document's heading styles use
_DEEPEST_HEADING = 4
_DEEPEST_LIST = 8


class Numbering:
    """Where the numbering of one document stands."""

    def __init__(self) -> None:
        self._lists: list[tuple[int, int]] = []
        self._headings = [0] * _DEEPEST_HEADING
        self._annexes = [0] * _DEEPEST_HEADING

    def heading(self, number: str, depth: int, is_annex: bool) -> tuple[str, bool]:
        """Return a heading's numbering properties and whether Word counts it; if not, type the number."""
        counters = self._annexes if is_annex else self._headings
        if number and depth <= _DEEPEST_HEADING:
            counted = [*counters[: depth - 1], counters[depth - 1] + 1]
            if _printed(counted, is_annex) == number:
                counters[:] = counted + [0] * (_DEEPEST_HEADING - depth)
                return (_properties(depth - 1, _ANNEXES) if is_annex else ""), True
        return _properties(min(depth, _DEEPEST_HEADING) - 1, 0) + '<w:ind w:left="0" w:firstLine="0"/>', False

    def new_list(self, is_ordered: bool, level: int) -> str:
        """Return the numbering properties for the items of a list of its own, starting at 1."""
        level = min(level, _DEEPEST_LIST)
        self._lists.append((_STEPS if is_ordered else _BULLETS, level))
        return _properties(level, _FIRST_LIST + len(self._lists) - 1)

    def instances(self) -> list[str]:
        """Return a `w:num` for each list made so far."""
        return [
            f'<w:num w:numId="{_FIRST_LIST + n}"><w:abstractNumId w:val="{abstract}"/>'
            f'<w:lvlOverride w:ilvl="{level}"><w:startOverride w:val="1"/></w:lvlOverride></w:num>'
            for n, (abstract, level) in enumerate(self._lists)
        ]


def _properties(level: int, instance: int) -> str:
    return f'<w:numPr><w:ilvl w:val="{level}"/><w:numId w:val="{instance}"/></w:numPr>'


def _printed(counted: list[int], is_annex: bool) -> str:
    """Return the number as Word prints it; its letters after Z are AA, BB, CC."""
    first, *rest = counted
    letter = chr(ord("A") + (first - 1) % 26) * ((first - 1) // 26 + 1)
    return ".".join([letter if is_annex else str(first), *map(str, rest)])
