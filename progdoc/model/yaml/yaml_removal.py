"""Takes entries of lists, and single values, out of a YAML text where they stand, and changes no other byte.

Comments beside and inside an entry go with it; those on lines of their own before it stay.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import groupby
from typing import Any

import yaml

from progdoc.core.said import said
from progdoc.model.yaml.yaml_splice import behind, composed

__all__ = ["value_cut", "without_entries"]

_Span = tuple[int, int, str]  # from, to, and what stands there then


def without_entries(text: str, places: Collection[tuple[int, int]]) -> str:
    """Return the text without the entries of lists that begin at these lines and columns, counted from 1.

    Raises
    ------
    KeyError
        If no entry of a list begins at one of the places, or it can't be told what belongs to it.

    >>> without_entries("sites:\\n  - {id: mill}  # sold\\n  - {id: yard}\\n", {(2, 5)})
    'sites:\\n  - {id: yard}\\n'
    >>> without_entries("people: [jo, ravi]", {(1, 14)}), without_entries("people: [jo]", {(1, 10)})
    ('people: [jo]', 'people: []')
    """
    found: set[tuple[int, int]] = set()
    spans: list[_Span] = []
    for key, sequence in _lists(composed(text), None):
        gone = [_place(item) in places for item in sequence.value]
        if any(gone):
            found.update(_place(item) for item, is_gone in zip(sequence.value, gone, strict=True) if is_gone)
            spans += (_of_flow if sequence.flow_style else _of_lines)(text, key, sequence, gone)
    missing = set(places) - found
    if missing:
        raise KeyError(said("no entry begins at %(place)s", place=sorted(missing)[0]))
    for start, end, instead in sorted(_outermost(spans), reverse=True):
        text = text[:start] + instead + text[end:]
    return text


def value_cut(text: str, root: Any, path: Sequence[str | int]) -> _Span:
    """Return where the name at the end of a path stands with its value, and what stands there without it.

    Raises
    ------
    KeyError
        If there is no such name.

    >>> text = "storage:\\n  where: The van  # ours\\n  container: Zip bag\\n"
    >>> value_cut(text, composed(text), ["storage", "where"])
    (9, 34, '')
    """
    *way, last = path
    node = root
    for step in way:
        node = node.value[step] if isinstance(step, int) else _named(node, step)[1]
    names = [key.value for key, _ in node.value]
    key, value = _named(node, last)
    number = names.index(key.value)
    after = node.value[number + 1][0] if number + 1 < len(names) else None
    if node.flow_style:
        if after is not None:
            return key.start_mark.index, after.start_mark.index, ""
        before = node.value[number - 1][1].end_mark.index if number else key.start_mark.index
        return before, value.end_mark.index, ""
    start: int = text.rfind("\n", 0, key.start_mark.index) + 1
    if not text[start : key.start_mark.index].strip():
        return start, behind(text, value), ""
    if after is None:
        raise KeyError(said("%(name)s shares its line with another", name=last))
    return key.start_mark.index, after.start_mark.index, ""


def _named(group: Any, name: object) -> tuple[Any, Any]:
    pairs = group.value if isinstance(group, yaml.MappingNode) else ()
    found = next(((key, value) for key, value in pairs if key.value == name), None)
    if found is None:
        raise KeyError(name)
    return found


def _place(node: Any) -> tuple[int, int]:
    return node.start_mark.line + 1, node.start_mark.column + 1


def _lists(root: Any, key: Any) -> Iterator[tuple[Any, Any]]:
    """Yield every list with the key before it."""
    open_nodes = [(key, root)]
    while open_nodes:
        named, node = open_nodes.pop()
        if isinstance(node, yaml.SequenceNode):
            yield named, node
            open_nodes += [(None, item) for item in node.value]
        elif isinstance(node, yaml.MappingNode):
            open_nodes += list(node.value)


def _outermost(spans: list[_Span]) -> Iterator[_Span]:
    """Yield the spans that lie inside no other: what goes with its owner needs no cut of its own."""
    reach = -1
    for span in sorted(spans, key=lambda span: (span[0], -span[1])):
        if span[1] > reach:
            yield span
            reach = max(reach, span[1])


def _of_flow(_text: str, _key: Any, sequence: Any, gone: list[bool]) -> Iterator[_Span]:
    items = sequence.value
    if all(gone):
        yield sequence.start_mark.index, sequence.end_mark.index, "[]"
        return
    last_kept = max(i for i, is_gone in enumerate(gone) if not is_gone)
    for i, item in enumerate(items[:last_kept]):
        if gone[i]:
            yield item.start_mark.index, items[i + 1].start_mark.index, ""
    if last_kept < len(items) - 1:
        yield items[last_kept].end_mark.index, items[-1].end_mark.index, ""


def _of_lines(text: str, key: Any, sequence: Any, gone: list[bool]) -> Iterator[_Span]:
    items = sequence.value
    for _, run in groupby(range(len(items)), key=lambda i: gone[i]):
        numbers = list(run)
        if gone[numbers[0]]:
            yield _line_of(text, items[numbers[0]]), behind(text, items[numbers[-1]]), ""
    if all(gone):
        if key is None:
            raise KeyError(said("a list without a name would be left empty"))
        colon = text.index(":", key.end_mark.index) + 1
        yield colon, colon, " []"


def _line_of(text: str, item: Any) -> int:
    """Return where the line with an entry's dash begins."""
    start: int = text.rfind("\n", 0, item.start_mark.index) + 1
    if text[start : item.start_mark.index].strip() != "-":
        raise KeyError(said("an entry shares its line with another"))
    return start
