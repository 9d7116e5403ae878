"""One short page for each task, to hang up where the crew puts its masks on. It names no worker."""

from __future__ import annotations

from progdoc.core.numbers import long_date
from progdoc.document.blocks.answers import is_draft
from progdoc.document.templating.section_renderer import SectionRenderer
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import Document
from progdoc.rules.judged.result import Judged

__all__ = ["task_documents"]


def task_documents(judged: Judged) -> dict[str, Document]:
    """Return the page of every task by the task's id. What is not settled is said, not left out."""
    renderer = SectionRenderer(judged, shipped_templates())
    program = judged.description
    info = program.program
    return {
        task.id: resolved(
            Document(
                id=f"tasks.{task.id}",
                title=task.name,
                organisation=program.organisation.name or "",
                revision=info.revision or "",
                as_of=judged.as_of,
                draft=is_draft(judged),
                blocks=renderer.sections("pages/task", task=shown),
                effective=long_date(info.effective) if info.effective else "",
                officer=program.officer.name or "",
                paper=info.paper.value,
                shows_citations=False,
            )
        )
        for task, shown in zip(program.tasks, renderer.tasks, strict=True)
    }
