"""The command line: arguments, terminal, exit status. Nothing else reads the clock or the environment.

Exit status: 0 nothing required is missing; 1 required gaps remain; 2 the description, the arguments or the
disk won't do, and nothing was written; 3 a fault of progdoc itself. `compare`: 0 nothing changed, 1 something
changed.
"""

from __future__ import annotations

import atexit
import gc
import os
import sys
from collections.abc import Sequence
from io import FileIO, TextIOWrapper

from progdoc.cli.arguments import parsed
from progdoc.cli.status import OK, UNUSABLE

__all__ = ["main", "run"]

TYPE_CHECKING = False  # without `typing`: it would take a quarter of the help's time
if TYPE_CHECKING:
    from typing import NoReturn


def run() -> NoReturn:
    """Run one command and end with its exit status.

    What it made goes with the process. Python would take it apart piece by piece before, which takes a twentieth of a
    check; where processes or threads are to be waited for, or what was printed can't be put out, it ends as ever.
    """
    status = main()
    threads = sys.modules.get("threading")
    if "multiprocessing" not in sys.modules and (threads is None or threads.active_count() == 1):
        try:
            sys.stdout.flush()
        except OSError:
            sys.exit(status)  # Python tells of it
        os._exit(status)
    sys.exit(status)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    _ready_streams()
    options = parsed(sys.argv[1:] if arguments is None else arguments)
    if options is None:
        return OK
    os.environ["PYDANTIC_DISABLE_PLUGINS"] = "__all__"  # to look for plugins reads every package that is installed
    gc.set_threshold(1_000_000, 50, 50)  # what a run makes lives to its end; to look for garbage early only costs
    atexit.register(gc.freeze)  # where it does not end at once: Python would look through it three times before
    try:
        if len(getattr(options, "paths", ())) > 1:
            from progdoc.cli.many import run_many

            status = run_many(options)
        else:
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
    except Exception as fault:
        from progdoc.cli.faults import is_without_room, told

        status, words = told(fault)
        print(words, file=sys.stderr)
        if is_without_room(fault):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return status


def _ready_streams() -> None:
    """Have somewhere to write to, and show what a terminal's own character set lacks as a question mark."""
    if sys.stdout is None:
        sys.stdout = TextIOWrapper(FileIO(os.devnull, "w"), encoding="utf-8")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper) and stream.errors in (
            "strict",
            "surrogateescape",
        ):  # the latter: no locale
            stream.reconfigure(errors="replace")
