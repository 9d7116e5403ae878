"""Writes files that begin something of the user's own: all of them or none, and never over anything."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from progdoc.app.disk.manifest_files import digest
from progdoc.app.disk.output_folder import faults_of_names
from progdoc.app.disk.placement import holding, put_in_place, stage
from progdoc.app.disk.refusals import REFUSALS, refusal
from progdoc.app.file_faults import FILE_FAULTS, file_fault
from progdoc.app.manifest import STAGING, sha256
from progdoc.core.diagnostics import Diagnostic, Location, worst_first
from progdoc.core.late_dataclass import dataclass
from progdoc.model.yaml.yaml_file import readable

__all__ = ["Placed", "write_new"]


@dataclass(frozen=True, slots=True)
class Placed:
    """What stands there now; `left_by` names an earlier run that was interrupted, `mended` says if it was completed."""

    written: tuple[Path, ...]
    left_by: str
    mended: bool


def write_new(
    folder: Path, files: Mapping[str, bytes], faults: str, may_hold_more: bool, owner_only: bool = False
) -> Placed | list[Diagnostic]:
    """Write files into a folder; or return why not. What an interrupted run completed is as good as written.

    So are the very same files where nothing else may stand; whoever begins beside other files is told that they stand.

    Parameters
    ----------
    faults
        How the codes begin of what may be in the way: "START", "RENEW".
    may_hold_more
        Whether the folder may hold other files already.
    owner_only
        Whether the files name workers, so that nobody else may read them.
    """
    odd = faults_of_names(folder, files)
    if odd:
        return worst_first(odd)
    place = Location(readable(str(folder)), 0, 0)
    try:
        if folder.exists() and not folder.is_dir():
            code = f"{faults}-{'002' if may_hold_more else '001'}"
            return [file_fault(code, place, readable(f"{folder} is a file."), "Name a new folder.")]
        with holding(folder) as held:
            standing = list(_standing(folder, files, may_hold_more))
            is_done = all(digest(folder / name) == sha256(data) for name, data in files.items())
            is_ours = is_done and set(standing) <= files.keys() and (bool(held.left_by) or not may_hold_more)
            if standing and not is_ours:
                shown = ", ".join(standing[:5]) + ", …" * (len(standing) > 5)
                what = readable(f"{folder} already holds {shown}.")
                return [file_fault(f"{faults}-001", place, what, "Name a new or empty folder.")]
            if not is_done:
                stage(held, files.items(), owner_only)
                put_in_place(held, folder, {}, {name: sha256(data) for name, data in files.items()})
    except REFUSALS as error:
        return [_as_told(refusal(folder, error), faults)]
    return Placed(tuple(folder / name for name in files), held.left_by, held.mended)


def _standing(folder: Path, files: Mapping[str, bytes], may_hold_more: bool) -> Iterator[str]:
    """Yield the names that are in the way: those of the files, or whatever is there where it has to be empty."""
    if may_hold_more:
        yield from (name for name in files if (folder / name).exists() or (folder / name).is_symlink())
    elif folder.is_dir():
        for path in sorted(folder.rglob("*")):
            name = path.relative_to(folder).as_posix()
            is_within = any(file.startswith(f"{name}/") for file in files)
            if not name.startswith(STAGING) and not (is_within and path.is_dir()):
                yield name


def _as_told(fault: Diagnostic, faults: str) -> Diagnostic:
    """Return a refusal of the disk under the code of the command."""
    code = f"{faults}-002"
    return (
        replace(fault, code=code, name=FILE_FAULTS[code][0], why=FILE_FAULTS[code][1])
        if fault.code == "OUT-008"
        else fault
    )
