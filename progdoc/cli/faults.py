"""What ends a command although nobody foresaw it: the disk refuses, or progdoc itself has a fault."""

from __future__ import annotations

import errno
import os

from progdoc.cli.status import FAULT, UNUSABLE
from progdoc.core.printable import printable

__all__ = ["is_without_room", "told"]

_NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EIO)
_OF_THE_DISK = (
    errno.EACCES,
    errno.EPERM,
    errno.EROFS,
    errno.ENAMETOOLONG,
    errno.ELOOP,
    errno.ENOTDIR,
    errno.EISDIR,
    errno.ENXIO,
    errno.EFBIG,
)


def told(fault: Exception) -> tuple[int, str]:
    """Return the exit status for a fault, and the words for it; one of our own must not look like the user's."""
    if isinstance(fault, OSError):
        if fault.errno in _OF_THE_DISK and fault.filename is not None:
            return UNUSABLE, f"progdoc: {printable(str(fault.filename))}: {fault.strerror}."
        if is_without_room(fault):
            return UNUSABLE, f"progdoc: the output could not be written: {fault.strerror}."
    if os.environ.get("PROGDOC_TRACEBACK"):
        raise fault
    return FAULT, (
        f"progdoc: a fault of progdoc itself: {type(fault).__name__}: {fault}\n"
        "Nothing is wrong with your description as far as it was read. Please report the command and this line;"
        " PROGDOC_TRACEBACK=1 shows where it happened."
    )


def is_without_room(fault: Exception) -> bool:
    """Whether the disk is full or broken: then nothing more can be written to it."""
    return isinstance(fault, OSError) and fault.errno in _NO_ROOM
