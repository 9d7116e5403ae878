"""Writes a renewed description into a new folder, and never over anything."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from progdoc.app.disk.compared_paths import version_at
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.issued_folder import issue_sheet, lacks_description
from progdoc.app.disk.new_folder import Placed, write_new
from progdoc.app.issue import DESCRIPTION
from progdoc.app.renew import faults_of_renewal, renewal
from progdoc.core.diagnostics import Diagnostic, worst_first

__all__ = ["Renewed", "renew"]


@dataclass(frozen=True, slots=True)
class Renewed:
    """The files that were placed: the description, then the worksheet."""

    folder: Path
    revision: str
    placed: Placed

    @property
    def written(self) -> tuple[Path, ...]:
        return self.placed.written


def renew(path: Path, effective: date, out: Path, on: date, since: Path | None = None) -> Renewed | list[Diagnostic]:
    """Write the description of the next revision and its worksheet into a new folder; or return why not.

    Parameters
    ----------
    path
        The description, or an issued revision.
    effective
        The day from which the new revision applies; the worksheet is made for it.
    on
        The day on which the revision is opened.
    since
        The last issued revision, to tell who came and left and what other rules changed.
    """
    is_issued = issue_sheet(path) is not None
    since = path if is_issued else since
    lacking = lacks_description(since) if since else []
    if lacking:
        return lacking
    checked = check_path(path / DESCRIPTION if is_issued else path, effective)
    if checked.judged is None:
        return worst_first(list(checked.report.findings))
    faults = faults_of_renewal(checked, effective)
    if faults:
        return faults
    last = version_at(since, on) if since else None
    if last is not None and not last.checked.is_understood:
        return worst_first(list(last.checked.report.findings))
    done = renewal(checked, effective, last)
    if isinstance(done, Diagnostic):
        return [done]
    placed = write_new(out, done.files, "RENEW", may_hold_more=False)
    return placed if isinstance(placed, list) else Renewed(out, done.revision, placed)
