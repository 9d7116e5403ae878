"""Files that belong to the program, taken into the set unchanged."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePosixPath

from progdoc.app.file_faults import FILE_FAULTS
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.unread import Unread
from progdoc.model.load import Loaded

__all__ = ["attached_files", "missing_attachments"]


def missing_attachments(loaded: Loaded) -> Iterator[Diagnostic]:
    """Find attachments whose file is not there."""
    if loaded.program is None:
        return
    name, why = FILE_FAULTS["ATT-001"]
    for i, attachment in enumerate(loaded.program.attachments):
        found = loaded.files.get(attachment.file, Unread(""))
        if isinstance(found, Unread):
            absent = f"There is no file `{attachment.file}` beside the description."
            yield Diagnostic(
                loaded.locate(f"attachments[{i}].file"),
                "ATT-001",
                name,
                Severity.INVALID,
                f"`{attachment.file}` {found.why}." if found.why else absent,
                why,
                "Put the file into the folder of the description, or below it, and write its name as it is there.",
                subject=(f"attachments.{attachment.id}",),
            )


def attached_files(loaded: Loaded) -> dict[str, bytes]:
    """Return the attached files by their name in the set."""
    found: dict[str, bytes] = {}
    for attachment in loaded.program.attachments if loaded.program else ():
        content = loaded.content(attachment.file)
        if content is not None:
            ending = PurePosixPath(attachment.file).suffix.lower()
            found[f"attachments/{attachment.id}{ending}"] = content
    return found
