"""What became of a completed renewal worksheet: what was entered, what a person has to enter, what is missing.

It names workers and repeats what the officer wrote, and is for the officer alone.
"""

from __future__ import annotations

from collections.abc import Sequence

from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import Document, Listing, ListItem, Notice, Paragraph, Section, Text
from progdoc.rules.judged.result import Judged

__all__ = ["renewal_changes"]

_CAUTION = (
    "This list names workers: keep it and the completed worksheet with the officer's records, and so the records of"
    " whoever left, for as long as the law asks. Read the new description before it is issued."
)


def renewal_changes(
    judged: Judged, revision: str, changes: Sequence[str], by_hand: Sequence[str], missing: Sequence[str]
) -> Document:
    """Return the list as a document, for a description into which the worksheet was read."""
    program = judged.description
    parts = (
        ("entered", "Entered in the new description", changes),
        ("by-hand", "To be entered by hand", by_hand),
        ("missing", "Still missing on the worksheet", missing),
    )
    caution = Notice("changes.note", "note", (Paragraph("changes.note.words", (Text(_CAUTION),)),))
    return resolved(
        Document(
            id="renewal-changes",
            title="What the renewal worksheet changes",
            organisation=program.organisation.name or "",
            revision=revision,
            as_of=judged.as_of,
            draft=False,
            blocks=(caution, *(_section(name, title, lines) for name, title, lines in parts)),
            paper=program.program.paper.value,
        )
    )


def _section(name: str, title: str, lines: Sequence[str]) -> Section:
    place = f"changes.{name}"
    items = tuple(
        ListItem(f"{place}.{n}", (Paragraph(f"{place}.{n}.words", (Text(line),)),)) for n, line in enumerate(lines, 1)
    )
    nothing = Paragraph(f"{place}.none", (Text("Nothing."),))
    return Section(place, title, (Listing(f"{place}.list", False, items) if items else nothing,))
