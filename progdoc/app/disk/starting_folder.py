"""Writes the starting description into a new folder, and never over anything."""

from __future__ import annotations

from pathlib import Path

from progdoc.app.file_faults import FILE_FAULTS
from progdoc.app.start import starting_files
from progdoc.core.diagnostics import Diagnostic, Location, Severity

__all__ = ["start"]


def start(folder: Path) -> list[Path] | list[Diagnostic]:
    """Write the starting description and its schema; return what was written, or why nothing was."""
    files = {folder / name: content for name, content in starting_files().items()}
    if folder.exists() and not folder.is_dir():
        return [_fault("START-002", folder, f"{folder} is a file.", "Name a folder.")]
    standing = [file for file in files if file.exists() or file.is_symlink()]
    if standing:
        names = ", ".join(file.name for file in standing)
        return [_fault("START-001", folder, f"{folder} already holds {names}.", "Name a new or empty folder.")]
    written: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for file, content in files.items():
            with file.open("xb") as out:
                out.write(content)
            written.append(file)
    except OSError as error:
        for file in written:
            file.unlink(missing_ok=True)
        return [_fault("START-002", folder, f"{error.filename or folder}: {error.strerror}.", "Name another folder.")]
    return written


def _fault(code: str, folder: Path, what: str, fix: str) -> Diagnostic:
    name, why = FILE_FAULTS[code]
    return Diagnostic(Location(str(folder), 0, 0), code, name, Severity.INVALID, what, why, fix)
