"""Why nothing could be placed, in plain words: the disk refuses, another run is writing, a name of ours is taken."""

from __future__ import annotations

import errno
import os
from pathlib import Path

from progdoc.app.disk.staging import JOURNAL, ForeignStagingError, HeldElsewhereError, staging_of
from progdoc.app.file_faults import file_fault
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.said import said, said_join
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
        what = said(
            "%(holder)s is writing to %(folder)s; nothing was changed by this run",
            holder=error.holder,
            folder=str(folder),
        )
        fix = said("Wait until it has ended, and run the same command again.")
        return file_fault("OUT-009", _at(folder), what, fix)
    if isinstance(error, ForeignStagingError):
        what = said("%(name)s is already there and was not written by progdoc", name=readable(str(error)))
        return file_fault("OUT-005", _at(folder), what, said("Move it elsewhere: files wait under that name."))
    cause = cause_of(error, folder)
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        fix = said("Make room on the disk and run the same command again.")
    elif error.errno == errno.EFBIG:
        fix = said("Allow larger files (`ulimit -f` tells how large one may be), and run the same command again.")
    elif error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        fix = said("Close the file if it is open in another program, see that you may write there, and run it again.")
    else:
        fix = said("Run the same command again, or build into another folder.")
    if os.path.lexists(staging_of(folder) / JOURNAL):
        what = said("%(cause)s; part of the new set is in place", cause=cause)
        fix = said_join([fix, said("The next run completes the set.")])
    else:
        what = said("%(cause)s; nothing in the folder was changed", cause=cause)
    return file_fault("OUT-008", _at(folder), what, fix)


def _at(folder: Path) -> Location:
    return Location(readable(str(folder)), 0, 0)
