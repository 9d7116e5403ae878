"""Takes whole entries of a top-level list as they were typed, and puts such text behind the last entry of another list.

Comments inside an entry and beside it go along; those on lines of their own before it stay where they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import yaml

from progdoc.model.yaml.yaml_splice import behind, composed

__all__ = ["entry_texts", "with_entry_texts"]

_INDENT = 2


def entry_texts(text: str, name: str, numbers: Iterable[int]) -> list[list[str]]:
    """Return entries of a top-level list as lines that begin with a dash at the left.

    >>> entry_texts("people:\\n  - id: jo  # new\\n    job: Mason\\n", "people", [0])
    [['- id: jo  # new', '  job: Mason']]
    """
    items = _list(composed(text), name).value
    return [_lines_of(text, items[number]) for number in numbers]


def _lines_of(text: str, item: Any) -> list[str]:
    start, column = item.start_mark.index, item.start_mark.column
    line_start = text.rfind("\n", 0, start) + 1
    dash = text[line_start:start]
    if dash.strip() != "-":  # one of several in brackets
        return ["- " + " ".join(part.strip() for part in text[start : item.end_mark.index].splitlines())]
    at = dash.index("-")
    first, *others = text[line_start : behind(text, item)].splitlines()
    return [first[at:], *(_less_indented(line, at) for line in others)] if column else [first]


def _less_indented(line: str, by: int) -> str:
    return line[min(by, len(line) - len(line.lstrip(" "))) :]


def with_entry_texts(text: str, name: str, entries: Sequence[Sequence[str]]) -> str:
    """Return a text with entries behind the last one of a top-level list, which is begun if it is not there.

    >>> with_entry_texts("former_people:\\n- id: jo\\n", "former_people", [["- id: bo", "  name: Bo"]])
    'former_people:\\n- id: jo\\n- id: bo\\n  name: Bo\\n'
    """
    root = composed(text)
    end = "\r\n" if "\r\n" in text else "\n"
    is_begun = root is not None and any(key.value == name for key, _ in root.value)
    lines = [line for entry in entries for line in entry]
    if not is_begun:
        head = "" if not text or text.endswith("\n") else end
        return text + head + f"{name}:{end}" + "".join(" " * _INDENT + line + end for line in lines)
    items = _list(root, name)
    if items.flow_style:
        raise KeyError(f"`{name}` is written in brackets")
    place = behind(text, items)
    head = "" if text[:place].endswith("\n") else end
    indent = " " * items.start_mark.column
    return text[:place] + head + "".join(indent + line + end for line in lines) + text[place:]


def _list(root: Any, name: str) -> Any:
    found = next((node for key, node in root.value if key.value == name), None) if root is not None else None
    if not isinstance(found, yaml.SequenceNode):
        raise KeyError(f"`{name}` is no list")
    return found
