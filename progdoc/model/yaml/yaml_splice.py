"""Changes single values of a YAML text at the places where they stand, and no other byte.

The user's comments, order and formatting are theirs. A value is replaced between the marks where the parser
found it, and keeps its quotes; a new entry of a list goes behind the last one, indented like it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

import yaml

__all__ = ["with_entry", "with_value"]

_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def with_value(text: str, path: Sequence[str], value: str) -> str:
    """Return the text with the value at a path of names replaced, or added as the group's last entry.

    >>> with_value('program:\\n  revision: "7"  # ours\\n', ["program", "revision"], "8")
    'program:\\n  revision: "8"  # ours\\n'
    """
    *way, name = path
    group = _at(text, way)
    node = _entry(group, name)
    if node is None:
        return _with_new_name(text, group, name, [quoted(value)])
    start, end = node.start_mark.index, node.end_mark.index
    if isinstance(node, yaml.ScalarNode) and node.style in ("'", '"'):
        return text[:start] + quoted(value) + text[end:]
    spaced = "" if text[start - 1 : start] in (" ", "\t") else " "  # nothing stood behind the colon
    return text[:start] + spaced + _plain_or_quoted(value) + text[end:]


def with_entry(text: str, path: Sequence[str], entry: Mapping[str, str]) -> str:
    """Return the text with one more entry, a group of values, behind the last of the list at a path.

    >>> with_entry("program:\\n  history:\\n    - revision: 7\\n", ["program", "history"], {"revision": "8"})
    'program:\\n  history:\\n    - revision: 7\\n    - revision: "8"\\n'
    """
    *way, name = path
    group = _at(text, way)
    node = _entry(group, name)
    lines = [f"{'- ' if i == 0 else '  '}{key}: {_entry_value(value)}" for i, (key, value) in enumerate(entry.items())]
    flow = "{" + ", ".join(f"{key}: {_entry_value(value)}" for key, value in entry.items()) + "}"
    if node is None:
        return _with_new_name(text, group, name, [f"[{flow}]"] if group.flow_style else ["", *lines])
    if not isinstance(node, yaml.SequenceNode):
        return _with_value_text(text, node, f"[{flow}]")
    if node.flow_style:
        place = node.end_mark.index - 1
        return text[:place] + (f", {flow}" if node.value else flow) + text[place:]
    indent = " " * node.start_mark.column
    return _with_lines(text, node, [indent + line for line in lines])


def _with_value_text(text: str, node: Any, value: str) -> str:
    """Return the text with an empty value replaced by words that are YAML already."""
    start, end = node.start_mark.index, node.end_mark.index
    spaced = "" if text[start - 1 : start] in (" ", "\t") else " "
    return text[:start] + spaced + value + text[end:]


def _entry_value(value: str) -> str:
    """Return a value of a new entry: days as people write them, all else between quotes."""
    return value if _DAY.fullmatch(value) else quoted(value)


def quoted(text: str) -> str:
    """Return a text as a YAML value between double quotes.

    >>> quoted('say "8"')
    '"say \\\\"8\\\\""'
    """
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _plain_or_quoted(value: str) -> str:
    is_plain = value.replace(".", "").replace("-", "").isalnum() and value[0] not in ".-"
    return value if is_plain else quoted(value)


def _at(text: str, way: Sequence[str]) -> Any:
    node = yaml.compose(text, Loader=_LOADER)
    for name in way:
        node = _entry(node, name)
        if node is None:
            raise KeyError(name)
    if not isinstance(node, yaml.MappingNode):
        raise KeyError(way[-1] if way else "")
    return node


def _entry(group: Any, name: str) -> Any:
    return next((value for key, value in group.value if key.value == name), None)


def _with_new_name(text: str, group: Any, name: str, lines: Sequence[str]) -> str:
    """Add a name to a group: behind its last value, indented like its first name."""
    if group.flow_style:
        place = group.end_mark.index - 1
        glue = ", " if group.value else ""
        return f"{text[:place]}{glue}{name}: {lines[0]}{text[place:]}"
    indent = " " * group.value[0][0].start_mark.column
    first = f"{indent}{name}: {lines[0]}".rstrip()
    return _with_lines(text, group, [first, *(f"{indent}  {line}" for line in lines[1:])])


def _with_lines(text: str, node: Any, lines: Sequence[str]) -> str:
    """Put lines behind the line on which the last value of a node ends, its comment included."""
    last = _last_scalar(node)
    place = last.end_mark.index
    if text[place - 1 : place] != "\n" or last.style not in ("|", ">"):
        newline = text.find("\n", place)
        place = len(text) if newline < 0 else newline + 1
    end = "\r\n" if "\r\n" in text else "\n"
    before = "" if not place or text[place - 1] == "\n" else end
    return text[:place] + before + "".join(line + end for line in lines) + text[place:]


def _last_scalar(node: Any) -> Any:
    """Return the value a node ends with; the marks of groups reach over the comments behind them."""
    while not (isinstance(node, yaml.ScalarNode) or node.flow_style or not node.value):
        node = node.value[-1][1] if isinstance(node, yaml.MappingNode) else node.value[-1]
    return node
