"""One YAML file's bytes to a tree, within bounds: descriptions, packs and our own data are all read here.

What is no ordinary file (a pipe, a device, a link that leads nowhere) is never opened, so nothing can hang.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources.abc import Traversable
from pathlib import Path

from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.model.yaml.yaml_faults import fault
from progdoc.model.yaml.yaml_text import decoded
from progdoc.model.yaml.yaml_tree import MOST_VALUES, Tree, read_tree

__all__ = ["MOST_BYTES", "Bounds", "os_reason", "read_file", "readable"]

MOST_BYTES = 20_000_000


@dataclass(slots=True)
class Bounds:
    """How much may be read; files that belong together share it."""

    most_bytes: int = MOST_BYTES
    most_values: int = MOST_VALUES
    bytes: int = 0  # that have been read
    values: int = 0


def read_file(file: Traversable, name: str, bounds: Bounds) -> Tree:
    """Return what a file says, with every fault under the name that the user knows it by."""
    data, refused = _bytes_of(file, name, bounds)
    text, bad = decoded(data, name) if data is not None else (None, refused)
    tree = read_tree(text, name, bounds.most_values, bounds.values) if text is not None else Tree(is_complete=False)
    tree.diagnostics[:0] = bad
    bounds.bytes += len(data or b"")
    bounds.values += tree.values
    return tree


def _bytes_of(file: Traversable, name: str, bounds: Bounds) -> tuple[bytes | None, list[Diagnostic]]:
    here = Location(name, 0, 0)
    try:
        if not file.is_file():
            if not file.is_dir() and not (isinstance(file, Path) and file.exists()):
                return None, [fault("YAML-003", here, f"{name} leads to a file that is not there")]
            kind = "a folder" if file.is_dir() else "a device or a pipe"
            return None, [fault("YAML-003", here, f"{name} is {kind}, not a file")]
        with file.open("rb") as stream:
            data = stream.read(bounds.most_bytes - bounds.bytes + 1)
    except OSError as error:
        return None, [fault("YAML-003", here, f"{name} cannot be read: {os_reason(error)}")]
    if bounds.bytes + len(data) > bounds.most_bytes:
        return None, [fault("YAML-005", here, f"with {name} there are over {bounds.most_bytes:,} bytes to read")]
    return data, []


def os_reason(error: OSError) -> str:
    """Return why the system refuses a file, in words that fit into a sentence."""
    return (error.strerror or "the disk refuses it").lower()


def readable(name: str) -> str:
    """Return a file name that any terminal and any file can show."""
    text = name.encode("utf-8", errors="surrogateescape").decode("utf-8", errors="replace")
    return "".join(character if character.isprintable() else "\ufffd" for character in text)
