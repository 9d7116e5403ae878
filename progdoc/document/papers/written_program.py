"""Program, verdicts and worked figures to the tree of the written program.

Templates say what the document says; `section_renderer` renders them against the verdicts. Here their sections are put
in order, the appendices filled, and everything numbered.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from progdoc.core.numbers import long_date
from progdoc.document.blocks.answers import answered_in, is_draft
from progdoc.document.blocks.appendices import appendix_blocks
from progdoc.document.blocks.attachment_blocks import attachment_blocks
from progdoc.document.blocks.selection_blocks import danger_alerts
from progdoc.document.blocks.unused_blocks import unused_block
from progdoc.document.templating.section_renderer import SectionRenderer
from progdoc.document.templating.templates import TemplateSet
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import Block, Document, RevisionEntry, Section
from progdoc.rules.judged.result import Judged

__all__ = ["is_draft", "program_document"]


def program_document(
    judged: Judged, templates: TemplateSet, checksums: Mapping[str, str] | None = None
) -> tuple[Document, Mapping[str, tuple[str, ...]]]:
    """Return the written program, and for each code the sections that answer it.

    `checksums`: the SHA-256 of each attached file by its name in the package, where they are known.
    """
    program = judged.description
    renderer = SectionRenderer(judged, templates)
    renderer.add({"attachments": attachment_blocks(program, checksums or {})})
    sections = [s for name in templates.sections for s in renderer.sections(f"sections/{name}")]
    answers = answered_in(sections)
    renderer.add(appendix_blocks(judged, answers, dict(_numbers(sections))))
    for name in templates.appendices:
        if name == "unused":  # the matrix names what was said, and says nothing with it
            renderer.add({"unused": unused_block(judged, [s for s in sections if s.id != "matrix"])})
        sections += [replace(s, is_appendix=True) for s in renderer.sections(f"sections/{name}")]
    info = program.program
    document = Document(
        id="program",
        title=info.title or "Respiratory Protection Program",
        organisation=program.organisation.name or "",
        revision=info.revision or "",
        as_of=judged.as_of,
        draft=is_draft(judged),
        blocks=tuple(sections),
        effective=long_date(info.effective) if info.effective else "",
        officer=program.officer.name or "",
        history=tuple(RevisionEntry(r.revision, long_date(r.date), r.by, r.summary) for r in info.history),
        has_cover=True,
        paper=info.paper.value,
        shows_citations=info.citations,
        keywords=("respiratory protection program", "29 CFR 1910.134"),
        alerts=danger_alerts(judged),
    )
    return resolved(document), answers


def _numbers(sections: Iterable[Block], above: str = "") -> Iterator[tuple[str, str]]:
    """Yield the number that each section will get, by its id, for references that print it alone."""
    for i, section in enumerate(block for block in sections if isinstance(block, Section)):
        number = f"{above}{i + 1}"
        yield section.id, number
        yield from _numbers(section.blocks, f"{number}.")
