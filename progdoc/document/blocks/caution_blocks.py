"""Cautions about this program, those among them for which somebody answers: a closing list in words."""

from __future__ import annotations

from progdoc.core.diagnostics import Audience, Scope, Severity
from progdoc.document.blocks.answers import told_plainly
from progdoc.document.tree.nodes import Block, Listing, ListItem, Paragraph, Text
from progdoc.rules.judged.result import Judged

__all__ = ["caution_blocks"]


def caution_blocks(judged: Judged) -> tuple[Block, ...]:
    """Return the cautions of the program itself, an item each; of advice only what somebody answers for."""
    found = [
        finding
        for finding in judged.findings
        if (finding.scope, finding.audience) == (Scope.PROGRAM, Audience.PUBLIC)
        and (finding.severity is Severity.CAUTION or (finding.severity is Severity.ADVICE and finding.accepted))
    ]
    words = dict.fromkeys(
        f"{told_plainly(finding.what)}{f' {told_plainly(finding.accepted)}' if finding.accepted else ''}"
        for finding in found
    )
    items = tuple(
        ListItem(
            f"cautions.here.{n}",
            (Paragraph(f"cautions.here.{n}.words", (Text(text),)),),
        )
        for n, text in enumerate(words, start=1)
    )
    return (Listing("cautions.here", False, items),) if items else ()
