"""Words that the writers add to a document, said the same way in every format."""

from __future__ import annotations

from progdoc.core.numbers import long_date
from progdoc.document.nodes import Document

__all__ = ["DRAFT_NOTE", "NOTICE_LABELS", "SIGNATURE_TITLES", "control_lines", "identity", "ticked"]

DRAFT_NOTE = "Not for issue: required points are still open."

NOTICE_LABELS = {"danger": "Danger", "caution": "Caution", "note": "Note"}

SIGNATURE_TITLES = ("Role", "Name", "Signature", "Date")


def control_lines(document: Document) -> tuple[tuple[str, str], ...]:
    """Return what the title block says below the title, name and value, the empty ones left out."""
    lines = (
        ("Revision", document.revision),
        ("In effect from", document.effective),
        ("Respiratory protection officer", document.officer),
        ("Evaluated on", long_date(document.as_of)),
        ("Status", f"DRAFT. {DRAFT_NOTE}" if document.draft else ""),
    )
    return tuple((name, value) for name, value in lines if value)


def identity(document: Document) -> str:
    """Return one line that says which paper this is, for a footer.

    >>> from datetime import date
    >>> identity(Document("p", "Program", "Lime & Sash", "3", date(2026, 11, 24), False, ()))
    'Lime & Sash · Program · Revision 3 · evaluated on 24 November 2026'
    """
    revision = f"Revision {document.revision}" if document.revision else ""
    evaluated = f"evaluated on {long_date(document.as_of)}"
    return " · ".join(part for part in (document.organisation, document.title, revision, evaluated) if part)


def ticked(is_ticked: bool) -> str:
    """Return a box to tick, or a ticked one."""
    return "☒" if is_ticked else "☐"
