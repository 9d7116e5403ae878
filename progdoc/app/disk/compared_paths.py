"""The two sides of a comparison at their paths: descriptions, folders or issued revisions, in any mix."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from progdoc.app.compare import Compared, Version, compare
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.issued_folder import issued_as, lacks_description
from progdoc.app.disk.verified_revision import verify
from progdoc.app.issue import DESCRIPTION
from progdoc.core.diagnostics import Diagnostic

__all__ = ["compare_paths", "version_at"]


def compare_paths(old: Path, new: Path, on: date) -> Compared | list[Diagnostic]:
    """Return how two descriptions differ; or every fault that keeps one of them from being understood."""
    lacking = [fault for path in (old, new) for fault in lacks_description(path)]
    if lacking:
        return lacking
    sides = [version_at(path, on) for path in (old, new)]
    faults = [d for side in sides if not side.checked.is_understood for d in side.checked.report.findings]
    return faults or compare(*sides)


def version_at(path: Path, on: date) -> Version:
    """Return the description at a path, or the one that an issued revision holds, judged on a day."""
    issued = issued_as(path)
    altered = tuple(sorted({_name_in(path, fault) for fault in verify(path).faults})) if issued else ()
    return Version(path.name, check_path(path / DESCRIPTION if issued else path, on), issued, altered)


def _name_in(folder: Path, fault: Diagnostic) -> str:
    """Return which file of a folder a fault is about, as somebody may read it who is not to know the workers."""
    file = Path(fault.location.file)
    name = file.relative_to(folder).as_posix() if file.is_relative_to(folder) and file != folder else file.name
    return "a restricted file" if name.startswith("restricted/") else name
