"""Reads ordinary files alone: a pipe or a device in the place of one can make nobody wait, nor fill the memory."""

from __future__ import annotations

import errno
import os
import stat
from io import BufferedReader, FileIO
from pathlib import Path

__all__ = ["content_of", "opened"]

_MOST_BYTES = 100_000_000  # of a list, a report or a journal of ours: none comes near
_HOW = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


def opened(path: Path) -> BufferedReader:
    """Open a file to be read, if it is one.

    Raises
    ------
    OSError
        As the system says, or because something else stands there.
    """
    descriptor = os.open(path, _HOW)
    mode = os.fstat(descriptor).st_mode
    if stat.S_ISREG(mode):
        return BufferedReader(FileIO(descriptor))
    os.close(descriptor)
    if stat.S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    raise OSError(errno.ENXIO, "A pipe or a device, not a file", str(path))


def content_of(path: Path) -> bytes:
    """Return the bytes of a file of ours; one that is far larger than any of them is refused."""
    with opened(path) as stream:
        data = stream.read(_MOST_BYTES + 1)
    if len(data) > _MOST_BYTES:
        raise OSError(errno.EFBIG, os.strerror(errno.EFBIG), str(path))
    return data
