"""Issued revisions on the disk: written once, never written over, and proved by their checksums.

Refused, beside what `progdoc.app.issue` refuses, while the number stands for other content already.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from progdoc.app.check import gaps_of_program
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.manifest_files import digest, listed
from progdoc.app.disk.output_folder import State, verify_set, write_complete
from progdoc.app.file_faults import FILE_FAULTS
from progdoc.app.issue import (
    DESCRIPTION,
    SHEET,
    IssuedAs,
    IssueSheet,
    faults_of_revision,
    findings_in,
    frozen_description,
    issued_files,
    sheet_in,
)
from progdoc.app.manifest import MANIFEST, ManifestError, sha256
from progdoc.core.diagnostics import Audience, Diagnostic, Location, Severity, worst_first
from progdoc.core.report import Report

__all__ = ["Issued", "issue", "issue_sheet", "issued_as", "verify"]


@dataclass(frozen=True, slots=True)
class Issued:
    """What came of an issue. `is_new` is false where this very revision had been issued before."""

    folder: Path
    revision: str
    is_new: bool
    manifest_sha256: str  # to be written down elsewhere: who holds it can prove the folder
    report: Report


def issue(path: Path, into: Path, on: date) -> Issued | list[Diagnostic]:
    """Freeze the description at a path as a folder below `into`; or return why not.

    Where every finding that stands in the way is `required`, only the program's gaps do; anything else is
    `invalid`, and is to be mended before the gaps matter.
    """
    checked = check_path(path, on)
    if checked.judged is None:
        return worst_first(list(checked.report.findings))
    revision = checked.report.revision
    faults = list(faults_of_revision(checked))
    folder = into / f"revision-{revision}"
    if not faults:
        taken = _already_issued(into, revision, frozen_description(checked.loaded))
        if isinstance(taken, Path):
            return Issued(taken, revision, False, digest(taken / MANIFEST), checked.report)
        faults += taken
    faults += gaps_of_program(checked)
    if faults:
        return worst_first(faults)
    written = write_complete(folder, issued_files(checked))
    if isinstance(written, list):
        return written
    return Issued(folder, revision, True, digest(folder / MANIFEST), checked.report)


def issue_sheet(folder: Path) -> IssueSheet | None:
    """Return what an issued revision says of itself; None where the folder is none, or its sheet is damaged."""
    try:
        return sheet_in((folder / SHEET).read_bytes())
    except OSError:
        return None


def issued_as(folder: Path) -> IssuedAs | None:
    """Return what a folder's revision was issued as; None where the folder is no issued revision."""
    sheet = issue_sheet(folder)
    if sheet is None:
        return None
    try:
        return IssuedAs(sheet, findings_in((folder / "restricted" / "gaps.json").read_bytes()))
    except OSError:
        return IssuedAs(sheet, None)


def verify(folder: Path) -> list[Diagnostic]:
    """Return every file of an issued revision that is not as it was issued; nothing where all are.

    The manifest proves the files; what proves the manifest is its own checksum, written down at issue.
    """
    if issue_sheet(folder) is None and not (folder / MANIFEST).is_file():
        what = f"{folder} holds no issued revision."
        return [_fault("ISSUE-005", folder, what, "Name the folder that `progdoc issue` made.")]
    restore = "Restore the folder from a copy, or issue the next revision."
    found = [_difference(folder, d.name, d.state, restore) for d in verify_set(folder)]
    try:
        known = {*(listed(folder) or ()), MANIFEST}
    except ManifestError:
        return worst_first(found)  # without its list nobody can say what belongs there
    for file in sorted(folder.rglob("*")):
        name = file.relative_to(folder).as_posix()
        if (file.is_symlink() or not file.is_dir()) and name not in known:
            what = f"{name} does not belong to this revision."
            found.append(_altered("ISSUE-008", folder, name, what, "Move it elsewhere."))
    return worst_first(found)


def _difference(folder: Path, name: str, state: State, fix: str) -> Diagnostic:
    if state is State.MISSING:
        return _altered("ISSUE-007", folder, name, f"{name} is missing.", fix)
    return _altered("ISSUE-006", folder, name, f"{name} was altered after it had been issued.", fix)


def _altered(code: str, folder: Path, name: str, what: str, fix: str) -> Diagnostic:
    title, why = FILE_FAULTS[code]
    audience = Audience.RESTRICTED if name.startswith("restricted/") else Audience.PUBLIC
    place = Location(str(folder / name), 0, 0)
    return Diagnostic(place, code, title, Severity.REQUIRED, what, why, fix, audience=audience)


# ---- whether the number is taken ----------------------------------------------------------------------


def _already_issued(into: Path, revision: str, frozen: Mapping[str, bytes]) -> Path | list[Diagnostic]:
    """Return the folder of the same revision with the same description; else why the number can't be used."""
    folder = into / f"revision-{revision}"
    others = sorted(into.iterdir()) if into.is_dir() else []
    taken = [other for other in others if other.is_dir() and _revision_in(other) == revision]
    if not taken and not folder.exists() and not folder.is_symlink():
        return []
    where = taken[0] if taken else folder
    if taken and not verify(where) and _description_in(where) == {name: sha256(data) for name, data in frozen.items()}:
        return where
    what = f"Revision {revision} was issued before, with other content: {where}."
    if not taken:
        what = f"{where} is already there and was not made by `progdoc issue`."
    fix = "Give this one the next number, with an entry of its own in the history; or name another folder after --into."
    return [_fault("ISSUE-003", where, what, fix)]


def _revision_in(folder: Path) -> str | None:
    sheet = issue_sheet(folder)
    return sheet.revision if sheet else None


def _description_in(folder: Path) -> dict[str, str]:
    return {name: told for name, told in (listed(folder) or {}).items() if name.startswith(DESCRIPTION)}


def _fault(code: str, where: Path, what: str, fix: str) -> Diagnostic:
    name, why = FILE_FAULTS[code]
    return Diagnostic(Location(str(where), 0, 0), code, name, Severity.INVALID, what, why, fix)
