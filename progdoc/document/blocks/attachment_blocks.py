"""The texts that go with the program unchanged: which, of what day, and the checksum that tells them from any other."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join
from progdoc.document.tree.nodes import Block, Cell, Column, Row, Table, Text
from progdoc.model.description.program import Program

__all__ = ["attachment_blocks", "grouped_checksum"]


def attachment_blocks(program: Program, checksums: Mapping[str, str]) -> tuple[Block, ...]:
    """Return the table of attached texts; `checksums` by the file's name in the package."""
    names = {name.rpartition("/")[2].partition(".")[0]: name for name in checksums}
    is_any_dated = any(text.date for text in program.attachments)
    rows = tuple(
        Row(
            f"attachments.{text.id}",
            (
                Cell((Text(text.title, f"attachments[{i}].title"),)),
                *([_day(text.date, f"attachments[{i}].date")] if is_any_dated else []),
                Cell((Text(names.get(text.id, text.file)),)),
                Cell((Text(grouped_checksum(checksums.get(names.get(text.id, ""), ""))),)),
            ),
        )
        for i, text in enumerate(program.attachments)
    )
    dated = [Column(said("Of"), 2)] if is_any_dated else []
    columns = (Column(said("Text"), 4), *dated, Column(said("File in the package"), 3), Column(said("SHA-256"), 5))
    return (Table("attachments.all", said("Texts attached unchanged"), columns, rows),) if rows else ()


def _day(day: date | None, path: str) -> Cell:
    return Cell((Text(long_date(day), path) if day else Text("–"),))


def grouped_checksum(checksum: str) -> str:
    """Return a checksum in groups of eight, so that it can be read out and breaks in a narrow column."""
    return said_join((checksum[i : i + 8] for i in range(0, len(checksum), 8)), " ") or "–"
