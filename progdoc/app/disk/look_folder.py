"""The folder of a firm's own look: its files to bytes, none from outside it, no more than a look can need."""

from __future__ import annotations

from pathlib import Path

from progdoc.app.firm_look import is_read
from progdoc.core.unread import Unread
from progdoc.model.yaml.yaml_file import os_reason, readable

__all__ = ["files_of_look"]

_MOST_BYTES = 20_000_000  # of all its files
_MOST_FILES = 300
_DEEPEST = 5


def files_of_look(folder: Path, inside: Path | None = None) -> dict[str, bytes | Unread] | Unread:
    """Return the files of a look by their names inside its folder; or why there are none.

    Parameters
    ----------
    folder
        Where they are.
    inside
        The folder that it may not lead out of, if there is one.
    """
    try:
        home = folder.resolve(strict=True)
        if inside is not None and not home.is_relative_to(inside.resolve()):
            return Unread("leads out of the folder of the description")
        if not home.is_dir():
            return Unread("is no folder")
        found: dict[str, bytes | Unread] = {}
        _gather(home, "", found)
    except (OSError, ValueError, RuntimeError) as error:
        missing = isinstance(error, FileNotFoundError)
        reason = os_reason(error) if isinstance(error, OSError | ValueError) else "it leads back to itself"
        return Unread("is not there" if missing else f"cannot be read: {reason}")
    return found


def _gather(folder: Path, above: str, found: dict[str, bytes | Unread]) -> None:
    for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
        name = f"{above}{readable(entry.name)}"
        if not is_read(name):
            continue
        if len(found) >= _MOST_FILES:
            found[name] = Unread(f"is one of over {_MOST_FILES} files, more than a look can have")
            return
        if entry.is_symlink():
            found[name] = Unread("is a link, which may lead out of the folder")
        elif entry.is_dir():
            if name.count("/") >= _DEEPEST:
                found[name] = Unread("lies deeper than any file of a look")
            else:
                _gather(entry, f"{name}/", found)
        elif entry.is_file():
            held = sum(len(data) for data in found.values() if isinstance(data, bytes))
            found[name] = _bytes_of(entry, _MOST_BYTES - held)
        else:
            found[name] = Unread("is a device or a pipe, not a file")


def _bytes_of(file: Path, most: int) -> bytes | Unread:
    try:
        with file.open("rb") as stream:
            data = stream.read(most + 1)
    except OSError as error:
        return Unread(f"cannot be read: {os_reason(error)}")
    return data if len(data) <= most else Unread(f"is too large: a look has no more than {_MOST_BYTES:,} bytes", True)
