"""A document with every kind of node in it, as a small restoration firm would sign it. Firm and people are invented."""

from __future__ import annotations

import struct
import zlib
from dataclasses import fields, is_dataclass, replace
from datetime import date
from functools import cache
from typing import Any

from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Cell,
    CitationMark,
    Column,
    Document,
    Emphasis,
    FieldKind,
    Figure,
    FormField,
    Formula,
    Inline,
    LineBreak,
    Link,
    Listing,
    ListItem,
    Notice,
    OpenPoint,
    Paragraph,
    Reference,
    RevisionEntry,
    Row,
    Section,
    Signatures,
    Strong,
    Table,
    Text,
)

__all__ = ["drawing", "long_program", "long_table", "nodes_below", "paragraph", "program", "task_page", "words_of"]

_FILLING = (
    "Work starts only after the controls named for the task are in place and the wearer has checked the seal. "
    "Whoever finds a control missing stops the task and tells the officer. "
)


@cache
def drawing(width: int = 900, height: int = 260) -> bytes:
    """Return a PNG of five grey steps on white, 150 dots to the inch."""

    def pixel(x: int, y: int) -> int:
        return 90 + 30 * (5 * x // width) if y > height - (1 + 5 * x // width) * height // 6 else 255

    rows = b"".join(b"\x00" + bytes(pixel(x, y) for x in range(width)) for y in range(height))

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
        + chunk(b"pHYs", struct.pack(">IIB", 5906, 5906, 1))
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def paragraph(node_id: str, *children: Inline | str) -> Paragraph:
    """Return a paragraph; plain strings stand for text."""
    return Paragraph(node_id, tuple(Text(child) if isinstance(child, str) else child for child in children))


def long_table(rows: int, columns: int = 7) -> Table:
    """Return a table that runs over many pages."""
    titles = tuple(Column(f"Column {n}", share=n % 3 + 1, numeric=n == 3) for n in range(columns))
    lines = tuple(
        Row(f"long.{row}", tuple(Cell((Text(f"row {row} cell {n}"),)) for n in range(columns))) for row in range(rows)
    )
    return Table("long", "Register of masks", titles, lines)


def _cells(*texts: str) -> tuple[Cell, ...]:
    return tuple(Cell((Text(text),)) for text in texts)


def _field(kind: FieldKind) -> FormField:
    return FormField(f"field.{kind}", f"A {kind} to fill in", kind, ("passed", "failed & repeated"))


def _items(prefix: str, *texts: str) -> tuple[ListItem, ...]:
    return tuple(ListItem(f"{prefix}.{n}", (paragraph(f"{prefix}.{n}.words", text),)) for n, text in enumerate(texts))


def _purpose() -> Section:
    nested = Listing("duties.inner", False, _items("duties.inner", "in the yard", "on the scaffold"))
    duties = Listing(
        "duties",
        True,
        (
            ListItem(
                "duties.a",
                (
                    Answer(
                        "duties.answer",
                        ("ADM-001",),
                        ("29 CFR 1910.134(c)(3)",),
                        (paragraph("duties.a.words", "The officer runs the program."),),
                    ),
                    nested,
                    paragraph("duties.a.more", "This duty is not delegated."),
                ),
            ),
            *_items("duties.rest", "The foreman stops work that is not covered.", "Wearers report faults."),
        ),
    )
    again = Listing("steps", True, _items("steps", "Inspect the mask.", "Don it.", "Check the seal."))
    return Section(
        "purpose",
        "Purpose and responsibilities",
        (
            Answer(
                "purpose.answer",
                ("PRG-001",),
                ("29 CFR 1910.134(c)(1)",),
                (
                    paragraph(
                        "purpose.words",
                        "This program protects the crew of ",
                        Strong((Text("Lime & Sash Restoration"),)),
                        " wherever ",
                        Emphasis((Text("engineering controls"),)),
                        " do not bring the air below its limit. Selection is explained in ",
                        Reference("selection"),
                        ", the figures in ",
                        Reference("working.paint"),
                        " and ",
                        Reference("limits"),
                        ".",
                        CitationMark("29 CFR 1910.134(c)(1)"),
                    ),
                ),
            ),
            Section("duties.section", "Who does what", (duties, paragraph("between", "Every day:"), again)),
            Section(
                "officer",
                "The officer",
                (
                    OpenPoint(
                        "officer.open",
                        "ADM-002",
                        "how the officer is qualified by training or experience is not described.",
                        "gaps.html#ADM-002",
                    ),
                    paragraph(
                        "officer.words",
                        "Ann Example, ",
                        LineBreak(),
                        "workshop, first floor. The law is published ",
                        Link("https://www.ecfr.gov/current/title-29", (Text("by the government"),)),
                        ".",
                    ),
                ),
            ),
        ),
    )


def _selection() -> Section:
    limits = Table(
        "limits",
        "Decision level, limit and hazard ratio of each agent",
        (
            Column("Task", 3),
            Column("Agent", 3),
            Column("Level, µg/m³", 2, numeric=True),
            Column("Limit, µg/m³", 2, numeric=True),
            Column("Hazard ratio", 2, numeric=True),
            Column("Mask", 4),
        ),
        (
            Row("l1", _cells("Scrape sashes", "Lead", "240", "50", "4.8", "Half mask with P100 filters")),
            Row(
                "l2",
                _cells("Cut stone", "Respirable crystalline silica", "610", "50", "12.2", "Full facepiece"),
            ),
            Row("l3", _cells("Strip varnish", "Methylene chloride", "not measured", "87 000", "–", "none yet")),
        ),
    )
    danger = Notice(
        "stop",
        "danger",
        (
            paragraph("stop.words", "Varnish is not stripped until the air has been measured."),
            Listing("stop.list", False, _items("stop.list", "Keep the room closed.", "Tell the officer.")),
        ),
    )
    return Section(
        "selection",
        "Hazards and selection",
        (
            danger,
            paragraph("selection.words", _FILLING * 2),
            limits,
            Figure(
                "ladder",
                "Where the measured level stands",
                "Five steps, each higher than the last; the level is on the second.",
                '<svg xmlns="http://www.w3.org/2000/svg" font-family="Serif"><text font-family="Mono">50</text></svg>',
                drawing(),
            ),
            Figure("words", "Drawn for the screen only", "In words: level under the second mark.", "<svg/>"),
            Notice("care", "caution", (paragraph("care.words", "Levels are one day's; weather changes them."),)),
            Notice("note", "note", (paragraph("note.words", "Maker's instructions go before this page."),)),
            Section(
                "selection.deep",
                "Scraping",
                (
                    Section(
                        "selection.deeper",
                        "Sashes",
                        (
                            Section(
                                "selection.deepest",
                                "Upper sash",
                                (paragraph("deep.words", _FILLING),),
                            ),
                        ),
                    ),
                ),
            ),
        ),
    )


def _record(n: int) -> Section:
    """Return a part of two pages or so: words, steps, a table whose rows differ in height, an open point."""
    rows = tuple(
        Row(f"record{n}.row{m}", _cells(f"Device {n}-{m}", _FILLING[: 20 + 37 * (m % 5)], f"{m * 7 % 50}.5"))
        for m in range(8 + 3 * n)
    )
    columns = (Column("Device", 2), Column("What was found at the inspection", 5), Column("Hours", 1, numeric=True))
    return Section(
        f"record{n}",
        f"Inspection record {n}",
        (
            paragraph(f"record{n}.words", _FILLING * (n % 4 + 1), CitationMark("29 CFR 1910.134(h)(3)(i)")),
            Listing(f"record{n}.list", n % 2 == 0, _items(f"record{n}.list", *[_FILLING[: 60 * m] for m in (1, 2, 4)])),
            OpenPoint(f"record{n}.open", "CLN-003", _FILLING[:90], "gaps.html#CLN-003"),
            Section(
                f"record{n}.devices",
                f"Devices of crew {n}",
                (Table(f"record{n}.table", "Findings by device", columns, rows),),
            ),
            Section(f"record{n}.next", f"Next inspection of crew {n}", (paragraph(f"record{n}.due", _FILLING * 2),)),
        ),
    )


def _chapter(n: int) -> Section:
    parts: tuple[Block, ...] = tuple(
        Section(f"chapter{n}.{m}", title, (paragraph(f"chapter{n}.{m}.words", _FILLING * 3),))
        for m, title in enumerate(("What is done", "How often", "What is kept"))
    )
    titles = ("Medical evaluation", "Fit testing", "Use", "Cleaning and storage", "Training", "Evaluation")
    return Section(f"chapter{n}", titles[n], (paragraph(f"chapter{n}.words", _FILLING), *parts))


def _annexes() -> tuple[Section, ...]:
    working = Section(
        "working",
        "Worked calculations",
        (
            Section(
                "working.paint",
                "Hazard ratio of scraping",
                (
                    paragraph("working.words", "Level over limit, rounded up."),
                    Formula("working.formula", "HR = 240 µg/m³ ÷ 50 µg/m³ = 4.8"),
                ),
            ),
        ),
        is_annex=True,
    )
    key = Table(
        "control",
        "",
        (Column("", 3), Column("", 7)),
        (
            Row("c1", _cells("Kept by", "the officer, in the workshop")),
            Row("c2", _cells("Copies", "site folder")),
            *(Row(f"c.{kind}", (*_cells(kind), Cell((_field(kind),)))) for kind in FieldKind),
        ),
        has_header=False,
    )
    signing = Section(
        "signing",
        "Signatures",
        (
            key,
            Signatures("sign", (("Owner", "Pat Sample"), ("Officer", "Ann Example"), ("Foreman", ""))),
        ),
        is_annex=True,
    )
    return working, signing


@cache
def program(draft: bool = True) -> Document:
    """Return a whole program with cover, contents, several pages and every kind of node."""
    front = paragraph("front", "Printed copies are not controlled.")
    document = Document(
        "program",
        "Written Respiratory Protection Program",
        "Lime & Sash Restoration",
        "3",
        date(2026, 11, 24),
        draft,
        (front, _purpose(), _selection(), *(_chapter(n) for n in range(6)), *_annexes()),
        effective="1 December 2026",
        officer="Ann Example",
        history=(
            RevisionEntry("1", "2024-11-30", "Ann Example", "First issue."),
            RevisionEntry("2", "2025-11-28", "Ann Example", "Stone cutting added."),
            RevisionEntry("3", "2026-12-01", "Ann Example", "Yearly evaluation; varnish stripping added."),
        ),
        has_cover=True,
        keywords=("respirators", "restoration"),
    )
    return resolved(document)


@cache
def long_program() -> Document:
    """Return a program of some thirty pages."""
    records = tuple(_record(n) for n in range(14))
    return resolved(replace(program(), id="long", blocks=(*program().blocks, *records)))


def task_page() -> Document:
    """Return a short document without a cover, on A4, without citations."""
    return replace(
        program(draft=False), id="tasks.scrape", title="Scraping", has_cover=False, paper="A4",
        language="en-GB", shows_citations=False,
    )  # fmt: skip


def nodes_below(value: Any) -> list[Any]:
    """Return every node below a value of the tree."""
    if isinstance(value, tuple):
        return [node for item in value for node in nodes_below(item)]
    if not is_dataclass(value) or isinstance(value, type):
        return []
    return [value, *(node for field in fields(value) for node in nodes_below(getattr(value, field.name)))]


def words_of(document: Document) -> set[str]:
    """Return what a reader must find on paper, said by the tree itself."""
    words = set()
    for node in nodes_below(document.blocks):
        match node:
            case Text() | CitationMark():
                words.add(node.text)
            case Section():
                words.add(node.title)
            case Table():
                words |= {node.caption, *(column.title for column in node.columns if node.has_header)}
            case Figure():
                words |= {node.caption, "" if node.png else node.alternative}
            case Formula():
                words.add(node.text)
            case OpenPoint():
                words |= {node.code, node.text}
    for entry in document.history:
        words |= {entry.revision, entry.date, entry.by, entry.summary}
    return {" ".join(word.split()) for word in words if word.strip()}
