"""Writes a renewed description into a new folder, and never over anything."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from progdoc.app.disk.compared_paths import version_at
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.issued_folder import issue_sheet
from progdoc.app.file_faults import FILE_FAULTS
from progdoc.app.issue import DESCRIPTION
from progdoc.app.renew import Renewal, faults_of_renewal, renewal
from progdoc.core.diagnostics import Diagnostic, Location, Severity, worst_first
from progdoc.model.yaml.yaml_file import os_reason, readable
from progdoc.writers.docx.filled_controls import MOST_FORM_BYTES

__all__ = ["Renewed", "renew"]


@dataclass(frozen=True, slots=True)
class Renewed:
    """The files that were written: the description, then the worksheet; none where it was only to be shown."""

    folder: Path | None
    done: Renewal
    written: tuple[Path, ...] = ()

    @property
    def revision(self) -> str:
        return self.done.revision


def renew(
    path: Path, effective: date, out: Path | None, on: date, since: Path | None = None, answers: Path | None = None
) -> Renewed | list[Diagnostic]:
    """Write the description of the next revision and its worksheet into a new folder; or return why not.

    Parameters
    ----------
    path
        The description, or an issued revision.
    effective
        The day from which the new revision applies; the worksheet is made for it.
    out
        The new folder; without one nothing is written, and what would change is returned.
    on
        The day on which the revision is opened.
    since
        The last issued revision, to tell who came and left and what other rules changed.
    answers
        A completed worksheet: the Word file, or what the browser kept of the page.
    """
    is_issued = issue_sheet(path) is not None
    since = path if is_issued else since
    checked = check_path(path / DESCRIPTION if is_issued else path, effective)
    if checked.judged is None:
        return worst_first(list(checked.report.findings))
    faults = [*(_faults_of_folder(out) if out else ()), *faults_of_renewal(checked, effective)]
    completed = _completed(answers) if answers else None
    faults += [completed] if isinstance(completed, Diagnostic) else []
    if faults or isinstance(completed, Diagnostic):
        return faults
    last = version_at(since, on) if since else None
    if last is not None and not last.checked.is_understood:
        return worst_first(list(last.checked.report.findings))
    done = renewal(checked, effective, last, completed)
    if isinstance(done, list):
        return done
    written = _written(out, done.files) if out else ()
    return [written] if isinstance(written, Diagnostic) else Renewed(out, done, written)


def _completed(file: Path) -> tuple[str, bytes] | Diagnostic:
    """Return a worksheet's name and what it holds; no more is read than a form can hold."""
    try:
        if not file.is_file():
            raise OSError("no such file")
        with file.open("rb") as stream:
            data = stream.read(MOST_FORM_BYTES + 1)
    except (OSError, ValueError) as error:
        what = f"{readable(str(file))} cannot be read: {os_reason(error)}."
        return _fault("RENEW-006", file, what, "Name the completed worksheet after --answers.")
    if len(data) > MOST_FORM_BYTES:
        what = f"{readable(str(file))} is over {MOST_FORM_BYTES:,} bytes, more than a worksheet can have."
        return _fault("RENEW-006", file, what, "Name the completed worksheet after --answers.")
    return readable(file.name), data


def _faults_of_folder(out: Path) -> list[Diagnostic]:
    if not out.exists() or (out.is_dir() and not any(out.iterdir())):
        return []
    return [_fault("RENEW-001", out, f"{out} is not an empty folder.", "Name a new folder after -o.")]


def _written(out: Path, files: Mapping[str, bytes]) -> tuple[Path, ...] | Diagnostic:
    """Write everything; nothing is left behind where that fails."""
    written: list[Path] = []
    try:
        for name, data in files.items():
            file = out / name
            file.parent.mkdir(parents=True, exist_ok=True)
            with file.open("xb") as stream:
                stream.write(data)
            written.append(file)
    except OSError as error:
        for file in written:
            file.unlink(missing_ok=True)
        return _fault("RENEW-002", out, f"{error.filename or out}: {error.strerror}.", "Name another folder after -o.")
    return tuple(written)


def _fault(code: str, place: Path, what: str, fix: str) -> Diagnostic:
    name, why = FILE_FAULTS[code]
    return Diagnostic(Location(str(place), 0, 0), code, name, Severity.INVALID, what, why, fix)
