"""Writes one file after -o: whole or not at all, and over nothing that progdoc did not write.

A report for other programs is known by its first bytes and written anew; whatever else stands there stays, unless the
user says otherwise. What was read for the report, and what belongs to a set of documents, is never written over.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from progdoc.app.disk.manifest_files import listed
from progdoc.app.disk.placement import holding, put_file
from progdoc.app.disk.refusals import REFUSALS, refusal
from progdoc.app.file_faults import file_fault
from progdoc.app.manifest import MANIFEST, SHEET, ManifestError, folded
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.model.yaml.yaml_file import readable

__all__ = ["set_of", "write_one"]

_READ = 4000  # bytes in which a report says what it is
_OURS = (b'{\n  "format": "progdoc-', b'"driver": {\n          "name": "progdoc"', b"PRODID:-//progdoc//")
_JUNIT = b"<testsuites ", b'classname="progdoc '
_DEEPEST = 4  # folders down to which a set of documents reaches
_ANOTHER = "Name another file after -o"


def write_one(
    file: Path, data: bytes, not_over: Iterable[Path] = (), replace: bool = False, owner_only: bool = False
) -> Diagnostic | None:
    """Write a single file; return why it was not written.

    Parameters
    ----------
    file
        Where to. What a link leads to is written, and the link stays; so do a pipe and a device. But no link makes a
        file elsewhere, or gives up one that is no report: anybody may have planted it.
    not_over
        Files that were read for it.
    replace
        Whether to write over a file that is not known as a report of progdoc's.
    owner_only
        Whether it names workers, so that nobody else may read it.
    """
    try:
        if file.is_dir():
            return _refused("OUT-003", file, f"{file} is a folder", "Name a file after -o.")
        target = Path(os.path.realpath(file))
        if target.exists() and not target.is_file():  # such as /dev/null
            target.write_bytes(data)
            return None
        fault = _in_the_way(file, target, data, not_over, replace)
        if fault is None:
            with holding(target.parent, target.name) as place:
                fault = _in_the_way(file, target, data, not_over, replace)  # what another run has placed by now
                if fault is None:
                    put_file(place, target, data, owner_only)
    except REFUSALS as error:
        return refusal(file.parent, error)
    return fault


def _in_the_way(file: Path, target: Path, data: bytes, not_over: Iterable[Path], replace: bool) -> Diagnostic | None:
    if any(target == Path(os.path.realpath(read)) or _is_same(target, read) for read in not_over):
        return _refused("OUT-005", file, f"{file} is part of the description", f"{_ANOTHER}.")
    home = set_of(target)
    if home is not None:
        return _refused("OUT-005", file, f"{file} belongs to the documents in {home}", f"{_ANOTHER}.")
    is_there = target.exists()  # asked once: another run may place its own in between
    if is_there and _is_report(target, data):
        return None
    leads_away = replace if is_there else target.parent != Path(os.path.realpath(file.parent))
    if file.is_symlink() and leads_away:
        return _refused("OUT-004", file, f"{file} is a link", "Remove the link, or name another file after -o.")
    if replace or not is_there:
        return None
    what = f"{file} is already there, and is no report that progdoc can tell for its own"
    return _refused("OUT-005", file, what, f"{_ANOTHER}, or add --replace to write over it.")


def _is_same(target: Path, read: Path) -> bool:
    """Whether two names lead to one file, as two hard links do."""
    try:
        return target.samefile(read)
    except (FileNotFoundError, NotADirectoryError):
        return False


def set_of(target: Path) -> Path | None:
    """Return the folder of the set of documents that lists the file; None where none does."""
    for home in list(target.parents)[:_DEEPEST]:
        try:
            told = listed(home)
        except (ManifestError, OSError):  # no list of ours that could be read
            continue
        if told is not None and SHEET in told:  # nothing is added to a revision that was issued either
            return home
        if told is not None and folded(target.relative_to(home).as_posix()) in {folded(n) for n in (MANIFEST, *told)}:
            return home
    return None


def _is_report(file: Path, data: bytes) -> bool:
    """Whether what stands there is empty, the very same, or a report for other programs that progdoc wrote."""
    with file.open("rb") as stream:
        head = stream.read(max(_READ, len(data) + 1))
    first = head[:_READ]
    return head in (b"", data) or any(mark in first for mark in _OURS) or all(mark in first for mark in _JUNIT)


def _refused(code: str, file: Path, what: str, fix: str) -> Diagnostic:
    return file_fault(code, Location(readable(str(file)), 0, 0), readable(what), fix)
