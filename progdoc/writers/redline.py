"""Both documents' words in one tree, title block, revision history and contents among them, for the redline writers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from progdoc.comparison.marked_tree import marked_document
from progdoc.document.tree.cross_references import before_contents, printed_contents
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Column,
    Document,
    Listing,
    ListItem,
    Paragraph,
    Row,
    Strong,
    Table,
    Text,
)
from progdoc.writers.wording import alert_notices, control_lines

__all__ = ["redline_tree"]

_HISTORY_TITLES = ("Revision", "Date", "By", "What changed")


def redline_tree(old: Document, new: Document) -> Document:
    """Return one document with the words of both in it and marks on what changed.

    The lines of the title block stand at its head as a table, and below it what must be read first: as text, they
    can be marked. So do the contents, without pages: those of a redline are those of neither document.
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
    before = before_contents(document) if document.has_cover else 0
    contents = tuple(_contents(document)) if document.has_cover else ()
    blocks = (*front, *document.blocks[:before], *contents, *document.blocks[before:])
    return replace(document, blocks=blocks, alerts=())


def _contents(document: Document) -> Iterator[Block]:
    entries = printed_contents(document)
    if not entries:
        return
    yield Paragraph("redline--contents.heading", (Strong((Text("Contents"),)),))
    names = [f"redline--contents.{entry.id}" for entry in entries]
    labels = [f"Annex {entry.number}" if entry.number.isalpha() else entry.number for entry in entries]
    lines = (f"{label} {entry.title}".strip() for label, entry in zip(labels, entries, strict=True))
    items = (
        ListItem(name, (Paragraph(f"{name}.words", (Text(line),)),)) for name, line in zip(names, lines, strict=True)
    )
    yield Listing("redline--contents", False, tuple(items))
