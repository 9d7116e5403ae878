"""A machine that stops, and a disk that fills up, at any one operation that changes the disk: in process, so cheap."""

from __future__ import annotations

import errno
import io
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

__all__ = ["PowerCut", "filled_at", "operations_of", "state_of", "stopped_at"]

_CHANGES = ("mkdir", "open", "write", "fsync", "replace", "rename", "unlink", "remove", "rmdir", "ftruncate", "chmod")
_NEED_ROOM = ("mkdir", "write", "open")


class PowerCut(BaseException):
    """The machine stops: no handler of progdoc may go on from it."""


@contextmanager
def _wrapped(wrap: Callable[[str, Callable[..., Any]], Callable[..., Any]]) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        for name in _CHANGES:
            patch.setattr(os, name, wrap(name, getattr(os, name)))
        patch.setattr(io, "open", wrap("open", io.open))
        yield


def _changes_nothing(name: str, arguments: tuple[Any, ...], options: dict[str, Any]) -> bool:
    """Whether a file or folder is only opened to be read."""
    if name != "open":
        return False
    how = options.get("mode", arguments[1] if len(arguments) > 1 else "r")
    return not set(how) & set("wxa+") if isinstance(how, str) else not how & (os.O_CREAT | os.O_WRONLY | os.O_RDWR)


@contextmanager
def stopped_at(step: int, is_done: bool = False) -> Iterator[list[int]]:
    """Let the machine stop at the given change of the disk, before or after it is made; none is made from then on.

    Yields the number of changes so far, in a list of one.
    """
    count = [0]

    def wrap(name: str, original: Callable[..., Any]) -> Callable[..., Any]:
        def wrapped(*arguments: Any, **options: Any) -> Any:
            if _changes_nothing(name, arguments, options):
                return original(*arguments, **options)
            count[0] += 1
            if not step or count[0] < step:
                return original(*arguments, **options)
            if count[0] == step and is_done:
                original(*arguments, **options)
            raise PowerCut

        return wrapped

    with _wrapped(wrap):
        yield count


@contextmanager
def filled_at(step: int) -> Iterator[None]:
    """Let the disk be full from the given operation on that needs room; what is there can be moved and removed."""
    count = [0]

    def wrap(name: str, original: Callable[..., Any]) -> Callable[..., Any]:
        def wrapped(*arguments: Any, **options: Any) -> Any:
            if name not in _NEED_ROOM or _changes_nothing(name, arguments, options):
                return original(*arguments, **options)
            count[0] += 1
            if count[0] < step:
                return original(*arguments, **options)
            raise OSError(errno.ENOSPC, "No space left on device", str(arguments[0]))

        return wrapped

    with _wrapped(wrap):
        yield


def operations_of(work: Callable[[], Any]) -> int:
    """Return how many times a piece of work changes the disk."""
    with stopped_at(0) as count:
        work()
    return count[0]


def state_of(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder with its bytes."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
