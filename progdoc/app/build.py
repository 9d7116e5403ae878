"""The documents of a judged description, as a set of files ready to be put in place: the use case behind `build`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from progdoc.app.attachments import attached_files
from progdoc.app.check import Checked
from progdoc.app.due import calendar_of
from progdoc.app.manifest import ManifestInfo, sha256, with_manifests
from progdoc.core.report import public_part
from progdoc.core.version import __version__
from progdoc.document.blocks.annex_blocks import matrix_rows
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.gap_report import gap_document
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.person_card import card_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.gap_links import linked_to
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS
from progdoc.writers.assignment_csv import assignment_csv
from progdoc.writers.csv_table import csv_bytes
from progdoc.writers.diagnostics_json import report_json

__all__ = ["FORMATS", "build", "built_files", "manifest_info"]

FORMATS = ("md", "html", "docx", "pdf")


def build(checked: Checked, formats: Iterable[str] = FORMATS) -> dict[str, bytes]:
    """Return every file of the set by name, manifests included: what `progdoc build` writes into a folder.

    Parameters
    ----------
    checked
        What `check` returned; it must have been understood.
    formats
        Of the program: md, html, docx, pdf.
    """
    return with_manifests(built_files(checked, formats), manifest_info(checked))


def manifest_info(checked: Checked) -> ManifestInfo:
    """Return what the manifest says a set was made from."""
    report = checked.report
    rules = f"{report.rules_pack} {report.rules_version}"
    return ManifestInfo(revision=report.revision, on=report.on, version=__version__, rules_version=rules)


def built_files(checked: Checked, formats: Iterable[str] = FORMATS) -> dict[str, bytes]:
    """Return the set without its manifests: the program, its gaps, the matrix, task pages, what is restricted."""
    judged, formats = checked.judged, tuple(formats)
    if judged is None:
        raise ValueError("a description with faults of form has no documents")
    program = judged.description
    attached = attached_files(checked.loaded)
    checksums = {name: sha256(content) for name, content in attached.items()}
    written = written_program(judged, shipped_templates(), checksums)
    document, answers = written.program, written.answers
    report = judged.report(__version__, answers)
    public = public_part(report)
    files: dict[str, bytes] = {}
    for name in formats:
        for paper in (written.program, written.annex):
            files[f"{paper.id}.{name}"] = WRITERS[name](linked_to(paper, "md" if name == "md" else "html"))
    organisation = program.organisation.name or ""
    size = program.program.paper.value
    gaps = gap_document(public, organisation, document.draft, size)
    restricted = gap_document(report, organisation, document.draft, size)
    files["gaps.html"] = WRITERS["html"](gaps)
    files["gaps.md"] = WRITERS["md"](gaps)
    files["gaps.json"] = report_json(public)
    files["matrix.csv"] = csv_bytes(_matrix(judged, answers))
    for task, page in task_documents(judged).items():
        for name in dict.fromkeys(("html", *formats)):
            if name != "md":
                files[f"tasks/{task}.{name}"] = WRITERS[name](page)
    for name, form in form_documents(judged).items():
        files[f"forms/{name}.docx"] = WRITERS["docx"](form)
        files[f"forms/{name}.html"] = WRITERS["html"](form)
    files.update(_restricted(judged))
    files["restricted/gaps.html"] = WRITERS["html"](restricted)
    files["restricted/gaps.json"] = report_json(report)
    files.update(attached)
    return files


def _restricted(judged: Judged) -> dict[str, bytes]:
    """Return everything that names workers: the annex, a card for each person, who may do what, the calendar."""
    files = {
        f"restricted/cards/{person}.html": WRITERS["html"](card) for person, card in card_documents(judged).items()
    }
    files["restricted/people.html"] = WRITERS["html"](annex_document(judged))
    files["restricted/assignments.csv"] = assignment_csv(judged)
    files["restricted/calendar.ics"] = calendar_of(judged)
    return files


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
