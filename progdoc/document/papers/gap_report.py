"""The gap report: a document like any other, worst first, grouped as an officer works through it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.numbers import long_date
from progdoc.core.report import Report, grouped, summary_parts
from progdoc.document.blocks.answers import gap_anchor, in_quotes
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Block,
    Document,
    Formula,
    Inline,
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Reference,
    Section,
    Strong,
    Text,
)

__all__ = ["gap_document"]


def gap_document(report: Report, organisation: str, draft: bool, paper: str = "Letter") -> Document:
    """Return the gap report of a public or a restricted report."""
    groups = grouped(report)
    judged = Paragraph(
        "summary.judged",
        (
            Text(
                f"Judged on {long_date(report.on)} by the rules {report.rules_pack} {report.rules_version}."
                " This report finds gaps; it certifies nothing. The law, the maker's instructions and the"
                " authority having jurisdiction come first."
            ),
        ),
    )
    anchors = _Anchors()
    sections = tuple(
        Section(_group(i), heading, tuple(_alike(report, list(alike), anchors) for _, alike in groupby(found, _kind)))
        for i, (heading, found) in enumerate(groups)
    )
    return resolved(
        Document(
            id="gaps",
            title=f"Gap report: {report.title or 'respiratory protection program'}",
            organisation=organisation,
            revision=report.revision,
            as_of=report.on,
            draft=draft,
            blocks=(_summary(report), judged, *_outline(groups), *sections),
            paper=paper,
            shows_citations=True,
        )
    )


def _summary(report: Report) -> Notice:
    """Return how things stand, in danger letters where nobody may start in a mask."""
    opening, parts = summary_parts(report)
    end = ":" if parts else "."
    blocks: list[Block] = [Paragraph("summary.line", (Strong((Text(f"{opening}{end}"),)),))]
    if parts:
        blocks.append(_list("summary.parts", [(Text(f"{part[:1].upper()}{part[1:]}."),) for part in parts]))
    bars = any(
        f.severity is Severity.REQUIRED and f.code.startswith((*report.mask_codes, *report.escape_codes))
        for f in report.findings
    )
    return Notice("summary", "danger" if bars else "note", tuple(blocks))


def _outline(groups: list[tuple[str, list[Diagnostic]]]) -> Iterator[Block]:
    """Yield the headings to work through, each with how many points it holds."""
    if len(groups) > 1:
        yield Paragraph("outline.words", (Text("To work through, in this order:"),))
        yield _list("outline", [(Reference(_group(i)), Text(f": {len(found)}")) for i, (_, found) in enumerate(groups)])


def _list(identity: str, lines: list[tuple[Inline, ...]]) -> Listing:
    items = (
        ListItem(f"{identity}.{n}", (Paragraph(f"{identity}.{n}.words", words),)) for n, words in enumerate(lines, 1)
    )
    return Listing(identity, False, tuple(items))


def _group(index: int) -> str:
    return f"group-{index + 1}"


class _Anchors:
    """Names every finding by code and subject, as the open points of the program do."""

    def __init__(self) -> None:
        self._seen: dict[str, int] = {}

    def of(self, finding: Diagnostic) -> str:
        anchor = gap_anchor(finding.code, finding.subject)
        self._seen[anchor] = self._seen.get(anchor, 0) + 1
        return anchor if self._seen[anchor] == 1 else f"{anchor}.{self._seen[anchor]}"


def _kind(finding: Diagnostic) -> tuple[str, ...]:
    """Findings with one code, reason and cure are told together."""
    return (finding.code, finding.why, finding.fix, finding.citation)


def _alike(report: Report, findings: list[Diagnostic], anchors: _Anchors) -> Section:
    first = findings[0]
    title = f"{first.code} {first.name.replace('-', ' ')}"
    if len(findings) == 1:
        identity = anchors.of(first)
        return Section(identity, title, (*_what(first, identity), *_cure(first, identity), *_where(first, identity)))
    inner = []
    for finding in findings:
        identity = anchors.of(finding)
        subject = ", ".join(report.names.get(part, part.partition(".")[2]) for part in finding.subject)
        blocks = (*_what(finding, identity), *_where(finding, identity))
        inner.append(Section(identity, subject or str(finding.location), blocks))
    return Section(f"all.{inner[0].id}", title, (*_cure(first, f"all.{inner[0].id}"), *inner))


def _what(finding: Diagnostic, identity: str) -> Iterator[Block]:
    yield Paragraph(
        f"{identity}.what", (Text(in_quotes(f"{finding.what[:1].upper()}{finding.what[1:].rstrip('.')}.")),)
    )


def _cure(finding: Diagnostic, identity: str) -> Iterator[Block]:
    fix, _, example = finding.fix.partition("\n")
    yield Paragraph(f"{identity}.fix", (Strong((Text("What to do: "),)), Text(in_quotes(fix))))
    if example:
        yield Formula(f"{identity}.example", example)
    yield Paragraph(
        f"{identity}.why", (Strong((Text("Why: "),)), Text(in_quotes(f"{finding.why} {finding.citation}".rstrip())))
    )


def _where(finding: Diagnostic, identity: str) -> Iterator[Block]:
    where = f"{finding.location}" + (f", {finding.location.path}" if finding.location.path else "")
    yield Paragraph(f"{identity}.where", (Strong((Text("Where: "),)), Text(where)))
    if finding.accepted:
        yield Paragraph(f"{identity}.accepted", (Text(f"{finding.accepted[:1].upper()}{finding.accepted[1:]}"),))
