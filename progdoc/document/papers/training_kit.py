"""For whoever trains: an outline by the topics of 29 CFR 1910.134(k)(1), with questions and this program's answers."""

from __future__ import annotations

from progdoc.core.paper_language import ENGLISH, Language
from progdoc.document.blocks.answers import is_draft
from progdoc.document.blocks.translation_blocks import read_first
from progdoc.document.templating.section_renderer import SectionRenderer
from progdoc.document.templating.templates import OwnTemplateError, TemplateSet, shipped_templates
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import Document
from progdoc.rules.judged.result import Judged

__all__ = ["training_documents", "training_pages"]


def training_documents(
    judged: Judged, templates: TemplateSet | None = None, language: Language = ENGLISH
) -> dict[str, Document]:
    """Return the kit by its name, in another language behind its code: "es/…"; nothing where no mask is required."""
    documents, _faults = training_pages(judged, templates or shipped_templates(), language)
    return documents


def training_pages(
    judged: Judged, templates: TemplateSet, language: Language = ENGLISH
) -> tuple[dict[str, Document], list[OwnTemplateError]]:
    """Return the same, and what is wrong with a firm's own template of it."""
    if not (judged.holds("required-use") or judged.asks("required-use")):
        return {}, []
    renderer = SectionRenderer(judged, templates, language)
    program = judged.description
    kit = resolved(
        Document(
            id=f"training.{f'{language.code}.' if language.original else ''}kit",
            title=language.say("Training kit"),
            organisation=judged.printed(program.organisation.name, "organisation.name"),
            revision=judged.printed(program.program.revision, "program.revision"),
            as_of=judged.as_of,
            draft=is_draft(judged),
            blocks=(*read_first(judged, language), *renderer.sections("pages/training_kit")),
            officer=judged.printed(program.officer.name, "officer.name"),
            open_texts=judged.open_texts,
            paper=program.program.paper.value,
            shows_citations=True,
            language=language.tag,
        )
    )
    return {f"{language.code}/kit" if language.original else "kit": kit}, renderer.faults
