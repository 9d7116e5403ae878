"""Program, verdicts and worked figures to the tree of the written program.

Templates say what the document says; `scribe` renders them against the verdicts. Here their sections are put
in order, the appendices filled, and everything numbered.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from progdoc.core.numbers import long_date
from progdoc.document.answers import answered_in, is_draft
from progdoc.document.appendices import appendix_blocks
from progdoc.document.nodes import Document, RevisionEntry
from progdoc.document.references import resolved
from progdoc.document.scribe import Scribe
from progdoc.document.templates import TemplateSet
from progdoc.rules.judge import Judged

__all__ = ["is_draft", "program_document"]


def program_document(judged: Judged, templates: TemplateSet) -> tuple[Document, Mapping[str, tuple[str, ...]]]:
    """Return the written program, and for each code the sections that answer it."""
    program = judged.facts.description
    scribe = Scribe(judged, templates)
    sections = [s for name in templates.sections for s in scribe.sections(f"sections/{name}")]
    answers = answered_in(sections)
    scribe.add(appendix_blocks(judged, answers))
    for name in templates.appendices:
        sections += [replace(s, is_appendix=True) for s in scribe.sections(f"sections/{name}")]
    info = program.program
    document = Document(
        id="program",
        title=info.title or "Respiratory Protection Program",
        organisation=program.organisation.name or "",
        revision=info.revision or "",
        as_of=judged.facts.as_of,
        draft=is_draft(judged),
        blocks=tuple(sections),
        effective=long_date(info.effective) if info.effective else "",
        officer=program.officer.name or "",
        history=tuple(RevisionEntry(r.revision, long_date(r.date), r.by, r.summary) for r in info.history),
        has_cover=True,
        paper=info.paper.value,
        shows_citations=info.citations,
        keywords=("respiratory protection program", "29 CFR 1910.134"),
    )
    return resolved(document), answers
