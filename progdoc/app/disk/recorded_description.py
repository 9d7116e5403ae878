"""Puts the changed files of a description in the place of those that were read, all of them or none.

What somebody else typed in the meantime is never lost: the files have to stand as they were read.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from stat import S_ISREG

from progdoc.app.disk.manifest_files import digest
from progdoc.app.disk.ordinary_files import content_of, opened
from progdoc.app.disk.placement import as_closed_as, holding, link_in, put_in_place, stage
from progdoc.app.disk.refusals import REFUSALS, refusal
from progdoc.app.disk.single_file import set_of
from progdoc.app.disk.staging import FILES
from progdoc.app.file_faults import file_fault
from progdoc.app.form_records import EVIDENCE_LIST
from progdoc.app.manifest import sha256
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said
from progdoc.model.yaml.yaml_file import os_reason, readable
from progdoc.writers.form_error import MOST_FORM_BYTES

__all__ = ["PutBack", "evidence_at", "form_at", "put_back", "table_at"]

_OPEN = ("~${}", ".~lock.{}#")  # what lies beside a file while a spreadsheet has it open; common practice, no source
_NAME_A_TABLE = "Name a CSV after --from."
_MOST_TABLE = 5_000_000  # bytes of a table of events


@dataclass(frozen=True, slots=True)
class PutBack:
    """The files that were written; `left_by` names an earlier run that was interrupted, `mended` says if completed."""

    written: tuple[Path, ...]
    left_by: str
    mended: bool


def put_back(path: Path, before: Mapping[str, bytes], after: Mapping[str, bytes]) -> PutBack | list[Diagnostic]:
    """Write the changed files of the description at a path; or return why not.

    Parameters
    ----------
    before, after
        What was read from each file that changes, and what it is to hold; a file that is begun was not there.
    """
    folder = path if path.is_dir() else path.parent
    try:
        with holding(folder) as held:
            stands = {name: digest(folder / name) for name in after}
            if any(stands[name] != sha256(data) for name, data in after.items()):
                faults = [*_in_the_way(folder, before, stands)]
                if faults:
                    return faults
                stage(held, after.items())
                for name in after.keys() - before.keys():  # it holds what one of the others held
                    for other in before:
                        as_closed_as(folder / other, held.staging / FILES / name)
                put_in_place(held, folder, stands, {name: sha256(data) for name, data in after.items()})
    except REFUSALS as error:
        return [refusal(folder, error)]
    return PutBack(tuple(folder / name for name in after), held.left_by, held.mended)


def _in_the_way(folder: Path, before: Mapping[str, bytes], stands: Mapping[str, str]) -> list[Diagnostic]:
    home = next(filter(None, (set_of(Path(os.path.realpath(folder / name))) for name in stands)), None)
    if home is not None:
        place = Location(readable(str(folder)), 0, 0)
        what = said(
            "%(folder)s belongs to what was issued in %(home)s.", folder=readable(str(folder)), home=readable(str(home))
        )
        fix = said("Enter it in the description that you keep, and issue that anew.")
        return [file_fault("OUT-010", place, what, fix)]
    found = []
    for name in stands:
        known = sha256(before[name]) if name in before else ""
        place = Location(readable(str(folder / name)), 0, 0)
        if link_in(folder, name):
            what = said("%(name)s is a link, and what it leads to is not written over.", name=readable(name))
            found.append(file_fault("RECORD-007", place, what, said("Put the file itself there.")))
        elif any((folder / mark.format(name)).exists() for mark in _OPEN):
            what = said(
                "%(name)s is open in a spreadsheet, which would write over the entry when it is saved.",
                name=readable(name),
            )
            fix = said("Save and close it, and run the same command again.")
            found.append(file_fault("RECORD-007", place, what, fix))
        elif stands[name] != known:
            what = said("%(name)s is not as it was read.", name=readable(name))
            found.append(file_fault("RECORD-007", place, what, said("Save it, and run the same command again.")))
    return found


def form_at(file: Path) -> bytes | Diagnostic:
    """Return what a completed form holds; or why it can't be read."""
    place = Location(readable(str(file)), 0, 0)
    try:
        with opened(file) as stream:
            data = stream.read(MOST_FORM_BYTES + 1)
    except (OSError, ValueError) as error:
        what = f"It cannot be read: {os_reason(error)}."
        return file_fault("RECORD-009", place, what, "Name completed forms after --from.")
    if len(data) > MOST_FORM_BYTES:
        return file_fault("RECORD-009", place, f"It is over {MOST_FORM_BYTES:,} bytes large.", "No form is so large.")
    return data


def evidence_at(path: Path) -> bytes | Diagnostic:
    """Return the list of the forms that were read into the description at a path, b"" where there is none."""
    file = (path if path.is_dir() else path.parent) / EVIDENCE_LIST
    try:
        return content_of(file)
    except (FileNotFoundError, NotADirectoryError):
        return b""
    except OSError as error:
        place, what = Location(readable(str(file)), 0, 0), f"It cannot be read: {os_reason(error)}."
        return file_fault("RECORD-007", place, what, "It lists the forms that were read in: make it readable.")


def table_at(file: Path) -> bytes | Diagnostic:
    """Return what a table of events holds; or why it can't be read."""
    place = Location(readable(str(file)), 0, 0)
    try:
        if not S_ISREG(file.stat().st_mode):
            return file_fault("RECORD-006", place, "It is a folder, a pipe or a device, no file.", _NAME_A_TABLE)
        with file.open("rb") as stream:
            data = stream.read(_MOST_TABLE + 1)
    except (OSError, ValueError) as error:
        return file_fault("RECORD-006", place, f"It cannot be read: {os_reason(error)}.", _NAME_A_TABLE)
    if len(data) > _MOST_TABLE:
        what = f"It is over {_MOST_TABLE:,} bytes large."
        return file_fault("RECORD-006", place, what, "Keep only the rows of the events.")
    return data
