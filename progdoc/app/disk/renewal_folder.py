"""Writes a renewed description into a new folder, and never over anything."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from progdoc.app.disk.compared_paths import version_at
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.issued_folder import issue_sheet, lacks_description
from progdoc.app.disk.new_folder import Placed, write_new
from progdoc.app.file_faults import file_fault
from progdoc.app.issue import DESCRIPTION
from progdoc.app.of_site import fault_of_site
from progdoc.app.renew import Renewal, faults_of_renewal, renewal
from progdoc.core.diagnostics import Diagnostic, Location, worst_first
from progdoc.core.late_dataclass import dataclass
from progdoc.model.yaml.yaml_file import os_reason, readable
from progdoc.writers.form_error import MOST_FORM_BYTES

__all__ = ["Renewed", "renew"]


@dataclass(frozen=True, slots=True)
class Renewed:
    """The files that were written: the description, then the worksheet; none where it was only to be shown."""

    folder: Path | None
    done: Renewal
    placed: Placed | None = None

    @property
    def written(self) -> tuple[Path, ...]:
        return self.placed.written if self.placed else ()

    @property
    def revision(self) -> str:
        return self.done.revision


def renew(
    path: Path,
    effective: date,
    out: Path | None,
    on: date,
    since: Path | None = None,
    answers: Path | None = None,
    site: str | None = None,
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
        A completed worksheet: the Word file, the PDF, or what the browser kept of the page.
    site
        The id of the site that the worksheet is for; without one it is for all.
    """
    is_issued = issue_sheet(path) is not None
    since = path if is_issued else since
    lacking = lacks_description(since) if since else []
    if lacking:
        return lacking
    checked = check_path(path / DESCRIPTION if is_issued else path, effective)
    if checked.judged is None:
        return worst_first(list(checked.report.findings))
    if unknown := fault_of_site("RENEW-010", site, checked.judged):
        return [unknown]
    faults = list(faults_of_renewal(checked, effective))
    completed = _completed(answers) if answers else None
    faults += [completed] if isinstance(completed, Diagnostic) else []
    if faults or isinstance(completed, Diagnostic):
        return faults
    last = version_at(since, on) if since else None
    if last is not None and not last.checked.is_understood:
        return worst_first(list(last.checked.report.findings))
    done = renewal(checked, effective, last, completed, site)
    if isinstance(done, list):
        return done
    if out is None:
        return Renewed(None, done)
    placed = write_new(out, done.files, "RENEW", may_hold_more=False, owner_only=True)
    return placed if isinstance(placed, list) else Renewed(out, done, placed)


def _completed(file: Path) -> tuple[str, bytes] | Diagnostic:
    """Return a worksheet's name and what it holds; no more is read than a form can hold."""
    try:
        if not file.is_file():
            raise OSError("no such file")
        with file.open("rb") as stream:
            data = stream.read(MOST_FORM_BYTES + 1)
    except (OSError, ValueError) as error:
        what = f"{readable(str(file))} cannot be read: {os_reason(error)}."
        return file_fault(
            "RENEW-006", Location(readable(str(file)), 0, 0), what, "Name the completed worksheet after --answers."
        )
    if len(data) > MOST_FORM_BYTES:
        what = f"{readable(str(file))} is over {MOST_FORM_BYTES:,} bytes, more than a worksheet can have."
        return file_fault(
            "RENEW-006", Location(readable(str(file)), 0, 0), what, "Name the completed worksheet after --answers."
        )
    return readable(file.name), data
