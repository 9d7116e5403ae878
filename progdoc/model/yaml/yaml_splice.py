"""Changes single values of a YAML text at the places where they stand, and no other byte.

The user's comments, order and formatting are theirs. A value is replaced between the marks where the parser
found it, and keeps its quotes; a new entry of a list goes behind the last one, indented like it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, cast

import yaml

__all__ = [
    "Bare",
    "EntryValue",
    "Span",
    "Way",
    "behind",
    "composed",
    "entry_span",
    "item_span",
    "spliced",
    "value_span",
    "with_entry",
    "with_value",
    "written",
]

_UNWRITABLE = re.compile(
    "[\\x00-\\x1f\\x7f-\\x9f\\u2028\\u2029\\ufeff\\ufffe\\uffff]"
)  # as themselves, YAML 1.2.2, 5.1
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_PLAIN = re.compile(r"[A-Za-z][\w .'/()-]*")  # what is read as the same text within brackets and without
_OTHER_THINGS = ("yes", "no", "true", "false", "on", "off", "y", "n", "null")  # so they are in YAML 1.1, or in 1.2
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Bare(str):
    """A number, which is written without quotes."""

    __slots__ = ()


Way = Sequence[str | int]  # names of groups and places in lists
EntryValue = str | Sequence["EntryValue"] | Mapping[str, "EntryValue"]  # a text, a list, a group
Span = tuple[int, int, str]  # from, to, and what stands there then


def with_value(text: str, path: Way, value: str) -> str:
    """Return the text with the value at a path replaced, or added as the group's last entry.

    Groups on the way that are not there yet are begun.

    >>> with_value('program:\\n  revision: "7"  # ours\\n', ["program", "revision"], "8")
    'program:\\n  revision: "8"  # ours\\n'
    """
    return spliced(text, [value_span(text, composed(text), path, value)])


def with_entry(text: str, path: Way, entry: Mapping[str, EntryValue]) -> str:
    """Return the text with one more entry, a group of values, behind the last of the list at a path.

    Groups on the way that are not there yet are begun.

    >>> with_entry("program:\\n  history:\\n    - revision: 7\\n", ["program", "history"], {"revision": "8"})
    'program:\\n  history:\\n    - revision: 7\\n    - revision: "8"\\n'
    """
    return spliced(text, [entry_span(text, composed(text), path, entry)])


def spliced(text: str, spans: Iterable[Span]) -> str:
    """Return the text with spans that do not overlap replaced."""
    parts, place = [], 0
    for start, end, instead in sorted(spans, key=lambda span: span[:2]):
        parts += [text[place:start], instead]
        place = end
    return "".join((*parts, text[place:]))


def value_span(text: str, root: Any, path: Way, value: EntryValue) -> Span:
    """Return where the value at a path is to stand, in the parser's tree of the text, and how it is written."""
    *way, last = path
    name = str(last)
    group, missing = _nearest(root, way)
    if missing:
        return _begun(text, group, [*missing, name], value)
    node = _entry(group, name)
    if node is None:
        return _new_name(text, group, _written(group, name, value))
    if not isinstance(value, str):
        return _whole(text, group, node, name, value)
    start, end = node.start_mark.index, node.end_mark.index
    if isinstance(node, yaml.ScalarNode) and node.style in ("'", '"'):
        return start, end, quoted(value)
    return _instead(text, node, _plain_or_quoted(value))


def entry_span(text: str, root: Any, path: Way, entry: Mapping[str, EntryValue]) -> Span:
    """Return where one more entry of the list at a path is to stand, in the parser's tree, and how it is written."""
    *way, last = path
    name = str(last)
    group, missing = _nearest(root, way)
    if missing:
        return _begun(text, group, [*missing, name], [entry])
    node = _entry(group, name)
    if node is None:
        return _new_name(text, group, _written(group, name, [entry]))
    if not isinstance(node, yaml.SequenceNode):
        return _whole(text, group, node, name, [entry])
    if node.flow_style:
        return _inside(text, node, _flow(entry))
    is_flow = isinstance(node.value[-1], yaml.MappingNode) and node.value[-1].flow_style
    indent = " " * node.start_mark.column
    return _lines(text, node, [indent + line for line in ([f"- {_flow(entry)}"] if is_flow else _listed(entry))])


def _whole(text: str, group: Any, node: Any, name: str, value: EntryValue) -> Span:
    """Return the span in which a list or a group takes the place of what stands there, or of nothing."""
    if group.flow_style or not _is_silent(node) or not _is_block(value):
        return _instead(text, node, _entry_value(value))
    place = text.find("\n", node.start_mark.index)
    indent = " " * _entry_key(group, name).start_mark.column
    return _behind_line(
        text, len(text) if place < 0 else place + 1, [indent + line for line in _lines_of(name, value)[1:]]
    )


def _is_silent(node: Any) -> bool:
    """Whether nothing stands behind a colon."""
    return isinstance(node, yaml.ScalarNode) and not node.style and node.value == ""


def _is_block(value: EntryValue) -> bool:
    """Whether a value has lines of its own: a group, or a list of groups."""
    return isinstance(value, Mapping) or (not isinstance(value, str) and any(isinstance(v, Mapping) for v in value))


def _written(group: Any, name: str, value: EntryValue) -> list[str]:
    """Return the lines of a new name, in the way of the group that it joins."""
    return [f"{name}: {_entry_value(value)}"] if group.flow_style else _lines_of(name, value)


def _lines_of(name: str, value: EntryValue) -> list[str]:
    if isinstance(value, Mapping) and value:
        return [f"{name}:", *(f"  {line}" for key, inner in value.items() for line in _lines_of(key, inner))]
    if _is_block(value):
        groups = cast("Sequence[Mapping[str, EntryValue]]", value)  # a list is of texts or of groups, never of both
        return [f"{name}:", *(f"  {line}" for entry in groups for line in _listed(entry))]
    return [f"{name}: {_entry_value(value)}"]


def _listed(entry: Mapping[str, EntryValue]) -> list[str]:
    """Return the lines of one entry of a list."""
    lines = [line for key, value in entry.items() for line in _lines_of(key, value)]
    return [f"{'  ' if i else '- '}{line}" for i, line in enumerate(lines)]


def item_span(text: str, root: Any, path: Way, value: str) -> Span:
    """Return where one more single value of the list at a path is to stand, and how it is written."""
    *way, last = path
    group, missing = _nearest(root, way)
    if missing:
        return _begun(text, group, [*missing, str(last)], [value])
    node, item = _entry(group, str(last)), _plain_or_quoted(value)
    if node is None:
        return _new_name(text, group, _written(group, str(last), [value]))
    if not isinstance(node, yaml.SequenceNode):
        return _instead(text, node, f"[{item}]")
    if node.flow_style:
        return _inside(text, node, item)
    return _lines(text, node, [f"{' ' * node.start_mark.column}- {item}"])


def _instead(text: str, node: Any, value: str) -> Span:
    """Return the span in which a value's place is taken by words that are YAML already."""
    start, end = node.start_mark.index, node.end_mark.index
    if not isinstance(node, yaml.ScalarNode) and not node.flow_style:  # lines of their own, from below the name
        end = _last_scalar(node).end_mark.index
        end -= text[end - 1] == "\n"
        above = text[:start].rstrip()
        start = len(above) if above.endswith(":") else start
    spaced = "" if text[start - 1 : start] in (" ", "\t") else " "  # nothing stood behind the colon
    return start, end, spaced + value


def _begun(text: str, group: Any, names: Sequence[str], value: EntryValue) -> Span:
    """Return the span with groups begun inside each other, and a value in the last of them."""
    first, *others = names
    for name in reversed(others):
        value = {name: value}
    node = _entry(group, first)
    if node is None:
        return _new_name(text, group, _written(group, first, value))
    return _whole(text, group, node, first, value)


def _flow(entry: Mapping[str, EntryValue]) -> str:
    return "{" + ", ".join(f"{key}: {_entry_value(value)}" for key, value in entry.items()) + "}"


def _entry_value(value: EntryValue) -> str:
    """Return a value of a new entry: days, ids and plain words as people write them, all else between quotes."""
    if isinstance(value, Mapping):
        return _flow(value)
    if not isinstance(value, str):
        return f"[{', '.join(_plain_or_quoted(v) if isinstance(v, str) else _entry_value(v) for v in value)}]"
    return value if isinstance(value, Bare) or _DAY.fullmatch(value) or _is_word(value) else quoted(value)


def _is_word(value: str) -> bool:
    """Whether every reader of YAML takes it for the text that it is, or it is the yes or no of a yes-or-no field."""
    is_plain = _PLAIN.fullmatch(value) is not None and value == value.strip() and value.isprintable()
    return value in ("yes", "no") or (is_plain and value.casefold() not in _OTHER_THINGS)


def written(value: Any) -> str:
    """Return plain values, groups and lists of them on one line of YAML.

    >>> written({"date": "2026-02-17", "topics": ["limits"], "by": "Brook, Ada"})
    '{date: 2026-02-17, topics: [limits], by: "Brook, Ada"}'
    """
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {written(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, str):
        return _entry_value(value)
    return "" if value is None else f"[{', '.join(map(written, value))}]"


def quoted(text: str) -> str:
    """Return a text as a YAML value between double quotes.

    >>> quoted('say "8"'), quoted("rings \\a")
    ('"say \\\\"8\\\\""', '"rings \\\\u0007"')
    """
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + _UNWRITABLE.sub(lambda found: f"\\u{ord(found[0]):04x}", plain) + '"'


def _plain_or_quoted(value: str) -> str:
    is_plain = value.replace(".", "").replace("-", "").isalnum() and value[0] not in ".-"
    return value if is_plain else quoted(value)


def _nearest(root: Any, way: Way) -> tuple[Any, list[str]]:
    """Return the group that the way leads to, or the last that is there with the names that are missing behind it."""
    node = root
    for i, name in enumerate(way):
        if isinstance(name, int):
            inner = node.value[name] if isinstance(node, yaml.SequenceNode) and name < len(node.value) else None
            if inner is None:
                raise KeyError(name)
        else:
            if not isinstance(node, yaml.MappingNode):
                raise KeyError(name)
            inner = _entry(node, name)
            if inner is None or _is_silent(inner):
                return node, [str(left) for left in way[i:]]
        node = inner
    if not isinstance(node, yaml.MappingNode):
        raise KeyError(way[-1] if way else "")
    return node, []


def _entry(group: Any, name: str) -> Any:
    return next((value for key, value in group.value if key.value == name), None)


def _entry_key(group: Any, name: str) -> Any:
    return next(key for key, _ in group.value if key.value == name)


def _new_name(text: str, group: Any, lines: Sequence[str]) -> Span:
    """Return where a name is added to a group: behind its last value, indented like its first name."""
    if group.flow_style:
        return _inside(text, group, lines[0])
    indent = " " * group.value[0][0].start_mark.column
    return _lines(text, group, [indent + line for line in lines])


def _inside(text: str, node: Any, value: str) -> Span:
    """Return where one more value stands in brackets: behind the last one, and a comma that was left there is used."""
    end = node.end_mark.index - 1
    if not node.value:
        return end, end, value
    if text[:end].rstrip().endswith(","):
        return end, end, f" {value}" if text[end - 1] == "," else value
    return end, end, f", {value}"


def _lines(text: str, node: Any, lines: Sequence[str]) -> Span:
    """Return the span of lines behind the line on which the last value of a node ends, its comment included."""
    return _behind_line(text, behind(text, node), lines)


def _behind_line(text: str, place: int, lines: Sequence[str]) -> Span:
    end = "\r\n" if "\r\n" in text else "\n"
    before = "" if not place or text[place - 1] == "\n" else end
    return place, place, before + "".join(line + end for line in lines)


def composed(text: str) -> Any:
    """Return the parser's tree of a text, with the marks of where everything stands."""
    return yaml.compose(text, Loader=_LOADER)


def behind(text: str, node: Any) -> int:
    """Return where the line begins that follows the last value of a node."""
    last = _last_scalar(node)
    place: int = last.end_mark.index
    if text[place - 1 : place] != "\n" or last.style not in ("|", ">"):
        newline = text.find("\n", place)
        place = len(text) if newline < 0 else newline + 1
    return place


def _last_scalar(node: Any) -> Any:
    """Return the value a node ends with; the marks of groups reach over the comments behind them."""
    while not (isinstance(node, yaml.ScalarNode) or node.flow_style or not node.value):
        node = node.value[-1][1] if isinstance(node, yaml.MappingNode) else node.value[-1]
    return node
