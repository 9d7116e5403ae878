"""A commented description to begin with: it asks nothing, and every gap it leaves tells the next thing to fill in."""

from __future__ import annotations

from pathlib import Path

from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.resources import templates_root
from progdoc.model.schema import schema_json

__all__ = ["START_FAULTS", "start"]

START_FAULTS = {
    "START-001": ("file-in-the-way", "A description that somebody wrote is never overwritten."),
    "START-002": ("folder-not-writable", "The description has to be written somewhere."),
}
SCHEMA = "program.schema.json"


def start(folder: Path) -> list[Path] | list[Diagnostic]:
    """Write the starting description and its schema; return what was written, or why nothing was."""
    sources = sorted(
        (f for f in (templates_root() / "start").iterdir() if f.name.endswith(".yaml")), key=lambda f: f.name
    )
    files = {folder / source.name: source.read_bytes() for source in sources}
    files[folder / SCHEMA] = schema_json()
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
    name, why = START_FAULTS[code]
    return Diagnostic(Location(str(folder), 0, 0), code, name, Severity.INVALID, what, why, fix)
