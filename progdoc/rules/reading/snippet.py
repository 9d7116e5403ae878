"""The lines that a finding shows to type: keys and form, with a blank where only the firm knows the answer.

An example of the catalogue is complete, so that it can be tried; copied blindly, its `yes` would state what nobody
looked at. So a finding shows what may be written in place of each such answer.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

import yaml

from progdoc.model.description.fields import field_at

__all__ = ["to_type"]

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@cache
def to_type(example: str) -> str:
    """Return an example with every answer that is one of a few replaced by these.

    >>> print(to_type("procedures:\\n  medical:\\n    answers_unseen: yes\\n    confidential: By post"))
    procedures:
      medical:
        answers_unseen:  # yes or no
        confidential: By post
    """
    lines = example.splitlines()
    for node, path in _scalars(_LOADER(example).get_single_node(), ""):
        field = field_at(path)
        line, begin, end = node.start_mark.line, node.start_mark.column, node.end_mark.column
        if field and field.values and not field.is_list and lines[line][end:].strip() == "":
            lines[line] = f"{lines[line][:begin].rstrip()}  # {_either(field.values)}"
    return "\n".join(lines)


def _scalars(node: Any, path: str) -> Iterator[tuple[Any, str]]:
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            yield from _scalars(value, f"{path}.{key.value}".removeprefix("."))
    elif isinstance(node, yaml.SequenceNode):
        for entry in node.value:
            yield from _scalars(entry, f"{path}[]")
    elif node is not None:
        yield node, path


def _either(values: tuple[str, ...]) -> str:
    return f"{', '.join(values[:-1])} or {values[-1]}" if len(values) > 1 else values[0]
