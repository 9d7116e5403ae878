"""Cautions about this program: a closing list in words for its readers, a table with the rest for the reviewer."""

from __future__ import annotations

from progdoc.core.diagnostics import Audience, Diagnostic, Scope, Severity
from progdoc.core.said import said, said_join
from progdoc.document.blocks.answers import told_plainly
from progdoc.document.tree.nodes import Block, Cell, Column, Listing, ListItem, Paragraph, Row, Table, Text
from progdoc.rules.judged.result import Judged

__all__ = ["caution_blocks", "caution_table"]


def caution_blocks(judged: Judged) -> tuple[Block, ...]:
    """Return the cautions of the program itself, an item each; of advice only what somebody answers for."""
    found = [one for one in _soft(judged) if one.severity is Severity.CAUTION or one.accepted]
    words = dict.fromkeys(
        said_join(map(told_plainly, filter(None, (finding.what, finding.accepted)))) for finding in found
    )
    items = tuple(
        ListItem(
            f"cautions.here.{n}",
            (Paragraph(f"cautions.here.{n}.words", (Text(text),)),),
        )
        for n, text in enumerate(words, start=1)
    )
    return (Listing("cautions.here", False, items),) if items else ()


def caution_table(judged: Judged) -> tuple[Block, ...]:
    """Return every caution and every advice on the program, its paragraph, its reason, and who answers for it."""
    rows = tuple(
        Row(
            f"cautions.{n}",
            tuple(
                Cell((Text(text),))
                for text in (
                    said(finding.severity.value),
                    told_plainly(finding.what),
                    told_plainly(finding.why),
                    finding.citation,
                    told_plainly(finding.accepted) if finding.accepted else "–",
                )
            ),
        )
        for n, finding in enumerate(_soft(judged), start=1)
    )
    titles = (
        (said("Kind"), 2),
        (said("What was found"), 6),
        (said("Why it matters"), 5),
        (said("Paragraph"), 3),
        (said("Accepted"), 4),
    )
    columns = tuple(Column(title, share) for title, share in titles)
    return (Table("cautions.all", "", columns, rows, is_dense=True),) if rows else ()


def _soft(judged: Judged) -> list[Diagnostic]:
    return [
        finding
        for finding in judged.findings
        if (finding.scope, finding.audience) == (Scope.PROGRAM, Audience.PUBLIC)
        and finding.severity in (Severity.CAUTION, Severity.ADVICE)
    ]
