"""The gap report: a document like any other, worst first, grouped as an officer works through it."""

from __future__ import annotations

from progdoc.core.diagnostics import Diagnostic
from progdoc.core.numbers import long_date
from progdoc.core.report import Report, grouped, summary_line
from progdoc.document.answers import gap_anchor
from progdoc.document.nodes import Block, Document, Formula, Notice, Paragraph, Section, Strong, Text
from progdoc.document.references import resolved

__all__ = ["gap_document"]


def gap_document(report: Report, organisation: str, draft: bool, paper: str = "Letter") -> Document:
    """Return the gap report of a public or a restricted report."""
    summary = Paragraph("summary.line", (Strong((Text(summary_line(report)),)),))
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
    seen: dict[str, int] = {}
    sections = tuple(
        Section(f"group-{i + 1}", heading, tuple(_finding(finding, seen) for finding in findings))
        for i, (heading, findings) in enumerate(grouped(report))
    )
    return resolved(
        Document(
            id="gaps",
            title=f"Gap report: {report.title or 'respiratory protection program'}",
            organisation=organisation,
            revision=report.revision,
            as_of=report.on,
            draft=draft,
            blocks=(Notice("summary", "note", (summary, judged)), *sections),
            paper=paper,
            shows_citations=True,
        )
    )


def _finding(finding: Diagnostic, seen: dict[str, int]) -> Section:
    """Return one finding; its anchor names code and subject, as the open points of the program do."""
    anchor = gap_anchor(finding.code, finding.subject)
    seen[anchor] = seen.get(anchor, 0) + 1
    identity = anchor if seen[anchor] == 1 else f"{anchor}.{seen[anchor]}"
    fix, _, example = finding.fix.partition("\n")
    blocks: list[Block] = [
        Paragraph(f"{identity}.what", (Text(finding.what),)),
        Paragraph(f"{identity}.why", (Strong((Text("Why: "),)), Text(f"{finding.why} {finding.citation}".rstrip()))),
        Paragraph(f"{identity}.fix", (Strong((Text("What to do: "),)), Text(fix))),
    ]
    if example:
        blocks.append(Formula(f"{identity}.example", example))
    where = f"{finding.location}" + (f", {finding.location.path}" if finding.location.path else "")
    blocks.append(Paragraph(f"{identity}.where", (Strong((Text("Where: "),)), Text(where))))
    if finding.accepted:
        blocks.append(Paragraph(f"{identity}.accepted", (Text(finding.accepted.capitalize()),)))
    return Section(identity, f"{finding.code} {finding.name.replace('-', ' ')}", tuple(blocks))
