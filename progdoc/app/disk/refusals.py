"""Why nothing could be placed, in plain words: the disk refuses, another run is writing, a name of ours is taken."""

from __future__ import annotations

import errno
import os
from pathlib import Path

from progdoc.app.disk.staging import JOURNAL, ForeignStagingError, HeldElsewhereError, staging_of
from progdoc.app.file_faults import file_fault
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.model.yaml.yaml_file import readable

__all__ = ["REFUSALS", "Refusal", "cause_of", "refusal"]

Refusal = OSError | HeldElsewhereError | ForeignStagingError
REFUSALS = (OSError, HeldElsewhereError, ForeignStagingError)


def cause_of(error: OSError | ValueError, place: Path) -> str:
    """Return which path the system refuses and why; the place itself where the error names no path."""
    path = getattr(error, "filename2", None) or getattr(error, "filename", None) or place  # 2: where it was to go
    return readable(f"{path}: {getattr(error, 'strerror', None) or error}")


def refusal(folder: Path, error: Refusal) -> Diagnostic:
    """Return what keeps files from being placed in a folder, and whether any were."""
    if isinstance(error, HeldElsewhereError):
        what = f"{error.holder} is writing to {folder}; nothing was changed by this run"
        return file_fault("OUT-009", _at(folder), what, "Wait until it has ended, and run the same command again.")
    if isinstance(error, ForeignStagingError):
        what = f"{readable(str(error))} is already there and was not written by progdoc"
        return file_fault("OUT-005", _at(folder), what, "Move it elsewhere: files wait under that name.")
    what = cause_of(error, folder)
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        fix = "Make room on the disk and run the same command again."
    elif error.errno == errno.EFBIG:
        fix = "Allow larger files (`ulimit -f` tells how large one may be), and run the same command again."
    elif error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        fix = "Close the file if it is open in another program, see that you may write there, and run it again."
    else:
        fix = "Run the same command again, or build into another folder."
    if os.path.lexists(staging_of(folder) / JOURNAL):
        what += "; part of the new set is in place"
        fix += " The next run completes the set."
    else:
        what += "; nothing in the folder was changed"
    return file_fault("OUT-008", _at(folder), what, fix)


def _at(folder: Path) -> Location:
    return Location(readable(str(folder)), 0, 0)
