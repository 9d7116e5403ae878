"""One short page for each task, to hang up where the crew puts its masks on. It names no worker."""

from __future__ import annotations

from progdoc.core.paper_language import ENGLISH, Language
from progdoc.document.blocks.answers import is_draft
from progdoc.document.blocks.translation_blocks import read_first
from progdoc.document.templating.section_renderer import SectionRenderer
from progdoc.document.templating.templates import OwnTemplateError, TemplateSet, shipped_templates
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import Document
from progdoc.rules.judged.result import Judged

__all__ = ["task_documents", "task_pages"]


def task_documents(
    judged: Judged, templates: TemplateSet | None = None, language: Language = ENGLISH
) -> dict[str, Document]:
    """Return the page of every task by the task's id. What is not settled is said, not left out."""
    documents, _faults = task_pages(judged, templates or shipped_templates(), language)
    return documents


def task_pages(
    judged: Judged, templates: TemplateSet, language: Language = ENGLISH
) -> tuple[dict[str, Document], list[OwnTemplateError]]:
    """Return the same, and what is wrong with a firm's own template of the page."""
    renderer = SectionRenderer(judged, templates, language)
    program = judged.description
    info = program.program
    documents = {
        task.id: resolved(
            Document(
                id=f"tasks.{f'{language.code}.' if language.original else ''}{task.id}",
                title=judged.printed(task.name, f"tasks[{number}].name") or task.id,
                organisation=judged.printed(program.organisation.name, "organisation.name"),
                revision=judged.printed(info.revision, "program.revision"),
                as_of=judged.as_of,
                draft=is_draft(judged),
                blocks=(*renderer.sections("pages/task", task=shown), *read_first(judged, language, is_framed=False)),
                effective=language.date(info.effective) if info.effective else "",
                officer=judged.printed(program.officer.name, "officer.name"),
                open_texts=judged.open_texts,
                paper=info.paper.value,
                shows_citations=False,
                is_one_side=True,
                language=language.tag,
            )
        )
        for number, (task, shown) in enumerate(zip(program.tasks, renderer.tasks, strict=True))
    }
    return documents, renderer.faults
