"""Where new files wait until they are complete, held by one run at a time.

A writer holds the folder in which names are to change. What it makes waits in `.progdoc-new/` there; what takes a
new name in a folder that others use as well (a single file, a folder that is not there yet) waits in one of its own,
`.progdoc-new-…/`. The system lets go of the lock when a run ends in whatever way, so a lock that nobody holds is what
a run left that was killed: the next one is told, and clears it away.
"""

from __future__ import annotations

import os
import platform
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from time import sleep

from progdoc.app.manifest import STAGING, sha256
from progdoc.core.errors import ProgdocError
from progdoc.core.late_dataclass import dataclass

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

__all__ = ["FILES", "JOURNAL", "ForeignStagingError", "HeldElsewhereError", "Staging", "cleared", "held", "staging_of"]

JOURNAL = "journal.json"  # once it is there, what waits is going to be put in place
FILES = "files"  # what waits
_LOCK = "lock"
_OURS = {_LOCK, FILES, JOURNAL, f"{JOURNAL}.part"}
_TRIES = 100
_MOMENT = 0.005  # seconds, in which a run that got a lock signs it
_LONGEST = 200  # bytes of what a lock says of its holder
_BINARY = getattr(os, "O_BINARY", 0)
_NO_LINK = getattr(os, "O_NOFOLLOW", 0)


class HeldElsewhereError(ProgdocError):
    """Another run is writing here. Says which one."""

    def __init__(self, staging: Path, holder: str) -> None:
        super().__init__(holder)
        self.staging, self.holder = staging, holder


class ForeignStagingError(ProgdocError):
    """What stands under our name is not ours. Says its path."""


@dataclass(frozen=True, slots=True)
class Staging:
    """A staging folder that this run holds; `left_by` names the run that was interrupted here, "" for none."""

    path: Path
    left_by: str


@contextmanager
def held(home: Path, name: str = "") -> Iterator[Staging]:
    """Hold a folder, or one new name in it, while files are placed. At the end what was not decided is cleared away.

    Parameters
    ----------
    home
        The folder in which names change; it has to be there.
    name
        The new name, where only that one changes.
    """
    path = staging_of(home, name)
    descriptor, left_by = _locked(path)
    try:
        yield Staging(path, left_by)
    finally:
        try:
            if not (path / JOURNAL).exists():
                with suppress(OSError):  # everything is where it belongs; the next run clears the rest away
                    _removed(path, descriptor)
        finally:
            with suppress(OSError):
                os.close(descriptor)


def staging_of(home: Path, name: str = "") -> Path:
    """Return where files wait that are to go into a folder, or under one new name in it."""
    key = f"-{sha256(os.fsencode(name))[:8]}" if name else ""
    return home / f"{STAGING}{key}"


def cleared(path: Path) -> None:
    """Empty a staging folder of what waits in it, but for its lock."""
    for name in (JOURNAL, f"{JOURNAL}.part"):
        (path / name).unlink(missing_ok=True)
    if (path / FILES).is_dir() and not (path / FILES).is_symlink():
        shutil.rmtree(path / FILES)
    else:
        (path / FILES).unlink(missing_ok=True)


def _removed(path: Path, descriptor: int) -> None:
    cleared(path)
    if os.name == "nt":  # where what is open can't be removed
        os.close(descriptor)
    (path / _LOCK).unlink()
    path.rmdir()


# ---- the lock -----------------------------------------------------------------------------------------


def _locked(path: Path) -> tuple[int, str]:
    """Return the descriptor of a lock that this run now holds, and who had left it behind."""
    for left in reversed(range(_TRIES)):
        try:
            is_new = _is_made(path)
            descriptor = os.open(path / _LOCK, os.O_RDWR | os.O_CREAT | _BINARY | _NO_LINK, 0o600)
        except FileNotFoundError:  # its holder has just left and taken the folder along
            if not path.parent.is_dir():
                raise
            continue
        is_kept = False
        try:
            if not _is_ours_now(descriptor):
                holder = _holder(descriptor)
                if not holder and left:  # it has only just got the lock, and is about to sign
                    sleep(_MOMENT)
                    continue
                raise HeldElsewhereError(path, holder or "another run")
            if _is_at(descriptor, path / _LOCK):
                left_by = "" if is_new else _holder(descriptor) or "an earlier run"
                with suppress(OSError):  # the lock holds without the name
                    _signed(descriptor)
                is_kept = True
                return descriptor, left_by
        finally:
            if not is_kept:
                os.close(descriptor)
    raise HeldElsewhereError(path, "runs that come and go")


def _is_made(path: Path) -> bool:
    """Make the staging folder if it is not there; whether it was made. Nothing of the user's is taken for ours."""
    try:
        path.mkdir(0o700)
    except FileExistsError:
        pass
    else:
        return True
    if path.is_symlink() or path.is_file():
        raise ForeignStagingError(str(path))
    for entry in sorted(path.iterdir()):
        if entry.name not in _OURS:
            raise ForeignStagingError(str(entry))
    return False


def _is_ours_now(descriptor: int) -> bool:
    """Whether the lock could be had. Where a disk knows no locks, nobody can be kept out, and nobody is."""
    try:
        if sys.platform == "win32":
            os.lseek(descriptor, _LONGEST, os.SEEK_SET)
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)  # beyond the text, which others may read
        else:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:
        return True
    return True


def _is_at(descriptor: int, path: Path) -> bool:
    """Whether the path still leads to the file that was opened: its last holder may have removed it in between."""
    try:
        return os.path.samestat(os.fstat(descriptor), path.lstat())
    except FileNotFoundError:
        return False


def _holder(descriptor: int) -> str:
    os.lseek(descriptor, 0, os.SEEK_SET)
    text = os.read(descriptor, _LONGEST).decode(errors="replace").strip()
    return text if text.isprintable() else ""


def _signed(descriptor: int) -> None:
    text = f"process {os.getpid()} on {platform.node() or 'this machine'}".encode()[:_LONGEST]
    os.ftruncate(descriptor, 0)
    os.lseek(descriptor, 0, os.SEEK_SET)
    os.write(descriptor, text)
