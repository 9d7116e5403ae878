"""Files to plain values, with a place for every one of them.

Values keep the text that was typed: `NO`, `010` and `1:30` mean nothing here, the field they stand in
gives them their type. Whatever YAML could turn into something else behind the user's back (duplicate
names, aliases, tags) is refused with its place. Everything the user can mend is collected, never raised.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.model.yaml_faults import fault
from progdoc.model.yaml_text import decoded
from progdoc.model.yaml_tree import MOST_VALUES, Node, Tree, dotted, dotted_name, read_tree

__all__ = ["Description", "Plain", "dotted", "read_description"]

MOST_BYTES = 20_000_000
_ENDINGS = (".yaml", ".yml")

Plain = dict[str, "Plain"] | list["Plain"] | str | None

_LAST_STEP = re.compile(r"""(?:\.?"(?:[^"\\]|\\.)*"|\.?[^.\[\]"]+|\[[0-9]*\])$""")


@dataclass(frozen=True, slots=True)
class Description:
    """What the files say: values as typed, the place of each, and what could not be understood."""

    name: str  # the file or folder, as the user would recognise it
    values: dict[str, Plain] = field(default_factory=dict)
    positions: dict[str, Location] = field(default_factory=dict)  # dotted path → the value's place
    key_positions: dict[str, Location] = field(default_factory=dict)  # dotted path → its name's place
    diagnostics: list[Diagnostic] = field(default_factory=list)
    files: tuple[str, ...] = ()
    is_complete: bool = True  # every file was read to its end: what is missing here is missing there

    def locate(self, path: str) -> Location:
        """Return the place of a value or, where there is none, of the nearest part it would belong to."""
        return self._nearest(path, self.positions)

    def locate_key(self, path: str) -> Location:
        """Return the place of a value's name, or of the nearest part it would belong to."""
        return self._nearest(path, self.key_positions)

    def _nearest(self, path: str, places: dict[str, Location]) -> Location:
        known = path
        while known:
            if known in places:
                place = places[known]
                return Location(place.file, place.line, place.column, path)
            shorter = _LAST_STEP.sub("", known)
            known = shorter if shorter != known else known[:-1]
        return Location(self.name, 0, 0, path)


def read_description(path: Path) -> Description:
    """Read one YAML file, or every YAML file of a folder in the order of their names."""
    name = _readable(path.name or str(path))
    try:
        files, faults = _files_of(path, name)
    except FileNotFoundError:
        files, faults = (
            [],
            [fault("YAML-001", Location(name, 0, 0), f"there is no file or folder {_readable(str(path))}")],
        )
    except OSError as error:
        files, faults = (
            [],
            [fault("YAML-003", Location(name, 0, 0), f"{name} cannot be read: {_reason(error)}")],
        )
    trees: list[Tree] = []
    names = [_readable(file.name) for file in files]
    bytes_left, values_left = MOST_BYTES, MOST_VALUES
    for file, shown_name in zip(files, names, strict=True):
        data, refused = _bytes_of(file, shown_name, bytes_left)
        text, bad = decoded(data, shown_name) if data is not None else (None, refused)
        tree = read_tree(text, shown_name, values_left) if text is not None else Tree(is_complete=False)
        tree.diagnostics[:0] = bad
        bytes_left -= len(data or b"")
        values_left = max(0, values_left - tree.values)
        trees.append(tree)
    description = Description(name, files=tuple(names), is_complete=not faults and all(t.is_complete for t in trees))
    description.diagnostics.extend(faults)
    top, owner = _joined(names, trees, description.diagnostics)
    for key, parts in top.items():
        _flatten(key, parts, owner, description)
    return description


def _files_of(path: Path, name: str) -> tuple[list[Path], list[Diagnostic]]:
    """Return the files to read; symbolic links that lead nowhere and special files are faults."""
    here = Location(name, 0, 0)
    path.lstat()  # a link that leads to itself raises here or below, as an unreadable path does
    if path.is_dir():
        found = sorted(
            (entry for entry in path.iterdir() if entry.suffix.lower() in _ENDINGS and not entry.name.startswith(".")),
            key=lambda entry: entry.name,
        )
        if not found:
            return [], [fault("YAML-002", here, f"the folder {name} holds no file that ends in .yaml or .yml")]
        return found, []
    path.stat()
    if path.suffix.lower() not in _ENDINGS:
        return [], [fault("YAML-004", here, f"{name} does not end in .yaml or .yml")]
    return [path], []


def _bytes_of(file: Path, name: str, bytes_left: int) -> tuple[bytes | None, list[Diagnostic]]:
    here = Location(name, 0, 0)
    try:
        if not file.exists():
            return None, [fault("YAML-003", here, f"{name} leads to a file that is not there")]
        if not file.is_file():
            kind = "a folder" if file.is_dir() else "a device or a pipe"
            return None, [fault("YAML-003", here, f"{name} is {kind}, not a file")]
        with file.open("rb") as stream:
            data = stream.read(bytes_left + 1)
    except OSError as error:
        return None, [fault("YAML-003", here, f"{name} cannot be read: {_reason(error)}")]
    if len(data) > bytes_left:
        return None, [fault("YAML-005", here, f"with {name} the description is over {MOST_BYTES:,} bytes large")]
    return data, []


def _reason(error: OSError) -> str:
    return (error.strerror or "the disk refuses it").lower()


def _readable(name: str) -> str:
    """Return a file name that any terminal and any file can show."""
    text = name.encode("utf-8", errors="surrogateescape").decode("utf-8", errors="replace")
    return "".join(character if character.isprintable() else "\ufffd" for character in text)


def _joined(
    names: list[str], trees: list[Tree], faults: list[Diagnostic]
) -> tuple[dict[str, list[Node]], dict[int, str]]:
    """Return for every top-level name its parts (more than one for a list), and the file of each part."""
    top: dict[str, list[Node]] = {}
    owner: dict[int, str] = {}
    for file, tree in zip(names, trees, strict=True):
        for key, node in tree.top.items():
            owner[id(node)] = file
            first = top.get(key)
            if first is None:
                top[key] = [node]
            elif isinstance(node.content, list) and isinstance(first[0].content, list):
                first.append(node)
            else:
                there = f"{owner[id(first[0])]}, line {first[0].key_line}"
                where = Location(file, node.key_line, node.key_column, dotted_name(key))
                tree.diagnostics.append(fault("YAML-041", where, f"`{key}` stands in this file and in {there}"))
        faults.extend(tree.diagnostics)
    return top, owner


def _flatten(key: str, parts: list[Node], owner: dict[int, str], description: Description) -> None:
    path = dotted_name(key)
    for part in reversed(parts):  # so that the first one's place stays
        _place(part, path, owner[id(part)], description)
    if len(parts) == 1:
        description.values[key] = _plain(parts[0], path, owner[id(parts[0])], description)
        return
    joined: list[Plain] = []
    for part in parts:
        for item in part.content if isinstance(part.content, list) else []:
            joined.append(_item(item, f"{path}[{len(joined)}]", owner[id(part)], description))
    description.values[key] = joined


def _item(node: Node, path: str, file: str, description: Description) -> Plain:
    _place(node, path, file, description)
    return _plain(node, path, file, description)


def _place(node: Node, path: str, file: str, description: Description) -> None:
    place = Location(file, node.line, node.column, path)
    description.positions[path] = place
    same = node.line == node.key_line and node.column == node.key_column
    description.key_positions[path] = place if same else Location(file, node.key_line, node.key_column, path)


def _plain(node: Node, path: str, file: str, description: Description) -> Plain:
    content = node.content
    if isinstance(content, dict):
        return {k: _item(n, f"{path}.{dotted_name(k)}", file, description) for k, n in content.items()}
    if isinstance(content, list):
        return [_item(n, f"{path}[{i}]", file, description) for i, n in enumerate(content)]
    return content
