"""Files to plain values, with a place for every one of them.

Values keep the text that was typed: `NO`, `010` and `1:30` mean nothing here, the field they stand in
gives them their type. Whatever YAML could turn into something else behind the user's back (duplicate
names, aliases, tags) is refused with its place. Everything the user can mend is collected, never raised.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from pathlib import PurePosixPath

from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said
from progdoc.core.unread import Unread
from progdoc.model.yaml.packed_entries import packed
from progdoc.model.yaml.yaml_faults import fault
from progdoc.model.yaml.yaml_file import Bounds, read_content
from progdoc.model.yaml.yaml_syntax import shown
from progdoc.model.yaml.yaml_tree import Node, Tree, dotted, dotted_name

__all__ = [
    "YAML_ENDINGS",
    "Description",
    "Plain",
    "column_file_of",
    "dotted",
    "is_description",
    "let_go",
    "read_description",
    "value_of",
    "with_packed_lists",
    "with_part",
]

YAML_ENDINGS = (".yaml", ".yml")
COLUMN_FILES = ".columns.yaml"

Part = tuple[str, Node]  # a file and what it says under one top-level name
Plain = dict[str, "Plain"] | list["Plain"] | str | None

# One step of a dotted path: a name, a quoted name, or an index in brackets.
_STEP = re.compile(r"""\.?(?:"(?P<quoted>(?:[^"\\]|\\.)*)"|(?P<name>[^.\[\]"]+))|\[(?P<index>[0-9]{1,9})\]""")


@dataclass(frozen=True, slots=True)
class Description:
    """What the files say: values as typed, the place of each, and what could not be understood."""

    name: str  # the file or folder, as the user would recognise it
    values: Mapping[str, Plain] = field(default_factory=dict)
    diagnostics: list[Diagnostic] = field(default_factory=list)
    files: tuple[str, ...] = ()
    is_complete: bool = True  # every file was read to its end: what is missing here is missing there
    parts: dict[str, list[Part]] = field(default_factory=dict, repr=False)  # of each top-level name

    def locate(self, path: str) -> Location:
        """Return the place of a value or, where there is none, of the nearest part it would belong to."""
        found = self._nearest(path)
        return Location(found[0], found[1].line, found[1].column, path) if found else Location(self.name, 0, 0, path)

    def locate_key(self, path: str) -> Location:
        """Return the place of a value's name, or of the nearest part it would belong to."""
        found = self._nearest(path)
        if not found:
            return Location(self.name, 0, 0, path)
        return Location(found[0], found[1].key_line, found[1].key_column, path)

    @property
    def positions(self) -> dict[str, Location]:
        """Every dotted path with the place of its value, built anew at each call: `locate` is the quick way."""
        return {path: self.locate(path) for key in self.values for path in _paths(dotted_name(key), self.values[key])}

    def _nearest(self, path: str) -> tuple[str, Node] | None:
        """Walk down the path as far as it leads."""
        steps = _STEP.finditer(path)
        first = next(steps, None)
        parts = self.parts.get(_name_of(first)) if first else None
        if parts is None:
            return None
        file, node = parts[0]
        for count, step in enumerate(steps):
            index = None if step["index"] is None else int(step["index"])
            if index is not None and count == 0 and isinstance(node.content, list):
                file, content, index = _part_with(parts, index)
                inner = content[index] if index < len(content) else None
            else:
                inner = node.part(_name_of(step) if index is None else index)
            if inner is None:
                break
            node = inner
            file = node.file or file
        return file, node


def _name_of(step: re.Match[str]) -> str:
    if step["quoted"] is None:
        return step["name"] or ""
    try:
        return str(json.loads(f'"{step["quoted"]}"'))
    except ValueError:
        return step["quoted"]


def _part_with(parts: list[Part], index: int) -> tuple[str, list[Node], int]:
    """Return the file and the list that hold an entry of a list spread over files, and its index there."""
    for file, node in parts:
        items = node.content if isinstance(node.content, list) else []
        if index < len(items):
            return file, items, index
        index -= len(items)
    return parts[0][0], [], 0


def _paths(path: str, value: Plain) -> Iterator[str]:
    yield path
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from _paths(f"{path}.{dotted_name(name)}", inner)
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _paths(f"{path}[{index}]", inner)


def is_description(name: str) -> bool:
    """Whether a file of a folder is read as part of its description: YAML, not hidden, not in a folder inside.

    What tells about the columns of a table belongs to that table.

    >>> names = ("tasks.yaml", "people.csv", "people.columns.yaml", ".tasks.yaml.swp", "old/tasks.yaml")
    >>> [is_description(name) for name in names]
    [True, False, False, False, False]
    """
    is_yaml = PurePosixPath(name).suffix.lower() in YAML_ENDINGS and not name.lower().endswith(COLUMN_FILES)
    return is_yaml and "/" not in name and not name.startswith(".")


def column_file_of(table: str) -> str:
    """Return the name of the file that tells about the columns of a table.

    >>> column_file_of("people.xlsx")
    'people.columns.yaml'
    """
    return f"{PurePosixPath(table).stem}{COLUMN_FILES}"


def read_description(name: str, files: Mapping[str, bytes | Unread], faults: Sequence[Diagnostic] = ()) -> Description:
    """Read YAML files in the order of their names.

    Parameters
    ----------
    name
        The file or folder they come from, as its owner would recognise it.
    files
        What they hold, or why it could not be had.
    faults
        Why there are no files at all, where that is known.
    """
    found = list(faults)
    if not files and not faults:
        what = said("the folder %(name)s holds no file that ends in .yaml or .yml", name=name)
        found.append(fault("YAML-002", Location(name, 0, 0), what))
    names = sorted(files)
    bounds = Bounds()
    trees = [read_content(files[file], file, bounds) for file in names]
    parts = _joined(names, trees, found)
    return Description(
        name,
        values={key: _joined_value(of_key) for key, of_key in parts.items()},
        diagnostics=found,
        files=tuple(names),
        is_complete=bool(trees) and all(tree.is_complete for tree in trees),
        parts=parts,
    )


def with_part(description: Description, key: str, parts: list[Part]) -> Description:
    """Return the description with what stands under a top-level name replaced, or taken out if there is no part."""
    values = {name: value for name, value in description.values.items() if name != key}
    others = {name: part for name, part in description.parts.items() if name != key}
    if parts:
        values[key], others[key] = _joined_value(parts), parts
    is_complete = description.is_complete and bool(parts)
    files = dict.fromkeys([*description.files, *(file for file, _ in parts)])
    return replace(description, values=values, parts=others, files=tuple(files), is_complete=is_complete)


class _ToBeSaid(Mapping[str, Plain]):
    """The values of a description, made from its parts when somebody asks: once they are understood, hardly anybody."""

    def __init__(self, names: Iterable[str], parts: Mapping[str, list[Part]]) -> None:
        self._names, self._parts = tuple(names), parts
        self._made: dict[str, Plain] = {}

    def __getitem__(self, name: str) -> Plain:
        if name not in self._names:
            raise KeyError(name)
        if name not in self._made:
            self._made[name] = _joined_value(self._parts[name])
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


def with_packed_lists(description: Description) -> Description:
    """Return the same with what is told of the places in long lists in as little room as can be."""
    parts = {name: [(file, packed(node)) for file, node in of_name] for name, of_name in description.parts.items()}
    return replace(description, parts=parts)


def let_go(description: Description) -> Description:
    """Return the same with its values in nodes alone: of many people they take as much room twice."""
    return replace(description, values=_ToBeSaid(description.values, description.parts))


def _joined(names: list[str], trees: list[Tree], faults: list[Diagnostic]) -> dict[str, list[Part]]:
    """Return for every top-level name its parts (more than one for a list), and add each file's faults."""
    top: dict[str, list[Part]] = {}
    for file, tree in zip(names, trees, strict=True):
        faults.extend(tree.diagnostics)
        for key, node in tree.top.items():
            there = top.setdefault(key, [])
            if not there or (isinstance(node.content, list) and isinstance(there[0][1].content, list)):
                there.append((file, node))
                continue
            where = Location(file, node.key_line, node.key_column, dotted_name(key))
            what = said(
                "%(shown)s stands in this file and in %(file)s, line %(line)s",
                shown=shown(key),
                file=there[0][0],
                line=there[0][1].key_line,
            )
            faults.append(fault("YAML-041", where, what))
    return top


def _joined_value(parts: list[Part]) -> Plain:
    if len(parts) == 1:
        return value_of(parts[0][1])
    return [value_of(item) for _, node in parts if isinstance(node.content, list) for item in node.content]


def value_of(node: Node) -> Plain:
    """Return what stands at a node, without its places."""
    content = node.content
    if isinstance(content, dict):
        return {name: value_of(inner) for name, inner in content.items()}
    if isinstance(content, list):
        return [value_of(inner) for inner in content]
    return content
