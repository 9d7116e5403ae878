"""Freezes a numbered revision: the description, every file made from it, their checksums, the date and the rules.

An issued revision is never written over. Refused while the written program lacks something required, while the
number stands for other content already, and while the revision history does not say what changed. A person's or
a device's record that is not in order keeps nobody else from having a program: it is listed on the officer's sheet.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from progdoc import __version__
from progdoc.app.build import FORMATS, built_files
from progdoc.app.check import base_of, check_path
from progdoc.app.manifest import MANIFEST, ManifestError, ManifestInfo, digest, is_safe_name, listed, sha256
from progdoc.app.output_folder import State, verify_set, write_set
from progdoc.core.diagnostics import Audience, Diagnostic, Location, Scope, Severity, worst_first
from progdoc.core.report import Report
from progdoc.model.description.program import Program
from progdoc.model.load import Loaded

__all__ = [
    "DESCRIPTION",
    "ISSUE_FAULTS",
    "OPENED",
    "IssueSheet",
    "Issued",
    "issue",
    "issue_sheet",
    "verify",
]

ISSUE_FAULTS = {
    "ISSUE-001": ("revision-number-missing", "A revision without a number can't be told from the next one."),
    "ISSUE-002": ("history-entry-missing", "Whoever holds an older copy must be able to see what changed since."),
    "ISSUE-003": ("revision-already-issued", "Two contents under one number: nobody could tell which one they hold."),
    "ISSUE-004": ("number-not-a-name", "The revision's folder is named after its number, and some disks refuse it."),
    "ISSUE-005": ("not-an-issued-revision", "Only what progdoc issued carries the checksums that prove anything."),
    "ISSUE-006": ("issued-file-altered", "What people work by is no longer what was issued."),
    "ISSUE-007": ("issued-file-missing", "The revision is no longer complete."),
    "ISSUE-008": ("file-not-part-of-revision", "A reader would take it for something that was issued."),
}
DESCRIPTION = "restricted/description/"  # it names the workers
OPENED = "Renewal opened; say here what changed before it is issued."  # what `renew` leaves for the officer
_SHEET = "issue.json"
_FORMAT = "progdoc-issue/1"


@dataclass(frozen=True, slots=True)
class Issued:
    """What came of an issue. `is_new` is false where this very revision had been issued before."""

    folder: Path
    revision: str
    is_new: bool
    manifest_sha256: str  # to be written down elsewhere: who holds it can prove the folder
    report: Report


@dataclass(frozen=True, slots=True)
class IssueSheet:
    """What an issued revision says of itself."""

    revision: str
    title: str
    issued_on: date
    rules: str
    progdoc: str


def issue(path: Path, into: Path, on: date) -> Issued | list[Diagnostic]:
    """Freeze the description at a path as a folder below `into`; or return why not.

    Where every finding that stands in the way is `required`, only the program's gaps do; anything else is
    `invalid`, and is to be mended before the gaps matter.
    """
    checked = check_path(path, on)
    if checked.judged is None:
        return worst_first(list(checked.report.findings))
    program = checked.judged.description
    faults = list(_faults_of_revision(checked.loaded, program))
    frozen = _frozen_description(checked.loaded, program, base_of(path))
    folder = into / f"revision-{program.program.revision or ''}"
    if not faults:
        taken = _already_issued(into, program.program.revision or "", frozen)
        if isinstance(taken, Path):
            return Issued(taken, program.program.revision or "", False, digest(taken / MANIFEST), checked.report)
        faults += taken
    faults += [d for d in checked.report.findings if d.severity is Severity.REQUIRED and d.scope is Scope.PROGRAM]
    if faults:
        return worst_first(faults)
    built = built_files(checked.judged, base_of(path), FORMATS)
    rules = f"{built.report.rules_pack} {built.report.rules_version}"
    sheet = IssueSheet(program.program.revision or "", program.program.title or "", on, rules, __version__)
    info = ManifestInfo(sheet.revision, on, __version__, rules)
    written = write_set(folder, {**built.files, **frozen, _SHEET: _sheet_json(sheet)}, info)
    if isinstance(written, list):
        return written
    return Issued(folder, sheet.revision, True, digest(folder / MANIFEST), built.report)


def issue_sheet(folder: Path) -> IssueSheet | None:
    """Return what an issued revision says of itself; None where the folder is none, or its sheet is damaged."""
    try:
        value = json.loads((folder / _SHEET).read_bytes())
        if value["format"] != _FORMAT:
            return None
        texts = {name: str(value[name]) for name in ("revision", "title", "rules", "progdoc")}
        return IssueSheet(issued_on=date.fromisoformat(value["issued_on"]), **texts)
    except (OSError, ValueError, KeyError, TypeError):
        return None


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
    title, why = ISSUE_FAULTS[code]
    audience = Audience.RESTRICTED if name.startswith("restricted/") else Audience.PUBLIC
    place = Location(str(folder / name), 0, 0)
    return Diagnostic(place, code, title, Severity.REQUIRED, what, why, fix, audience=audience)


# ---- what stands in the way ---------------------------------------------------------------------------


def _faults_of_revision(loaded: Loaded, program: Program) -> Iterator[Diagnostic]:
    revision = program.program.revision
    if revision is None:
        here = loaded.locate("program.revision")
        what = "The description gives the revision no number."
        yield _fault("ISSUE-001", here, what, 'Write `revision: "2026.1"` under `program`.')
        return
    if not is_safe_name(f"revision-{revision}") or "/" in revision:
        here = loaded.locate("program.revision")
        what = f"`{revision}` cannot be the name of a folder."
        yield _fault("ISSUE-004", here, what, 'Write a number such as `revision: "2026.1"`.')
    entries = [(i, entry) for i, entry in enumerate(program.program.history) if entry.revision == revision]
    if not entries:
        what = f"The revision history has no entry for revision {revision}."
        fix = f"Add an entry under `program.history`, and say in it what changed:\n{_history_entry(program)}"
        yield _fault("ISSUE-002", loaded.locate("program.history"), what, fix)
    for i, entry in entries:
        if entry.summary == OPENED:
            what = f"The history entry of revision {revision} does not say yet what changed."
            here = loaded.locate(f"program.history[{i}].summary")
            yield _fault("ISSUE-002", here, what, "Write in a line what changed.")


def _history_entry(program: Program) -> str:
    """Return the entry of the revision's history that is missing, to be pasted and filled in."""
    details = program.program
    return "\n".join(
        (
            "program:",
            "  history:",
            f'    - revision: "{details.revision}"',
            f"      date: {details.effective or '# the day of this revision'}",
            f"      by: {program.officer.name or '# who wrote it'}",
            "      summary:  # what changed, in a line",
        )
    )


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


def _fault(code: str, where: Location | Path, what: str, fix: str) -> Diagnostic:
    name, why = ISSUE_FAULTS[code]
    location = where if isinstance(where, Location) else Location(str(where), 0, 0)
    return Diagnostic(location, code, name, Severity.INVALID, what, why, fix)


# ---- what is frozen -----------------------------------------------------------------------------------


def _frozen_description(loaded: Loaded, program: Program, base: Path) -> dict[str, bytes]:
    """Return the files of the description as they are, with all that they name beside them."""
    names = [*loaded.description.files, *(attachment.file for attachment in program.attachments)]
    return {DESCRIPTION + Path(name).as_posix(): (base / name).read_bytes() for name in dict.fromkeys(names)}


def _sheet_json(sheet: IssueSheet) -> bytes:
    value = {
        "format": _FORMAT,
        "revision": sheet.revision,
        "title": sheet.title,
        "issued_on": sheet.issued_on.isoformat(),
        "rules": sheet.rules,
        "progdoc": sheet.progdoc,
        "description": DESCRIPTION,
    }
    return (json.dumps(value, ensure_ascii=False, indent=2) + "\n").encode(errors="replace")
