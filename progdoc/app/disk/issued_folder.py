"""Issued revisions on the disk: a new folder that takes its place whole, and is never written over.

Refused, beside what `progdoc.app.issue` refuses, while the number stands for other content already.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from progdoc.app.check import gaps_of_program
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.issued_rules import frozen_packs
from progdoc.app.disk.manifest_files import digest, listed
from progdoc.app.disk.ordinary_files import content_of
from progdoc.app.disk.output_folder import faults_of_names, takes_place, verify_set
from progdoc.app.disk.placement import holding, put_whole, stage
from progdoc.app.disk.refusals import REFUSALS, refusal
from progdoc.app.disk.signatures import add_signature, signer_at
from progdoc.app.file_faults import FILE_FAULTS, file_fault
from progdoc.app.issue import (
    DESCRIPTION,
    RULES,
    IssuedAs,
    IssueSheet,
    Predecessor,
    faults_of_revision,
    findings_in,
    frozen_description,
    issued_files,
    sheet_in,
)
from progdoc.app.manifest import MANIFEST, SHEET, STAGING, Content, ManifestError, digest_of, sha256
from progdoc.core.diagnostics import Diagnostic, Location, Severity, worst_first
from progdoc.core.late_dataclass import dataclass
from progdoc.core.report import Report
from progdoc.core.said import changed, said, same
from progdoc.model.yaml.yaml_file import readable

__all__ = [
    "Issued",
    "PlacedRevision",
    "all_issued",
    "issue",
    "issue_sheet",
    "issued_as",
    "lacks_description",
    "last_issued",
    "place_revision",
]


@dataclass(frozen=True, slots=True)
class PlacedRevision:
    """A revision in its folder. `is_new` is false where this very revision had been issued before."""

    folder: Path
    is_new: bool
    manifest_sha256: str  # to be written down elsewhere: who holds it can prove the folder, and all before it
    told: tuple[Diagnostic, ...] = ()  # of earlier revisions: what is not as it was issued
    left_by: str = ""  # the run that was interrupted here, whose beginnings were cleared away


@dataclass(frozen=True, slots=True)
class Issued:
    """What came of an issue, and the report of what was issued."""

    placed: PlacedRevision
    report: Report
    signed_by: str = ""  # the fingerprint of the key, if it was signed

    @property
    def folder(self) -> Path:
        return self.placed.folder

    @property
    def revision(self) -> str:
        return self.report.revision


def issue(
    path: Path, into: Path, on: date, rules: Sequence[Path] = (), key: Path | None = None
) -> Issued | list[Diagnostic]:
    """Freeze the description at a path as a folder below `into`, with the packs of rules; or return why not.

    With the file of a private key it is signed, a revision that was issued before too.
    Where every finding that stands in the way is `required`, only the program's gaps do; anything else is
    `invalid`, and is to be mended before the gaps matter.
    """
    signer = signer_at(key) if key else None
    if isinstance(signer, Diagnostic):
        return [signer]
    checked = check_path(path, on, rules)
    if checked.judged is None:
        return worst_first(list(checked.report.findings))
    faults, gaps = list(faults_of_revision(checked)), gaps_of_program(checked)
    if faults or (gaps and not into.exists()):
        return worst_first(faults + gaps)

    def files(before: Sequence[Predecessor]) -> Iterable[tuple[str, Content]] | list[Diagnostic]:
        return gaps or issued_files(checked, before, packs, signer)

    packs = frozen_packs(rules)
    frozen = {name: sha256(data) for name, data in {**frozen_description(checked.loaded), **packs}.items()}
    placed = place_revision(into, checked.report.revision, frozen, files)
    if isinstance(placed, list):
        return worst_first(placed)
    unsigned = None if signer is None or placed.is_new else add_signature(placed.folder, signer)
    return [unsigned] if unsigned else Issued(placed, checked.report, signer.fingerprint if signer else "")


def place_revision(
    into: Path,
    revision: str,
    frozen: Mapping[str, str],
    files: Callable[[Sequence[Predecessor]], Iterable[tuple[str, Content]] | list[Diagnostic]],
) -> PlacedRevision | list[Diagnostic]:
    """Place a revision whole, or find it where it was placed before; or return why not.

    Parameters
    ----------
    into
        Where revisions are kept.
    frozen
        The SHA-256 of each file of its description and of its packs of rules: by them it is known again.
    files
        Returns every file of it, its manifest last, or what keeps it from being issued, given the revisions whose
        digests it is to hold.
    """
    folder = into / f"revision-{revision}"
    try:
        into.mkdir(parents=True, exist_ok=True)
        with holding(into) as place:
            taken = _already_issued(into, folder, revision, frozen)
            if isinstance(taken, Path):
                return PlacedRevision(taken, False, digest(taken / MANIFEST), left_by=place.left_by)
            before, told = ([], []) if taken else _before(into)
            made = taken or files(before)
            if isinstance(made, list):
                return made
            passed: dict[str, str] = {}
            stage(place, _safe(made, passed))
            faults = faults_of_names(folder, passed)
            if faults:
                return faults
            put_whole(place, folder)
    except REFUSALS as error:
        return [refusal(into, error)]
    return PlacedRevision(folder, True, passed[MANIFEST], tuple(told), place.left_by)


def _safe(files: Iterable[tuple[str, Content]], passed: dict[str, str]) -> Iterator[tuple[str, Content]]:
    """Yield the files whose names can stand beside each other; note the SHA-256 of each by name."""
    taken: set[str] = set()
    for name, data in files:
        if takes_place(name, taken):
            yield name, data
        passed[name] = digest_of(data)


def issue_sheet(folder: Path) -> IssueSheet | None:
    """Return what an issued revision says of itself; None where the folder is none, or its sheet is damaged."""
    try:
        return sheet_in(content_of(folder / SHEET))
    except (FileNotFoundError, NotADirectoryError):
        return None


def last_issued(into: Path) -> Path | None:
    """Return the folder of the revision that was issued last below a folder; None where there is none."""
    found = all_issued(into)
    return found[-1] if found else None


def all_issued(into: Path) -> list[Path]:
    """Return the folders of the revisions that were issued below a folder, the oldest first."""
    if not into.is_dir():
        return []
    return [entry for *_, entry in sorted((sheet.issued_on, len(sheet.after), at) for at, sheet in _revisions_in(into))]


def issued_as(folder: Path) -> IssuedAs | None:
    """Return what a folder's revision was issued as; None where the folder is no issued revision."""
    sheet = issue_sheet(folder)
    if sheet is None:
        return None
    try:
        return IssuedAs(sheet, findings_in(content_of(folder / "restricted" / "gaps.json")))
    except OSError:
        return IssuedAs(sheet, None)


def lacks_description(folder: Path) -> list[Diagnostic]:
    """Return why a revision that was issued can't be read: it is a copy without what names people."""
    if issue_sheet(folder) is None or (folder / DESCRIPTION).is_dir():
        return []
    what = said("%(folder)s is a copy without %(description)s.", folder=str(folder), description=same(DESCRIPTION))
    fix = said("Name the folder in which it was issued, or a whole copy.")
    return [file_fault("ISSUE-015", Location(readable(str(folder)), 0, 0), changed(what, readable), fix)]


# ---- whether the number is taken ----------------------------------------------------------------------


def _already_issued(into: Path, folder: Path, revision: str, frozen: Mapping[str, str]) -> Path | list[Diagnostic]:
    """Return the folder of the same revision with the same description; else why the number can't be used."""
    taken = [entry for entry, sheet in _revisions_in(into) if sheet.revision == revision]
    if not taken:
        return _in_the_way(folder)
    where = taken[0]
    if _frozen_in(where) == frozen and not verify_set(where):
        return where
    what = said(
        "Revision %(revision)s was issued before, with other content: %(where)s.", revision=revision, where=str(where)
    )
    fault = _taken(where, what)
    return [replace(fault, location=replace(fault.location, path="program.revision"))]


def _in_the_way(folder: Path) -> list[Diagnostic]:
    """Return what stands where the revision is to go: what an interrupted run left is cleared away, and no more."""
    if (folder / STAGING).is_dir() and not folder.is_symlink():
        with holding(folder):
            pass
    if folder.is_dir() and not folder.is_symlink() and not any(folder.iterdir()):
        folder.rmdir()
    if not folder.exists() and not folder.is_symlink():
        return []
    what = said("%(folder)s is already there and was not made by `progdoc issue`.", folder=str(folder))
    return [_taken(folder, what)]


def _revisions_in(folder: Path) -> Iterator[tuple[Path, IssueSheet]]:
    """Yield the issued revisions below a folder, by the names of their folders."""
    for entry in sorted(folder.iterdir()) if folder.is_dir() else ():
        sheet = issue_sheet(entry) if entry.is_dir() else None
        if sheet is not None:
            yield entry, sheet


def _taken(where: Path, what: str) -> Diagnostic:
    fix = said(
        "Give this one the next number, with an entry of its own in the history; or name another folder after --into."
    )
    return file_fault("ISSUE-003", Location(readable(str(where)), 0, 0), changed(what, readable), fix)


def _frozen_in(folder: Path) -> Mapping[str, str]:
    try:
        told = listed(folder) or {}
    except ManifestError:
        return {}
    return {name: known for name, known in told.items() if name.startswith((DESCRIPTION, RULES))}


# ---- the chain ----------------------------------------------------------------------------------------


def _before(into: Path) -> tuple[list[Predecessor], list[Diagnostic]]:
    """Return the revisions that no other one holds yet, and what of them is not as it was issued.

    An old revision that somebody damaged keeps nobody from issuing a new one; the digest held is that of its manifest.
    """
    revisions = list(_revisions_in(into))
    are_held = {entry.revision for _, sheet in revisions for entry in sheet.after}
    last = [(folder, sheet) for folder, sheet in revisions if sheet.revision not in are_held]
    told = [_damaged(folder, sheet) for folder, sheet in last if verify_set(folder)]
    return [Predecessor(sheet.revision, digest(folder / MANIFEST)) for folder, sheet in last], told


def _damaged(folder: Path, sheet: IssueSheet) -> Diagnostic:
    name, why = FILE_FAULTS["ISSUE-006"]
    place = Location(readable(str(folder)), 0, 0)
    what = f"Revision {sheet.revision}, issued before, is no longer what was issued."
    fix = f"`progdoc issue --verify {folder}` tells its files; restore them from a copy."
    return Diagnostic(place, "ISSUE-006", name, Severity.CAUTION, readable(what), why, readable(fix))
