"""One YAML file's bytes to a tree, within bounds: descriptions, packs and our own data are all read here.

What is no ordinary file (a pipe, a device, a link that leads nowhere) is never opened, so nothing can hang.
"""

from __future__ import annotations

import codecs
from importlib.resources.abc import Traversable

from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_number
from progdoc.core.unread import Unread
from progdoc.model.yaml.read_before import tree_read_before
from progdoc.model.yaml.yaml_faults import fault
from progdoc.model.yaml.yaml_text import decoded
from progdoc.model.yaml.yaml_tree import MOST_VALUES, Tree, read_tree

__all__ = ["MOST_BYTES", "Bounds", "content_of", "os_reason", "read_content", "read_file", "readable", "text_of"]

MOST_BYTES = 20_000_000


@dataclass(slots=True)
class Bounds:
    """How much may be read; files that belong together share it."""

    most_bytes: int = MOST_BYTES
    most_values: int = MOST_VALUES
    bytes: int = 0  # that have been read
    values: int = 0


def read_content(content: bytes | Unread, name: str, bounds: Bounds) -> Tree:
    """Return what a file says that was read to bytes, with every fault under the name that the user knows it by."""
    data, refused = _within(content, name, bounds)
    text, bad = decoded(data, name) if data is not None else (None, refused)
    tree = read_tree(text, name, bounds.most_values, bounds.values) if text is not None else Tree(is_complete=False)
    tree.diagnostics[:0] = bad
    return _counted(tree, data or b"", bounds)


def read_file(file: Traversable, name: str, bounds: Bounds) -> Tree:
    """Return what a file of a pack, or of our own, says."""
    content = content_of(file, bounds.most_bytes - bounds.bytes)
    tree = None if isinstance(content, Unread) else tree_read_before(content)
    if isinstance(content, Unread) or tree is None or not _has_room(content, tree, bounds):
        return read_content(content, name, bounds)
    return _counted(tree, content, bounds)


def _has_room(content: bytes, tree: Tree, bounds: Bounds) -> bool:
    return bounds.bytes + len(content) <= bounds.most_bytes and bounds.values + tree.values <= bounds.most_values


def _counted(tree: Tree, content: bytes, bounds: Bounds) -> Tree:
    bounds.bytes += len(content)
    bounds.values += tree.values
    return tree


def content_of(file: Traversable, most: int) -> bytes | Unread:
    """Return the bytes of an ordinary file, one more than `most` where there are more; or why it can't be read."""
    try:
        if not file.is_file():
            return Unread(
                said("is a folder, not a file") if file.is_dir() else said("leads nowhere, or to a device or a pipe")
            )
        with file.open("rb") as stream:
            data: bytes = stream.read(most + 1)
    except OSError as error:
        return Unread(said("cannot be read: %(reason)s", reason=os_reason(error)))
    return data


def _within(content: bytes | Unread, name: str, bounds: Bounds) -> tuple[bytes | None, list[Diagnostic]]:
    here = Location(name, 0, 0)
    if isinstance(content, Unread) and not content.is_too_large:
        return None, [fault("YAML-003", here, said("%(name)s %(why)s", name=name, why=content.why))]
    if isinstance(content, Unread) or bounds.bytes + len(content) > bounds.most_bytes:
        return None, [
            fault(
                "YAML-005",
                here,
                said(
                    "with %(name)s there are over %(most)s bytes to read",
                    name=name,
                    most=said_number(f"{bounds.most_bytes:,}"),
                ),
            )
        ]
    return content, []


def os_reason(error: OSError | ValueError) -> str:
    """Return why the system refuses a file, in words that fit into a sentence."""
    return (getattr(error, "strerror", None) or "the disk refuses it").lower()


def readable(name: str) -> str:
    """Return a file name that any terminal and any file can show."""
    text = name.encode("utf-8", errors="surrogateescape").decode("utf-8", errors="replace")
    return "".join(character if character.isprintable() else "\ufffd" for character in text)


def text_of(data: bytes) -> str:
    """Return some text of a file that is to be searched, whatever it is encoded in."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16", "replace")
    try:
        return data.decode()
    except UnicodeDecodeError:
        return data.replace(b"\0", b"").decode("latin-1")
