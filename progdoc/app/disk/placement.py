"""Puts a set of files in place so that no crash leaves a mixture behind for good. Every writer goes this way.

0. The writer holds the folder (`staging.py`): one run at a time. What an interrupted run left is mended first.
1. Everything new is written and synced under `.progdoc-new/`; nothing else is touched.
2. A folder that is not there yet takes its place whole, by one rename; so does a single file. Done.
3. In a folder that is there, a journal is put beside what waits: from here on the new set is certain.
4. Files move into place one by one, old ones go, the manifest comes last; then journal and staging go.

A run that finds a staging folder without a journal throws it away (the old set stands); with a journal it goes
on with step 4, which may be repeated as often as need be. A file that somebody changed in the meantime is left
as it is: it then differs from the manifest and is treated like every file edited by hand.
"""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from progdoc.app.disk.manifest_files import digest
from progdoc.app.disk.ordinary_files import content_of
from progdoc.app.disk.staging import FILES, JOURNAL, ForeignStagingError, HeldElsewhereError, cleared, held, staging_of
from progdoc.app.manifest import MANIFEST, RESTRICTED, STAGING, Content, Parts, folded, is_safe_name
from progdoc.core.late_dataclass import dataclass

__all__ = [
    "Held",
    "Move",
    "as_closed_as",
    "holding",
    "is_half_placed",
    "link_in",
    "put_file",
    "put_in_place",
    "put_whole",
    "stage",
]

_FORMAT = "progdoc-journal/1"
_OWNER_ONLY_FILE, _OWNER_ONLY_FOLDER = 0o600, 0o700
_OTHERS = 0o077
_ANY_FILE, _ANY_FOLDER = 0o666, 0o777  # as far as the user's own mask allows


@dataclass(frozen=True, slots=True)
class Held:
    """A place that this run alone writes to."""

    staging: Path
    left_by: str  # the run that was interrupted here, "" for none
    mended: bool  # whether what that one had decided was completed; else it was thrown away


@dataclass(frozen=True, slots=True)
class Move:
    """One name whose content changes: SHA-256 before and after, "" where there was or will be no file."""

    name: str
    old: str
    new: str


def link_in(folder: Path, name: str) -> str:
    """Return the first part of the name that is a link on the disk, or ""."""
    parts = name.split("/")
    partial = ["/".join(parts[: count + 1]) for count in range(len(parts))]
    return next((part for part in partial if (folder / part).is_symlink()), "")


def _folders_of(folder: Path, name: str) -> list[Path]:
    """Return the folders a name lies in, innermost first, the output folder itself last."""
    return list((folder / name).parents)[: name.count("/") + 1]


def _make_folders(folder: Path, name: str, owner_only: bool) -> None:
    for path in reversed(_folders_of(folder, name)):
        if not path.is_dir():
            path.mkdir(_OWNER_ONLY_FOLDER if owner_only else _ANY_FOLDER)


def _tighten(folder: Path, names: Iterable[str]) -> None:
    """Close to others what names workers, whoever had opened it: these files, and the folders they are in."""
    for name in sorted(name for name in names if name.startswith(RESTRICTED)):
        for path in (*_folders_of(folder, name)[:-1], folder / name):
            if link_in(folder, path.relative_to(folder).as_posix()) or not path.exists():
                continue
            mode = stat.S_IMODE(path.stat().st_mode)
            if os.name == "posix" and mode & _OTHERS:
                path.chmod(mode & ~_OTHERS)


def as_closed_as(old: Path, new: Path) -> None:
    """Open a new file to nobody to whom the one was closed that it takes the place of."""
    if os.name == "posix" and old.is_file():
        mode, was = stat.S_IMODE(new.stat().st_mode), stat.S_IMODE(old.stat().st_mode)
        if mode & ~was:
            new.chmod(mode & was)


def _write(path: Path, content: Content, mode: int) -> None:
    """Write a new file and wait until the disk has it."""
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
    try:
        for part in content if isinstance(content, Parts) else (content,):
            rest = memoryview(part)
            while rest:
                rest = rest[os.write(descriptor, rest) :]
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _sync(folder: Path) -> None:
    """Wait until the disk has the folder's list of names; systems other than POSIX offer no way to ask."""
    if os.name == "posix":
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


@contextmanager
def holding(folder: Path, name: str = "") -> Iterator[Held]:
    """Hold a folder while files are placed in it, or one new name in it; first what an interrupted run left is mended.

    A folder that is not there yet is held by its name in the one it will lie in.
    """
    while True:
        is_there = bool(name) or folder.is_dir()
        home, key = (folder, name) if is_there else (folder.parent, folder.name)
        home.mkdir(parents=True, exist_ok=True)
        with held(home, key) as staging:
            if is_there or not folder.is_dir():  # else another run has just made it
                moves = None if key else _journal(folder)
                if moves is not None:
                    _finish(folder, moves)
                cleared(staging.path)
                beside = "" if key else _left_beside(folder)  # cleared away even where both were left
                yield Held(staging.path, staging.left_by or beside, moves is not None)
                return


def _left_beside(folder: Path) -> str:
    """Clear away what a run left that was interrupted when its folder had just taken its place; return which it was."""
    with suppress(OSError, HeldElsewhereError, ForeignStagingError):
        home, name = folder.absolute().parent, folder.absolute().name
        if staging_of(home, name).exists():
            with held(home, name) as staging:
                return staging.left_by
    return ""


def stage(place: Held, files: Iterable[tuple[str, Content]], owner_only: bool = False) -> None:
    """Write new files where they wait, in folders as they will be: one after the other, so that none has to be kept."""
    waiting = place.staging / FILES
    waiting.mkdir(_ANY_FOLDER)  # inside a folder for the owner's eyes
    folders = {waiting}
    for name, data in files:
        is_restricted = owner_only or name.startswith(RESTRICTED)
        path = waiting / name
        if path.parent not in folders:
            _make_folders(waiting, name, owner_only=name.startswith(RESTRICTED))
            folders.update(_folders_of(waiting, name))
        _write(path, data, _OWNER_ONLY_FILE if is_restricted else _ANY_FILE)
    for path in sorted(folders):
        _sync(path)


def _decide(staging: Path, moves: list[Move]) -> None:
    """Put the journal beside what waits."""
    rows = [[move.name, move.old, move.new] for move in moves]
    journal = json.dumps({"format": _FORMAT, "moves": rows}, indent=1).encode()
    _write(staging / f"{JOURNAL}.part", journal, _OWNER_ONLY_FILE)
    (staging / f"{JOURNAL}.part").replace(staging / JOURNAL)
    _sync(staging)
    _sync(staging.parent)


def _journal(folder: Path) -> list[Move] | None:
    """Return what an interrupted run had decided, or None if it had not come that far."""
    try:
        value = json.loads(content_of(folder / STAGING / JOURNAL))
        moves = [Move(str(name), str(old), str(new)) for name, old, new in value["moves"]]
    except (FileNotFoundError, NotADirectoryError, ValueError, KeyError, TypeError, RecursionError):
        return None
    return moves if all(is_safe_name(move.name) for move in moves) else None


def _put(folder: Path, move: Move) -> None:
    waiting = folder / STAGING / FILES / move.name
    if link_in(folder, move.name) or digest(waiting) != move.new:
        return
    if digest(folder / move.name) in (move.old, move.new):
        _make_folders(folder, move.name, owner_only=move.name.startswith(RESTRICTED))
        as_closed_as(folder / move.name, waiting)
        waiting.replace(folder / move.name)


def _take_away(folder: Path, move: Move) -> None:
    """Remove one old file and the folders it leaves empty."""
    path = folder / move.name
    if not link_in(folder, move.name) and digest(path) == move.old:
        path.unlink()
    for parent in _folders_of(folder, move.name)[:-1]:
        if not parent.is_dir() or parent.is_symlink() or any(parent.iterdir()):
            break
        parent.rmdir()


def _finish(folder: Path, moves: list[Move]) -> None:
    placed = [move for move in moves if move.new and move.name != MANIFEST]
    for move in placed:
        _put(folder, move)
    for move in moves:
        if not move.new:
            _take_away(folder, move)
    touched = {path for move in moves for path in _folders_of(folder, move.name)}
    for path in sorted(path for path in touched if path.is_dir()):
        _sync(path)
    for move in moves:
        if move.name == MANIFEST:
            _put(folder, move)
    _sync(folder)
    (folder / STAGING / JOURNAL).unlink()


def is_half_placed(folder: Path) -> bool:
    """Whether a run was interrupted after it had begun to put files in place."""
    try:
        return _journal(folder) is not None
    except OSError:
        return True  # there is one, even if it cannot be read now


def _is_same_file(old: Path, new: Path | None) -> bool:
    """Whether only the case of a name changes, on a disk that cannot tell: then nothing must be removed."""
    return new is not None and old.exists() and new.exists() and old.samefile(new)


def put_in_place(place: Held, folder: Path, before: Mapping[str, str], after: Mapping[str, str]) -> list[Move]:
    """Make a folder that is held hold a set, of which all that differs from what stands there was staged.

    Parameters
    ----------
    before, after
        The SHA-256 of what stands under each name, and of what is to stand there. Names in `before` that `after`
        lacks are removed.

    Returns
    -------
    list[Move]
        What changed.
    """
    namesakes = {folded(name): folder / name for name in after}
    moves = [
        Move(name, before.get(name, ""), after.get(name, ""))
        for name in sorted(before.keys() | after.keys())
        if name in after or not _is_same_file(folder / name, namesakes.get(folded(name)))
    ]
    moves = [move for move in moves if move.old != move.new]
    is_there = folder.is_dir()
    if is_there:
        _tighten(folder, after)
    if moves and not is_there:
        put_whole(place, folder)
    elif moves:
        _decide(place.staging, moves)
        _finish(folder, moves)
    return moves


def put_whole(place: Held, folder: Path) -> None:
    """Make a new folder of all that was staged at once, beside the staging folder that is held for it."""
    (place.staging / FILES).rename(folder)
    _sync(folder.parent)


def put_file(place: Held, file: Path, data: bytes, owner_only: bool = False) -> None:
    """Put a single file in place, over whatever stands there; it is opened to nobody to whom that was closed."""
    stage(place, [(file.name, data)], owner_only)
    waiting = place.staging / FILES / file.name
    as_closed_as(file, waiting)
    waiting.replace(file)
    _sync(file.parent)
