"""Many descriptions in one command: side by side on the cores, told in the order in which they were typed.

Each is worked on as if it stood alone, in a process that goes on to the next one when it is done; so memory is bounded
by the number of processes, and whatever befalls one firm's description leaves those of the others alone.
"""

from __future__ import annotations

import argparse
import atexit
import copy
import gc
import multiprocessing
import os
import signal
import sys
from collections.abc import Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from io import BytesIO, TextIOWrapper
from pathlib import Path

from progdoc.cli.commands import COMMANDS
from progdoc.cli.faults import told
from progdoc.cli.status import FAULT, GAPS, OK, UNUSABLE
from progdoc.cli.terminal import broken
from progdoc.cli.window import width
from progdoc.core.late_dataclass import dataclass
from progdoc.core.lines import Line
from progdoc.core.printable import printable

__all__ = ["Ended", "ended", "run_many", "summary"]

_IN_FULL = ("due", "issue")  # of which the list, or the digest, is wanted of everybody
_ENDINGS = {"text": "txt", "junit": "xml"}  # of files in other formats: the format's own name
_AT_MOST = 24  # descriptions for each process before it is replaced: what libraries keep does not pile up
_WORDS = {OK: "done", GAPS: "gaps", UNUSABLE: "refused", FAULT: "fault"}
_KILLED = "The process that worked on it was ended from outside; perhaps memory ran out. Try fewer --jobs."


@dataclass(frozen=True, slots=True)
class Ended:
    """What came of one description: its exit status, a line about it, and all that was printed."""

    status: int
    line: str
    out: str = ""
    faults: str = ""


def run_many(options: argparse.Namespace) -> int:
    """Run one command on each of many descriptions and return the worst exit status."""
    names = [_name_of(path) for path in options.paths]
    wrong = _in_the_way(options, names)
    if wrong:
        print(f"progdoc {options.command}: {wrong}", file=sys.stderr)
        return UNUSABLE
    each = [_alone(options, path, name) for path, name in zip(options.paths, names, strict=True)]
    jobs = min(options.jobs or _cores(), len(each))
    found = [_ended_here(one) for one in each] if jobs == 1 else _side_by_side(each, jobs)
    shown = [str(path) for path in options.paths]
    for path, one in zip(shown, found, strict=True):
        if one.status >= UNUSABLE:
            print(f"{printable(path)}\n\n{one.faults or one.out}", file=sys.stderr)
        elif options.command in _IN_FULL and one.out:
            print(f"{printable(path)}\n\n{one.out}")
    print(summary(shown, found), end="")
    return max(one.status for one in found)


def summary(names: Sequence[str], found: Sequence[Ended]) -> str:
    """Return a line for each description, and how many came to what."""
    room = max(len(printable(name)) for name in names) + 2
    words = max(map(len, _WORDS.values())) + 2
    lines: list[str] = []
    for name, one in zip(names, found, strict=True):
        first = f"{printable(name).ljust(room)}{_WORDS[one.status].ljust(words)}"
        if len(first) > width() // 2:  # a long path leaves no room beside it
            lines.append(first.rstrip())
            first = "  "
        lines += broken(Line(one.line, first, " " * len(first)), width())
    counts = [(word, sum(one.status == status for one in found)) for status, word in _WORDS.items()]
    told_counts = ", ".join(f"{count} {word}" for word, count in counts if count)
    return "\n".join((*lines, "", f"{len(found)} descriptions: {told_counts}.")) + "\n"


def ended(options: argparse.Namespace) -> Ended:
    """Run a command on one description, and keep what it prints."""
    out, faults = (TextIOWrapper(BytesIO(), encoding="utf-8", errors="replace", write_through=True) for _ in "12")
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = out, faults
    try:
        status = COMMANDS[options.command](options)
    except Exception as fault:  # the last resort: the others are to be worked on all the same
        status, words = told(fault)
        print(words, file=faults)
    finally:
        sys.stdout, sys.stderr = before
    printed, complaints = _text(out), _text(faults)
    line = getattr(options, "in_a_line", "") if status < UNUSABLE else ""
    return Ended(status, line or next(iter((complaints or printed).splitlines()), ""), printed, complaints)


def _text(stream: TextIOWrapper) -> str:
    stream.flush()
    stream.seek(0)
    return stream.read()


# ---- what each is called and where it goes ------------------------------------------------------------


def _name_of(path: Path) -> str:
    """Return what a firm's own files are named after: its folder, or its file without the ending."""
    whole = path.absolute()
    return whole.stem if whole.suffix.lower() in (".yaml", ".yml") else whole.name


def _place(options: argparse.Namespace) -> str | None:
    """Return the name of the option that says where files go; None where none are written."""
    return "into" if options.command == "issue" else "out" if options.out is not None else None


def _in_the_way(options: argparse.Namespace, names: Sequence[str]) -> str:
    """Return why many can't be worked on at once, "" if nothing is in the way."""
    if options.command == "issue" and (options.into is None or options.verify or options.sha256 or options.again):
        return "with many descriptions write PATH … and --into FOLDER."
    form = getattr(options, "format", "text")
    if form != "text" and options.out is None:
        return f"with many descriptions {form} needs a folder after -o, for a file of each."
    place = _place(options)
    if place is not None and getattr(options, place).is_file():
        return f"with many descriptions name a folder: {printable(str(getattr(options, place)))} is a file."
    first: dict[str, Path] = {}
    for name, path in zip(names, options.paths, strict=True) if place else ():
        other = first.setdefault(name.casefold(), path)
        if other is not path:
            both = f"{printable(str(other))} and {printable(str(path))}"
            return f"{both} would be written under one name; give them folders of different names."
    return ""


def _alone(options: argparse.Namespace, path: Path, name: str) -> argparse.Namespace:
    """Return the options for one of many: its own folder, or its own file, below the one that was named."""
    one = copy.copy(options)
    one.path, one.paths = path, [path]
    place = _place(options)
    if place is not None:
        form = getattr(options, "format", None)
        below = f"{name}.{_ENDINGS.get(form, form)}" if form else name
        setattr(one, place, getattr(options, place) / below)
    return one


# ---- the processes ------------------------------------------------------------------------------------


def _cores() -> int:
    """Return how many cores this process may use."""
    may_use = getattr(os, "sched_getaffinity", None)
    return len(may_use(0)) if may_use else os.cpu_count() or 1


def _ended_here(options: argparse.Namespace) -> Ended:
    found = ended(options)
    gc.collect()
    return found


def _side_by_side(each: Sequence[argparse.Namespace], jobs: int) -> list[Ended]:
    """Run each in one of so many processes; those that a killed process took along have another one of their own.

    After a number of them all processes are replaced at once: a pool that replaces them one by one can wait for ever
    (Python 3.11, `max_tasks_per_child`).
    """
    found: list[Ended | None] = []
    for start in range(0, len(each), jobs * _AT_MOST):
        with _pool(jobs) as pool:
            futures = [pool.submit(_ended_here, one) for one in each[start : start + jobs * _AT_MOST]]
            try:
                _shown_progress(futures, start, len(each))
            except KeyboardInterrupt:
                pool.shutdown(cancel_futures=True)
                raise
        found += map(_result, futures)
    for place, one in enumerate(each):
        if found[place] is None:
            with _pool(1) as pool:
                found[place] = _result(pool.submit(_ended_here, one))
    return [one or Ended(FAULT, _KILLED, faults=_KILLED) for one in found]


def _pool(jobs: int) -> Executor:
    context = multiprocessing.get_context("spawn")  # the same on every system
    return ProcessPoolExecutor(jobs, context, initializer=_ready)


def _ready() -> None:
    """A key that stops the command stops the first process; the others end what they are at."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(1_000_000, 50, 50)
    atexit.register(gc.freeze)


def _result(future: Future[Ended]) -> Ended | None:
    try:
        return future.result()
    except BrokenProcessPool:
        return None


def _shown_progress(futures: Sequence[Future[Ended]], before: int, of: int) -> None:
    """Wait for all; at a terminal, show how many are done with those before them."""
    is_shown = sys.stderr.isatty()
    for count, _ in enumerate(as_completed(futures), before + 1):
        if is_shown:
            print(f"\r{count} of {of} done", end="", file=sys.stderr, flush=True)
    if is_shown:
        print(f"\r{' ' * 40}\r", end="", file=sys.stderr, flush=True)
