"""The command line: arguments, terminal, exit status. Nothing else reads the clock or the environment.

Exit status: 0 nothing required is missing; 1 required gaps remain; 2 the description, the arguments or the
disk won't do, and nothing was written; 3 a fault of progdoc itself. `compare`: 0 nothing changed, 1 something
changed.
"""

from __future__ import annotations

import errno
import gc
import os
import sys
from collections.abc import Sequence
from io import FileIO, TextIOWrapper

from progdoc.cli.arguments import parsed
from progdoc.cli.status import FAULT, OK, UNUSABLE
from progdoc.core.printable import printable

__all__ = ["main"]

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


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    _ready_streams()
    options = parsed(sys.argv[1:] if arguments is None else arguments)
    if options is None:
        return OK
    gc.set_threshold(100_000, 50, 50)  # what a run makes lives to its end; to look for garbage early only costs
    try:
        from progdoc.cli.commands import COMMANDS

        status = COMMANDS[options.command](options)
        sys.stdout.flush()
        return status
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # so that closing it complains no more
        return OK
    except KeyboardInterrupt:
        print(
            "progdoc: stopped. Run the same command again: it finishes what was begun, or starts over.", file=sys.stderr
        )
        return UNUSABLE
    except OSError as fault:
        if fault.errno in _OF_THE_DISK and fault.filename is not None:
            print(f"progdoc: {printable(str(fault.filename))}: {fault.strerror}.", file=sys.stderr)
            return UNUSABLE
        if fault.errno not in _NO_ROOM:
            return _own_fault(fault)
        print(f"progdoc: the output could not be written: {fault.strerror}.", file=sys.stderr)
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNUSABLE
    except Exception as fault:  # the last resort: a fault of ours must not look like the user's
        return _own_fault(fault)


def _ready_streams() -> None:
    """Have somewhere to write to, and show what a terminal's own character set lacks as a question mark."""
    if sys.stdout is None:
        sys.stdout = TextIOWrapper(FileIO(os.devnull, "w"), encoding="utf-8")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper) and stream.errors == "strict":
            stream.reconfigure(errors="replace")


def _own_fault(fault: Exception) -> int:
    if os.environ.get("PROGDOC_TRACEBACK"):
        raise fault
    print(
        f"progdoc: a fault of progdoc itself: {type(fault).__name__}: {fault}\n"
        "Nothing is wrong with your description as far as it was read. Please report the command and this line;"
        " PROGDOC_TRACEBACK=1 shows where it happened.",
        file=sys.stderr,
    )
    return FAULT
