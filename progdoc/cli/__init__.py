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
from types import ModuleType

from progdoc.cli.arguments import parsed
from progdoc.cli.status import OK, UNUSABLE

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    _ready_streams()
    options = parsed(sys.argv[1:] if arguments is None else arguments)
    if options is None:
        return OK
    _without_plugins()
    gc.set_threshold(1_000_000, 50, 50)  # what a run makes lives to its end; to look for garbage early only costs
    atexit.register(gc.freeze)  # and goes with the process: Python would look through it three times before
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


def _without_plugins() -> None:
    """Let no plugin of pydantic have a say here: to look for them reads every package, and loads what reads e-mail.

    The module that would look is passed over; where pydantic calls it otherwise one day, the variable still holds.
    """
    os.environ["PYDANTIC_DISABLE_PLUGINS"] = "__all__"
    none = ModuleType("pydantic.plugin._loader")
    none.get_plugins = tuple  # type: ignore[attr-defined]
    sys.modules.setdefault(none.__name__, none)


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
