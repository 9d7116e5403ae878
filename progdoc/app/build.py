"""The documents of a judged description, as a set of files ready to be put in place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from progdoc import __version__
from progdoc.app.attachments import attached_files
from progdoc.app.check import Checked
from progdoc.app.due import calendar_of
from progdoc.app.manifest import ManifestInfo, sha256
from progdoc.app.output_folder import WriteResult, write_set
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.report import Report, public_part
from progdoc.core.resources import templates_root
from progdoc.document.blocks.appendices import matrix_rows
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.gap_report import gap_document
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.person_card import card_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.written_program import is_draft, program_document
from progdoc.document.templating.templates import TemplateSet
from progdoc.document.tree.gap_links import linked_to
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS
from progdoc.writers.assignment_csv import assignment_csv
from progdoc.writers.csv_table import csv_bytes
from progdoc.writers.diagnostics_json import report_json

__all__ = ["FORMATS", "Built", "build_set", "built_files"]

FORMATS = ("md", "html", "docx")


@dataclass(frozen=True, slots=True)
class Built:
    """The files of a set by name, and the report with the places that answer."""

    files: Mapping[str, bytes]
    report: Report
    is_draft: bool


def built_files(judged: Judged, base: Path, formats: Iterable[str] = FORMATS) -> Built:
    """Return every file of the set: the program, the gap report, the matrix, task pages, the restricted part."""
    program = judged.description
    attached = attached_files(program, base)
    checksums = {name: sha256(content) for name, content in attached.items()}
    document, answers = program_document(judged, TemplateSet(templates_root() / "program"), checksums)
    report = judged.report(__version__, answers)
    public = public_part(report)
    files: dict[str, bytes] = {}
    for name in formats:
        files[f"program.{name}"] = WRITERS[name](linked_to(document, "md" if name == "md" else "html"))
    organisation = program.organisation.name or ""
    paper = program.program.paper.value
    gaps = gap_document(public, organisation, document.draft, paper)
    restricted = gap_document(report, organisation, document.draft, paper)
    files["gaps.html"] = WRITERS["html"](gaps)
    files["gaps.md"] = WRITERS["md"](gaps)
    files["gaps.json"] = report_json(public)
    files["matrix.csv"] = csv_bytes(_matrix(judged, answers))
    for task, page in task_documents(judged).items():
        files[f"tasks/{task}.html"] = WRITERS["html"](page)
    for name, form in form_documents(judged).items():
        files[f"forms/{name}.docx"] = WRITERS["docx"](form)
        files[f"forms/{name}.html"] = WRITERS["html"](form)
    files.update(_restricted(judged))
    files["restricted/gaps.html"] = WRITERS["html"](restricted)
    files["restricted/gaps.json"] = report_json(report)
    files.update(attached)
    return Built(files, report, is_draft(judged))


def _restricted(judged: Judged) -> dict[str, bytes]:
    """Return everything that names workers: the annex, a card for each person, who may do what, the calendar."""
    files = {
        f"restricted/cards/{person}.html": WRITERS["html"](card) for person, card in card_documents(judged).items()
    }
    files["restricted/people.html"] = WRITERS["html"](annex_document(judged))
    files["restricted/assignments.csv"] = assignment_csv(judged)
    files["restricted/calendar.ics"] = calendar_of(judged)
    return files


def build_set(
    checked: Checked, base: Path, folder: Path, formats: Iterable[str], replace: bool
) -> tuple[Built, WriteResult | list[Diagnostic]]:
    """Write the set into a folder, or return why it was not written."""
    if checked.judged is None:
        raise ValueError("a description with faults of form has no documents")
    built = built_files(checked.judged, base, formats)
    info = ManifestInfo(
        revision=built.report.revision,
        on=built.report.on,
        version=__version__,
        rules_version=f"{built.report.rules_pack} {built.report.rules_version}",
    )
    return built, write_set(folder, built.files, info, replace)


def _matrix(judged: Judged, answers: Mapping[str, tuple[str, ...]]) -> Iterable[tuple[str, ...]]:
    yield ("code", "paragraph", "duty", "status", "answered in", "evidence")
    for requirement, status, places, evidence in matrix_rows(judged, answers):
        yield (
            requirement.code,
            "; ".join(requirement.citations),
            requirement.duty,
            status.value,
            "; ".join(places),
            evidence,
        )
