"""Both documents' words in one tree, title block and revision history among them, for the redline writers."""

from __future__ import annotations

from dataclasses import replace

from progdoc.comparison.marked_tree import marked_document
from progdoc.document.tree.nodes import Block, Cell, Column, Document, Paragraph, Row, Strong, Table, Text
from progdoc.writers.wording import alert_notices, control_lines

__all__ = ["redline_tree"]

_HISTORY_TITLES = ("Revision", "Date", "By", "What changed")


def redline_tree(old: Document, new: Document) -> Document:
    """Return one document with the words of both in it and marks on what changed.

    The lines of the title block stand at its head as a table, and below it what must be read first: as text, they
    can be marked. The contents are left out, since the pages of a redline are those of neither document.
    """
    return marked_document(_with_front(old), _with_front(new))


def _with_front(document: Document) -> Document:
    lines = tuple(
        Row(f"redline--control.{name}", (Cell((Text(name),)), Cell((Text(value),))))
        for name, value in control_lines(document)
    )
    front: list[Block] = [Table("redline--control", "", (Column("", 3), Column("", 7)), lines, has_header=False)]
    front += alert_notices(document)
    if document.has_cover and document.history:
        entries = tuple(
            Row(
                f"redline--history.{entry.revision or '-'}",
                tuple(Cell((Text(text),)) for text in (entry.revision, entry.date, entry.by, entry.summary)),
            )
            for entry in document.history
        )
        columns = tuple(Column(title, share) for title, share in zip(_HISTORY_TITLES, (2, 3, 4, 9), strict=True))
        front.append(Paragraph("redline--history.heading", (Strong((Text("Revision history"),)),)))
        front.append(Table("redline--history", "", columns, entries))
    return replace(document, blocks=(*front, *document.blocks), alerts=())
