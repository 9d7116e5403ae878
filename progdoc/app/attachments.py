"""Files that belong to the program, taken into the set unchanged."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePosixPath

from progdoc.app.attached_text import why_no_text
from progdoc.app.file_faults import FILE_FAULTS, file_fault
from progdoc.app.manifest import RESTRICTED, folded
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.picture import Picture
from progdoc.core.unread import Unread
from progdoc.model.description.program import Attachment
from progdoc.model.load import Loaded

__all__ = [
    "OF_DESCRIPTION",
    "UNDER_RESTRICTED",
    "attached_files",
    "missing_attachments",
    "pictures",
    "unfit_texts",
    "unusable_figures",
]

OF_DESCRIPTION = Unread("is part of the description, which names the workers")
UNDER_RESTRICTED = Unread("lies in a restricted folder, which is not handed out")


def missing_attachments(loaded: Loaded) -> Iterator[Diagnostic]:
    """Find attachments whose file is not there."""
    if loaded.program is None:
        return
    name, why = FILE_FAULTS["ATT-001"]
    for i, attachment in enumerate(loaded.program.attachments):
        found = _refused(loaded, attachment.file) or loaded.files.get(attachment.file, Unread(""))
        if found == b"":
            found = Unread("is empty: whoever gets the program would get nothing")
        if isinstance(found, Unread):
            absent = f"There is no file `{attachment.file}` beside the description."
            yield Diagnostic(
                loaded.locate(f"attachments[{i}].file"),
                "ATT-001",
                name,
                Severity.INVALID,
                f"`{attachment.file}` {found.why}." if found.why else absent,
                why,
                "Put the file into the folder of the description, or below it, and write its name as it is there."
                if found not in (OF_DESCRIPTION, UNDER_RESTRICTED)
                else "Name a file that everybody may read who gets the program; take the rest out.",
                subject=(f"attachments.{attachment.id}",),
            )


def unfit_texts(loaded: Loaded) -> Iterator[Diagnostic]:
    """Find attachments whose file is not what its name says: it would answer a duty with nothing."""
    program = loaded.program
    if program is None:
        return
    official = (
        program.procedures.medical.questionnaire.attachment,
        program.procedures.voluntary_use.appendix_d_attachment,
    )
    shown = {attachment.id for _, _, attachment in _figures(loaded)}  # `unusable_figures` looks at them
    for i, attachment in enumerate(program.attachments):
        content = None if _refused(loaded, attachment.file) else loaded.content(attachment.file)
        if (
            attachment.id not in shown
            and content
            and (why := why_no_text(attachment.file, content, attachment.id in official))
        ):
            where = loaded.locate(f"attachments[{i}].file")
            fix = "Save the text itself under this name: as a PDF, a Word document or plain text."
            yield file_fault("ATT-003", where, f"`{attachment.file}` {why}.", fix)


def unusable_figures(loaded: Loaded) -> Iterator[Diagnostic]:
    """Find the figures of the firm's own texts whose attachment is no picture that can be printed."""
    for i, j, attachment in _figures(loaded):
        content = loaded.content(attachment.file)
        trouble = _trouble(content) if content else ""
        if trouble:
            yield file_fault(
                "ATT-002",
                loaded.locate(f"own_sections[{i}].figures[{j}].attachment"),
                f"`{attachment.file}` can't be shown: {trouble}.",
                "Save it as a PNG or a JPEG of no more than 2000 by 2000 dots and 500,000 bytes.",
            )


def pictures(loaded: Loaded) -> dict[str, Picture]:
    """Return the pictures that the firm's own texts show, by the id of their attachment."""
    from progdoc.writers.photo import photo_png

    found: dict[str, Picture] = {}
    for _, _, attachment in _figures(loaded):
        content = loaded.content(attachment.file)
        if content is not None and attachment.id not in found:
            found[attachment.id] = Picture(_name_in_set(attachment), photo_png(content))
    return found


def _figures(loaded: Loaded) -> Iterator[tuple[int, int, Attachment]]:
    """Yield the number of an own section, that of a figure in it, and its attachment."""
    program = loaded.program
    known = {one.id: one for one in program.attachments} if program else {}
    for i, own in enumerate(program.own_sections if program else ()):
        for j, figure in enumerate(own.figures):
            if figure.attachment in known:
                yield i, j, known[figure.attachment]


def _trouble(content: bytes) -> str:
    from progdoc.writers.logo import LogoError
    from progdoc.writers.photo import photo_png

    try:
        photo_png(content)
    except LogoError as fault:
        return str(fault)
    return ""


def _name_in_set(attachment: Attachment) -> str:
    return f"attachments/{attachment.id}{PurePosixPath(attachment.file).suffix.lower()}"


def _refused(loaded: Loaded, file: str) -> Unread | None:
    """Return why a file is not handed out with the program, however it is named; None where it may be."""
    parts = [folded(part) for part in PurePosixPath(file).parts]
    described = {folded(name) for name in loaded.description.files}
    if len(parts) == 1 and parts[0] in described:
        return OF_DESCRIPTION
    return UNDER_RESTRICTED if folded(RESTRICTED.rstrip("/")) in parts[:-1] else None


def attached_files(loaded: Loaded) -> dict[str, bytes]:
    """Return the attached files by their name in the set."""
    found: dict[str, bytes] = {}
    for attachment in loaded.program.attachments if loaded.program else ():
        content = loaded.content(attachment.file)
        if content is not None:
            found[_name_in_set(attachment)] = content
    return found
