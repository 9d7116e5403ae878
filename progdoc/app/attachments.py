"""Files that belong to the program, taken into the set unchanged."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.model.description.program import Attachment, Program
from progdoc.model.load import Loaded

__all__ = ["ATTACHMENT_FAULTS", "attached_files", "missing_attachments"]

ATTACHMENT_FAULTS = {
    "ATT-001": (
        "attachment-missing",
        "The program promises a text that is not in the package.",
    )
}


def _file_of(attachment: Attachment, base: Path) -> Path | None:
    """Return the file, if it is an ordinary one beside the description or in a folder below it."""
    file = base / attachment.file
    inside = file.resolve().is_relative_to(base.resolve())
    return file if inside and file.is_file() else None


def missing_attachments(loaded: Loaded, base: Path) -> Iterator[Diagnostic]:
    """Find attachments whose file is not there, or not inside the description's folder."""
    if loaded.program is None:
        return
    name, why = ATTACHMENT_FAULTS["ATT-001"]
    for i, attachment in enumerate(loaded.program.attachments):
        if _file_of(attachment, base) is None:
            yield Diagnostic(
                loaded.locate(f"attachments[{i}].file"),
                "ATT-001",
                name,
                Severity.INVALID,
                f"There is no file `{attachment.file}` beside the description.",
                why,
                "Put the file into the folder of the description, or below it, and write its name as it is there.",
                subject=(f"attachments.{attachment.id}",),
            )


def attached_files(program: Program, base: Path) -> dict[str, bytes]:
    """Return the attached files by their name in the set."""
    found: dict[str, bytes] = {}
    for attachment in program.attachments:
        file = _file_of(attachment, base)
        if file is not None:
            found[f"attachments/{attachment.id}{file.suffix.lower()}"] = file.read_bytes()
    return found
