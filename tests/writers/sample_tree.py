"""A document with every kind of node, for the writers' tests. The firm and its figures are invented."""

from __future__ import annotations

from datetime import date

from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Answer,
    Cell,
    CitationMark,
    Column,
    Document,
    Emphasis,
    Figure,
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

__all__ = ["HOSTILE", "sample_document"]

# What a user may type and no format may take for markup.
HOSTILE = (
    'a|b *c* _d_ `e` [x](javascript:1) <b>f</b> <script>alert(1)</script> & &amp; "g" \\| '
    "~~h~~ # i {.j} ![k](l) <https://m.example> ${n} -- 1. o \\"
)


def _words(*parts: str | Inline) -> tuple[Inline, ...]:
    return tuple(Text(part) if isinstance(part, str) else part for part in parts)


def _paragraph(name: str, *parts: str | Inline) -> Paragraph:
    return Paragraph(name, _words(*parts))


def _row(name: str, *cells: str | Inline) -> Row:
    return Row(name, tuple(Cell(_words(cell)) for cell in cells))


_LADDER = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 640 150" width="640" height="150">
<defs><marker id="tip" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="8" markerHeight="8">
<path d="M0 0L8 4L0 8z" fill="#1c2328"/></marker></defs>
<g font-family="Arial, sans-serif" font-size="14" fill="#1c2328">
<rect x="130" y="16" width="96" height="30" fill="#c8d0d5"/><text x="0" y="36">Hazard ratio</text>
<text x="236" y="36">4.8</text>
<rect x="130" y="62" width="200" height="30" fill="#1f4a5e"/><text x="0" y="82">Half mask</text>
<text x="340" y="82">10</text>
<path d="M130 116H600" stroke="#1c2328" marker-end="url(#tip)"/><text x="470" y="140">times the limit</text>
</g></svg>"""

_SCOPE = Section(
    "scope",
    "Purpose and scope",
    (
        _paragraph(
            "scope.purpose",
            "Lime & Sash Restoration repairs windows, plaster and masonry of old buildings. Scraping and "
            "grinding there raises dust of lead paint, silica and bird droppings. This program says who "
            "wears which mask, and how that stays safe.",
            CitationMark("29 CFR 1910.134(c)(1)"),
        ),
        Answer(
            "scope.first",
            ("SCO-001", "SCO-002"),
            ("29 CFR 1910.134(a)(1)", "29 CFR 1910.134(a)(2)"),
            (
                _paragraph("scope.order", "Masks come last. On every job we try, in this order:"),
                Listing(
                    "scope.steps",
                    True,
                    (
                        ListItem("scope.steps.leave", (_paragraph("p1", "leave the old coating alone;"),)),
                        ListItem(
                            "scope.steps.wet",
                            (
                                _paragraph("p2", "keep the dust down, which means"),
                                Listing(
                                    "scope.steps.wet.how",
                                    False,
                                    (
                                        ListItem("i1", (_paragraph("p3", "misting before scraping,"),)),
                                        ListItem("i2", (_paragraph("p4", "a shrouded grinder,"),)),
                                    ),
                                ),
                            ),
                        ),
                        ListItem(
                            "scope.steps.mask",
                            (_paragraph("p5", "wear a mask, ", Strong(_words("as section 2 says")), "."),),
                        ),
                    ),
                ),
            ),
        ),
        Section(
            "scope.who",
            "Who is covered",
            (
                _paragraph(
                    "scope.who.text",
                    "Everybody named in the people annex. See ",
                    Reference("masks.table"),
                    ", ",
                    Reference("working"),
                    " and the ",
                    Link("restricted/people.html", _words("people annex")),
                    "; the law stands ",
                    Link("https://www.ecfr.gov/current/title-29/section-1910.134", _words("in full here")),
                    ".",
                ),
                Notice(
                    "scope.note",
                    "note",
                    (_paragraph("scope.note.text", "A visitor who only looks does not enter the work area."),),
                ),
            ),
        ),
    ),
)

_MASKS = Section(
    "masks",
    "Choosing a mask",
    (
        Notice(
            "masks.danger",
            "danger",
            (
                _paragraph(
                    "masks.danger.text",
                    Strong(_words("Stripping the stair hall:")),
                    " the half mask does not protect. Hazard ratio 12.5, assigned protection factor 10. "
                    "Nobody starts this task with it.",
                ),
            ),
        ),
        _paragraph(
            "masks.text",
            "A mask is chosen for each task from what is measured in the air, ",
            Emphasis(_words("never")),
            " from habit.",
            CitationMark("29 CFR 1910.134(d)(1)(iii)"),
        ),
        Table(
            "masks.table",
            "Tasks, air and masks",
            (
                Column("Task", 3),
                Column("Agent", 2),
                Column("Concentration, µg/m³", 2, numeric=True),
                Column("Limit, µg/m³", 2, numeric=True),
                Column("Hazard ratio", 1, numeric=True),
                Column("Mask", 3),
            ),
            (
                _row("t1", "Scraping sashes, dry", "Lead", "240", "50", "4.8", "Half mask, P100"),
                _row("t2", "Raking out joints with a shrouded grinder", "Silica", "90", "50", "1.8", "Half mask, P100"),
                _row("t3", "Stripping the stair hall", "Lead", "625", "50", "12.5", "none that protects"),
            ),
        ),
        OpenPoint(
            "masks.open",
            "SEL-004",
            "Nobody has said how much lead is in the air while sweeping the attic.",
            "gaps.html#SEL-004",
        ),
        Figure(
            "masks.ladder",
            "Hazard ratio and protection, scraping sashes",
            "The air holds 4.8 times the limit. The half mask protects up to 10 times the limit.",
            _LADDER,
        ),
        Notice(
            "masks.caution",
            "caution",
            (
                _paragraph("masks.caution.text", "The measurement is from one afternoon:"),
                Listing(
                    "masks.caution.list",
                    False,
                    (
                        ListItem("i3", (_paragraph("p6", "one sample, one person"),)),
                        ListItem("i4", (_paragraph("p7", "windows open"),)),
                    ),
                ),
            ),
        ),
    ),
)

_HOSTILE = Section(
    "own",
    f"Own words {HOSTILE}",
    (
        Paragraph("own.text", (Text(HOSTILE, "procedures.use.text"), LineBreak(), Text("- next line", "x"))),
        _paragraph("own.link", Link("javascript:alert(1)", _words("looks like a link"))),
        Table(
            "own.table",
            "",
            (Column("", 1), Column("", 2)),
            (_row("o1", "Kept by", HOSTILE), _row("o2", "Kept for", "30 years")),
            has_header=False,
        ),
        Signatures("own.sign", (("Respiratory protection officer", "Ada Quill"), ("Owner", ""))),
    ),
)

_WORKING = Section(
    "working",
    "Worked calculations",
    (
        Section(
            "working.lead",
            "Lead while scraping sashes",
            (
                _paragraph("working.lead.text", "How many times over its limit the air is:"),
                Formula("working.lead.formula", "hazard ratio = concentration ÷ limit = 240 ÷ 50 = 4.8"),
                _paragraph("working.lead.sum", "4.8 is less than 10: the half mask protects."),
            ),
        ),
    ),
    is_annex=True,
)


def sample_document(*, draft: bool = True, has_cover: bool = True, shows_citations: bool = True) -> Document:
    return resolved(
        Document(
            id="program",
            title="Written respiratory protection program",
            organisation="Lime & Sash Restoration",
            revision="3",
            as_of=date(2026, 11, 24),
            draft=draft,
            blocks=(_SCOPE, _MASKS, _HOSTILE, _WORKING),
            effective="1 December 2026",
            officer="Ada Quill",
            history=(
                RevisionEntry("3", "2026-12-01", "Ada Quill", "Stair hall added; lead limit checked again"),
                RevisionEntry("2", "2025-12-01", "Ada Quill", "Yearly evaluation"),
            ),
            has_cover=has_cover,
            shows_citations=shows_citations,
            keywords=("respirators", "lead"),
        )
    )
